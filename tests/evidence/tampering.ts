import { sha256 } from '../../core/evidence/canonical.ts';
import { keptDigest } from '../../core/evidence/kept-digest.ts';
import { idBytes } from '../../core/evidence/record-list.ts';
import type { SeededRandom } from '../../core/numerics/random.ts';
import { planItemColumns } from '../../core/store/record-columns.ts';
import type { Fleet } from '../../core/store/sql.ts';

import {
  changeReading,
  changeRow,
  full,
  headOf,
  mendDigest,
  mendHash,
  mendLine,
  mendList,
  otherValue,
  pickRow,
  seqOf,
} from './mending.ts';

/** What an attacker did, and the record or ledger line that verify has to name. */
export interface Tampering {
  readonly what: string;
  readonly id?: string;
  readonly line?: number;
  /** Words that must stand in what verify says. */
  readonly says?: RegExp;
}

/** One way of tampering each; `random` chooses the place. */
export const ways: readonly ((fleet: Fleet, random: SeededRandom) => Tampering)[] = [
  (fleet, random) => {
    const { entity, id, column } = changeRow(fleet, random);
    return { what: `${entity}.${column}`, id };
  },
  (fleet, random) => ({ what: 'a reading', id: changeReading(fleet, random) }),
  (fleet, random) => {
    const { entity, id, column } = changeRow(fleet, random);
    mendDigest(fleet, entity, id);
    return { what: `${entity}.${column} and its digest`, id };
  },
  (fleet, random) => {
    const id = changeReading(fleet, random);
    mendDigest(fleet, 'test_event', id);
    return { what: 'a reading and its digest', id };
  },
  (fleet, random) => {
    const { entity, id, column } = changeRow(fleet, random);
    mendList(fleet, seqOf(fleet, entity, id), entity, id, mendDigest(fleet, entity, id));
    return { what: `${entity}.${column}, its digest and the list`, id };
  },
  (fleet, random) => {
    const id = changeReading(fleet, random);
    mendList(fleet, seqOf(fleet, 'test_event', id), 'test_event', id, mendDigest(fleet, 'test_event', id));
    return { what: 'a reading, its digest and the list', id };
  },
  (fleet, random) => {
    const id = changeReading(fleet, random);
    const line = seqOf(fleet, 'test_event', id);
    mendList(fleet, line, 'test_event', id, mendDigest(fleet, 'test_event', id));
    mendLine(fleet, line);
    return { what: "a reading, its digest, the list and the line's digest", line };
  },
  (fleet, random) => {
    const id = changeReading(fleet, random);
    const line = seqOf(fleet, 'test_event', id);
    mendList(fleet, line, 'test_event', id, mendDigest(fleet, 'test_event', id));
    mendLine(fleet, line);
    mendHash(fleet, line);
    return {
      what: "a reading and all of its line, the line's hash too",
      line: line + 1,
      says: new RegExp(`line ${line} was rewritten`),
    };
  },
  (fleet, random) => {
    const kinds = full(fleet.raw);
    const entity = kinds[random.integer(kinds.length)]!;
    const row = pickRow(fleet.raw, random, `select id, digest from ${entity} order by id`);
    fleet.raw.prepare(`update ${entity} set digest = ? where id = ?`).run(otherValue(row.digest, random), row.id);
    return { what: `the digest of a ${entity}`, id: row.id as string };
  },
  (fleet, random) => {
    const kinds = full(fleet.raw);
    const entity = kinds[random.integer(kinds.length)]!;
    const row = pickRow(fleet.raw, random, `select id, ledger_seq from ${entity} order by id`);
    const to = (row.ledger_seq as number) === 1 ? 2 : 1;
    fleet.raw.prepare(`update ${entity} set ledger_seq = ? where id = ?`).run(to, row.id);
    return { what: `the line of a ${entity}`, id: row.id as string };
  },
  (fleet, random) => {
    const kinds = full(fleet.raw).filter((entity) => entity !== 'test_event' && entity !== 'plan');
    const entity = kinds[random.integer(kinds.length)]!;
    const row = pickRow(fleet.raw, random, `select id from ${entity} order by id`);
    fleet.raw.prepare(`delete from ${entity} where id = ?`).run(row.id);
    return { what: `removes a ${entity}`, id: row.id as string };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select id from test_event order by id');
    fleet.raw.prepare('delete from reading where test_event_id = ?').run(row.id);
    fleet.raw.prepare('delete from test_event where id = ?').run(row.id);
    return { what: 'removes a test with its readings', id: row.id as string };
  },
  (fleet, random) => {
    const row = pickRow(
      fleet.raw,
      random,
      'select id, ledger_seq from test_event where superseded_by_id is null and supersedes_id is null order by id',
    );
    fleet.raw.prepare('delete from reading where test_event_id = ?').run(row.id);
    fleet.raw.prepare('delete from test_event where id = ?').run(row.id);
    const { part, entries } = fleet.raw
      .prepare("select part, entries from ledger_list where seq = ? and entity = 'test_event'")
      .get(row.ledger_seq) as { part: number; entries: Buffer };
    const kept: Buffer[] = [];
    for (let at = 0; at < entries.length; at += 24)
      if (entries.compare(idBytes(row.id as string), 0, 16, at, at + 16) !== 0)
        kept.push(entries.subarray(at, at + 24));
    fleet.raw
      .prepare('update ledger_list set entries = ? where seq = ? and part = ?')
      .run(Buffer.concat(kept), row.ledger_seq, part);
    return {
      what: 'removes a test with its readings and its entry',
      line: row.ledger_seq as number,
      says: /removed together with its entry|changed together/,
    };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from reading order by test_event_id, phase, step');
    fleet.raw.prepare('delete from reading where test_event_id = ? and phase = ?').run(row.test_event_id, row.phase);
    return { what: 'removes a reading', id: row.test_event_id as string };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from reading order by test_event_id, phase, step');
    fleet.raw
      .prepare('update reading set step = 7 where test_event_id = ? and phase = ?')
      .run(row.test_event_id, row.phase);
    return { what: 'moves a reading to another step', id: row.test_event_id as string };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from reading order by test_event_id, phase, step');
    const columns = Object.keys(row);
    fleet.raw
      .prepare(`insert into reading (${columns.join(', ')}) values (${columns.map(() => '?').join(', ')})`)
      .run(...Object.values({ ...row, step: 1 }));
    return { what: 'adds a reading', id: row.test_event_id as string };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from reading order by test_event_id, phase, step');
    const nobody = '01fffffe-0000-7000-8000-000000000000';
    fleet.raw
      .prepare('update reading set test_event_id = ? where test_event_id = ? and phase = ?')
      .run(nobody, row.test_event_id, row.phase);
    return { what: 'moves a reading to a test that does not exist', id: nobody };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from segment order by id');
    const id = '01900000-aaaa-7000-8000-00000000abcd';
    const copy = { ...row, id, owner_id: 'SEG-NEW' };
    fleet.raw
      .prepare(
        `insert into segment (${Object.keys(copy).join(', ')}) values (${Object.keys(copy)
          .map(() => '?')
          .join(', ')})`,
      )
      .run(...Object.values(copy));
    mendDigest(fleet, 'segment', id);
    return { what: 'adds a segment with a right digest', id };
  },
  (fleet, random) => {
    const line = 1 + random.integer(headOf(fleet));
    const column = [
      'at',
      'who',
      'what',
      'why',
      'rows_digest',
      'rows_locator',
      'previous_hash',
      'hash',
      'after',
      'before',
      'entity',
      'entity_id',
    ][random.integer(12)]!;
    const value = (fleet.raw.prepare(`select ${column} as v from ledger where seq = ?`).get(line) as { v: unknown }).v;
    const other =
      column === 'rows_digest' || column === 'rows_locator'
        ? otherValue(value ?? Buffer.alloc(column === 'rows_digest' ? 32 : 12), random)
        : otherValue(value ?? 'x', random);
    fleet.raw
      .prepare(`update ledger set ${column} = ? where seq = ?`)
      .run(typeof other === 'number' ? String(other) : other, line);
    return { what: `ledger.${column} of line ${line}`, line };
  },
  (fleet, random) => {
    const line = 1 + random.integer(headOf(fleet) - 1);
    const other = JSON.stringify({ made: 'up', n: random.integer(1000) });
    fleet.raw.prepare('update ledger set after = ? where seq = ?').run(other, line);
    mendHash(fleet, line);
    return { what: `what line ${line} says, and its hash`, line: line + 1 };
  },
  (fleet, random) => {
    const line = 1 + random.integer(headOf(fleet) - 1);
    fleet.raw.prepare('delete from ledger where seq = ?').run(line);
    return { what: `removes ledger line ${line}`, line };
  },
  (fleet) => {
    const line = headOf(fleet);
    fleet.raw.prepare('delete from ledger where seq = ?').run(line);
    return { what: 'removes the last ledger line', line };
  },
  (fleet, random) => {
    const line = 2 + random.integer(headOf(fleet) - 1);
    fleet.raw.prepare('update ledger set seq = seq + 100 where seq = ?').run(line);
    return { what: `renumbers ledger line ${line}`, line };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from ledger_change order by seq, entity, entity_id');
    const content = JSON.parse(row.before as string) as unknown[];
    content[3] = 'made up';
    fleet.raw
      .prepare('update ledger_change set before = ? where seq = ? and entity_id = ?')
      .run(JSON.stringify(content), row.seq, row.entity_id);
    return { what: 'what an earlier version said', id: row.entity_id as string };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from ledger_change order by seq, entity, entity_id');
    const content = JSON.parse(row.before as string) as unknown[];
    content[3] = 'made up';
    const before = JSON.stringify(content);
    const digest = sha256(JSON.stringify([row.entity, ...content]));
    fleet.raw
      .prepare('update ledger_change set before = ?, before_digest = ? where seq = ? and entity_id = ?')
      .run(before, digest, row.seq, row.entity_id);
    return { what: 'what an earlier version said, and its digest', id: row.entity_id as string };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from ledger_change order by seq, entity, entity_id');
    const column = ['before', 'before_digest', 'before_seq', 'seq'][random.integer(4)]!;
    const value =
      column === 'seq'
        ? (row.seq as number) === 2
          ? 3
          : 2
        : column === 'before'
          ? ` ${row.before}`
          : otherValue(row[column], random);
    fleet.raw
      .prepare(`update or replace ledger_change set ${column} = ? where seq = ? and entity_id = ?`)
      .run(value, row.seq, row.entity_id);
    return { what: `ledger_change.${column}`, id: row.entity_id as string };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from ledger_change order by seq, entity, entity_id');
    fleet.raw.prepare('delete from ledger_change where seq = ? and entity_id = ?').run(row.seq, row.entity_id);
    return { what: 'removes an earlier version', id: row.entity_id as string };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from ledger_list order by seq, part');
    fleet.raw
      .prepare('update ledger_list set entries = ? where seq = ? and part = ?')
      .run(otherValue(row.entries, random), row.seq, row.part);
    return { what: 'a byte of a list', line: row.seq as number };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from ledger_list order by seq, part');
    const change = ['part = part + 40', "entity = 'substance'", 'seq = seq + 900'][random.integer(3)]!;
    fleet.raw.prepare(`update ledger_list set ${change} where seq = ? and part = ?`).run(row.seq, row.part);
    return { what: `ledger_list ${change}`, line: row.seq as number };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select id, bytes, byte_count, sha256 from source_file order by id');
    const column = ['bytes', 'byte_count', 'sha256'][random.integer(3)]!;
    fleet.raw.prepare(`update source_file set ${column} = ? where id = ?`).run(otherValue(row[column], random), row.id);
    return { what: `source_file.${column}`, id: row.id as string };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from signature order by seq');
    const columns = ['hash', 'public_key', 'signature', 'signed_at', 'signed_by'];
    const column = columns[random.integer(columns.length)]!;
    fleet.raw.prepare(`update signature set ${column} = ?`).run(otherValue(row[column], random));
    return { what: `signature.${column}`, says: /signature/ };
  },
  (fleet) => {
    fleet.raw.prepare('delete from signature').run();
    return { what: 'removes a signature', says: /signature is no longer here, though ledger line \d+ recorded it/ };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from kept');
    const column = Object.keys(row)[random.integer(Object.keys(row).length)]!;
    fleet.raw.prepare(`update kept set ${column} = ?`).run(otherValue(row[column], random));
    return { what: `kept.${column}`, says: /kept answer/ };
  },
  (fleet) => {
    fleet.raw.prepare('update kept set revision = 9999').run();
    const row = fleet.raw.prepare('select name, asked, revision, made_at as madeAt, bytes from kept').get() as never;
    fleet.raw.prepare('update kept set digest = ?').run(keptDigest(row));
    return { what: 'a kept answer for a line that is gone', says: /made for ledger line 9999/ };
  },
  (fleet, random) => {
    const column = ['fleet_id', 'utility_name', 'created_at'][random.integer(3)]!;
    const row = pickRow(fleet.raw, random, 'select * from fleet');
    fleet.raw.prepare(`update fleet set ${column} = ?`).run(otherValue(row[column], random));
    return { what: `fleet.${column}`, line: 1, says: /fleet's own row/ };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select id from test_event where superseded_by_id is not null order by id');
    fleet.raw.exec('drop index test_event_current');
    fleet.raw.prepare('update test_event set superseded_by_id = null where id = ?').run(row.id);
    return { what: 'brings a superseded test back', id: row.id as string };
  },
  (fleet, random) => {
    const row = pickRow(
      fleet.raw,
      random,
      'select id from test_event where superseded_by_id is null and supersedes_id is null order by id',
    );
    const other = pickRow(
      fleet.raw,
      random,
      'select id from test_event where superseded_by_id is null and supersedes_id is null order by id',
    );
    fleet.raw.prepare('update test_event set superseded_by_id = ? where id = ?').run(other.id, row.id);
    return { what: 'hides a test as superseded', id: row.id as string };
  },
  (fleet, random) => {
    const row = pickRow(fleet.raw, random, 'select * from plan_item order by plan_id, segment_id');
    const column = planItemColumns[1 + random.integer(planItemColumns.length - 1)]!;
    fleet.raw
      .prepare(`update plan_item set ${column} = ? where plan_id = ? and segment_id = ?`)
      .run(otherValue(row[column], random), row.plan_id, row.segment_id);
    return { what: `plan_item.${column}`, id: row.plan_id as string };
  },
];

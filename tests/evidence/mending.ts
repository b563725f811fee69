import type Database from 'better-sqlite3';
import { unsealed } from '../../core/evidence/chain.ts';
import { locatorOf } from '../../core/evidence/locator.ts';
import { idBytes, RecordList, rowsDigest } from '../../core/evidence/record-list.ts';
import { sealHash } from '../../core/evidence/seal.ts';
import type { SeededRandom } from '../../core/numerics/random.ts';
import { entities, readingColumns, recordColumns } from '../../core/store/record-columns.ts';
import { planItemsOf, readingsOfEvent, recordById } from '../../core/store/records.ts';
import type { Fleet } from '../../core/store/sql.ts';
import type { Entity } from '../../core/store/tables.ts';
import { ledgerLine } from '../../core/store/verify.ts';
import { digestOf } from '../../core/tasks/content.ts';

/** Takes the guards off: triggers gone, constraints not checked. `restore` puts the triggers back, as a careful attacker would. */
export function unguarded(raw: Database.Database): { restore: () => void } {
  const triggers = raw.prepare("select name, sql from sqlite_schema where type = 'trigger' order by name").all() as {
    name: string;
    sql: string;
  }[];
  raw.pragma('foreign_keys = OFF');
  raw.pragma('ignore_check_constraints = ON');
  for (const { name } of triggers) raw.exec(`drop trigger ${name}`);
  return {
    restore() {
      for (const { sql } of triggers) raw.exec(sql);
    },
  };
}

export const pickRow = (raw: Database.Database, random: SeededRandom, sql: string) => {
  const rows = raw.prepare(sql).all() as Record<string, unknown>[];
  return rows[random.integer(rows.length)]!;
};

/** The value with one byte of its stored form changed; a known value becomes unknown where one byte cannot do it. */
export function otherValue(value: unknown, random: SeededRandom): unknown {
  if (value instanceof Uint8Array) {
    const bytes = Buffer.from(value);
    bytes[random.integer(bytes.length)]! ^= 1 + random.integer(255);
    return bytes;
  }
  if (typeof value === 'string') {
    if (value === '') return 'x';
    const at = random.integer(value.length);
    const letter = String.fromCharCode(32 + random.integer(90));
    const changed = value.slice(0, at) + letter + value.slice(at + 1);
    return changed === value ? `${value.slice(0, at)}~${value.slice(at + 1)}` : changed;
  }
  if (typeof value === 'number') {
    if (Number.isInteger(value)) return value ^ (1 << random.integer(8));
    const view = new DataView(new ArrayBuffer(8));
    view.setFloat64(0, value);
    view.setUint8(1 + random.integer(7), random.integer(256));
    const changed = view.getFloat64(0);
    return Number.isFinite(changed) && changed !== value ? changed : value * 10;
  }
  return random.integer(2) === 0 ? 1 : 0;
}

export const full = (raw: Database.Database): Entity[] =>
  entities.filter((entity) => (raw.prepare(`select count(*) as n from ${entity}`).get() as { n: number }).n > 0);

export function partsOf(fleet: Fleet, entity: Entity, id: string) {
  if (entity === 'test_event') return readingsOfEvent(fleet, id);
  return entity === 'plan' ? planItemsOf(fleet, id) : undefined;
}

/** Changes one column of one record; types that SQLite's STRICT tables refuse are tried again. */
export function changeRow(fleet: Fleet, random: SeededRandom): { entity: Entity; id: string; column: string } {
  const kinds = full(fleet.raw);
  for (;;) {
    const entity = kinds[random.integer(kinds.length)]!;
    const columns = recordColumns[entity].filter((column) => column !== 'id') as string[];
    const column = columns[random.integer(columns.length)]!;
    const row = pickRow(fleet.raw, random, `select * from ${entity} order by id`);
    if (row[column] === null && column !== 'name') {
      if (/_id$|_on$|phase|kind|until|region|serial|description|note|from_|to_|cert|_by|_at/.test(column))
        row[column] = '';
      else row[column] = 2.5;
    }
    try {
      fleet.raw.prepare(`update ${entity} set ${column} = ? where id = ?`).run(otherValue(row[column], random), row.id);
      return { entity, id: row.id as string, column };
    } catch {
      // A type the table does not take, or a name that exists already.
    }
  }
}

export function changeReading(fleet: Fleet, random: SeededRandom): string {
  for (;;) {
    const column = readingColumns[2 + random.integer(readingColumns.length - 2)]!;
    const row = pickRow(fleet.raw, random, 'select * from reading order by test_event_id, phase, step');
    if (row[column] === null) row[column] = /id$|crew|note|outcome/.test(column) ? '' : 2.5;
    try {
      fleet.raw
        .prepare(`update reading set ${column} = ? where test_event_id = ? and phase = ? and step = ?`)
        .run(otherValue(row[column], random), row.test_event_id, row.phase, row.step);
      return row.test_event_id as string;
    } catch {}
  }
}

/** Makes the record's digest fit its content again. */
export function mendDigest(fleet: Fleet, entity: Entity, id: string): Buffer {
  const row = recordById(fleet, entity, id)!;
  const digest = digestOf(entity, row as never, partsOf(fleet, entity, id) as never);
  fleet.raw.prepare(`update ${entity} set digest = ? where id = ?`).run(digest, id);
  return digest;
}

/** Makes the line's list fit the record again. */
export function mendList(fleet: Fleet, seq: number, entity: Entity, id: string, digest: Uint8Array): void {
  const parts = fleet.raw
    .prepare('select part, entries from ledger_list where seq = ? and entity = ?')
    .all(seq, entity) as {
    part: number;
    entries: Buffer;
  }[];
  for (const { part, entries } of parts)
    for (let at = 0; at < entries.length; at += 24)
      if (entries.compare(idBytes(id), 0, 16, at, at + 16) === 0) {
        entries.set(digest.subarray(0, 8), at + 16);
        fleet.raw.prepare('update ledger_list set entries = ? where seq = ? and part = ?').run(entries, seq, part);
      }
}

/** Makes the line's digest and sums fit its records again. */
export function mendLine(fleet: Fleet, seq: number): void {
  if (!ledgerLine(fleet, seq)!.rowsDigest) return;
  const lists = new Map<string, RecordList>();
  for (const entity of entities) {
    const list = new RecordList();
    const rows = [
      ...fleet.raw.prepare(`select id, digest from ${entity} where ledger_seq = ? order by id`).all(seq),
      ...fleet.raw
        .prepare(
          'select entity_id as id, before_digest as digest from ledger_change where before_seq = ? and entity = ?',
        )
        .all(seq, entity),
    ] as { id: string; digest: Buffer }[];
    for (const row of rows) list.add(row.id, row.digest);
    if (rows.length > 0) lists.set(entity, list);
  }
  fleet.raw
    .prepare('update ledger set rows_digest = ?, rows_locator = ? where seq = ?')
    .run(rowsDigest(lists), locatorOf([...lists.values()].map((list) => list.sorted())), seq);
}

/** Makes the line's own hash fit it again. */
export function mendHash(fleet: Fleet, seq: number): Buffer {
  const hash = sealHash(unsealed(ledgerLine(fleet, seq)!)!);
  fleet.raw.prepare('update ledger set hash = ? where seq = ?').run(hash, seq);
  return hash;
}

export const seqOf = (fleet: Fleet, entity: Entity, id: string): number =>
  (fleet.raw.prepare(`select ledger_seq as seq from ${entity} where id = ?`).get(id) as { seq: number }).seq;

export const headOf = (fleet: Fleet): number =>
  (fleet.raw.prepare('select max(seq) as n from ledger').get() as { n: number }).n;

/** Rewrites line `seq` and every line after it, as one who knows all the rules would. */
export function rewriteFrom(fleet: Fleet, seq: number): void {
  for (let line = seq; line <= headOf(fleet); line++) {
    if (line > seq) {
      const previous = ledgerLine(fleet, line - 1)!.hash;
      fleet.raw.prepare('update ledger set previous_hash = ? where seq = ?').run(previous, line);
    }
    mendLine(fleet, line);
    mendHash(fleet, line);
  }
}

/** Changes a reading and mends its digest and the list. */
export function forgeReading(fleet: Fleet, random: SeededRandom): string {
  const id = changeReading(fleet, random);
  mendList(fleet, seqOf(fleet, 'test_event', id), 'test_event', id, mendDigest(fleet, 'test_event', id));
  return id;
}

import { createHash } from 'node:crypto';
import { deflateSync } from 'node:zlib';
import Database from 'better-sqlite3';
import { keptDigest } from '../../core/evidence/kept-digest.ts';
import { newKey, openKey } from '../../core/evidence/signing.ts';
import { seededRandom } from '../../core/numerics/random.ts';
import { keepAnswer } from '../../core/store/kept.ts';
import { fleetName, ledgerHead } from '../../core/store/ledger.ts';
import { openFleet } from '../../core/store/open.ts';
import { insertPlanItem, insertReading, readingsOfEvent, recordById } from '../../core/store/records.ts';
import { addSignature } from '../../core/store/signatures.ts';
import type { Fleet } from '../../core/store/sql.ts';
import type { ReadingTable } from '../../core/store/tables.ts';
import { changing } from '../../core/tasks/change.ts';
import type { Desk } from '../../core/tasks/desk.ts';
import { signatureJson, signingWhat } from '../../core/tasks/evidence-signatures.ts';
import { migrations } from '../../migrations/index.ts';

/** Migrated once; each fleet is a copy of its bytes. */
let blankBytes: Buffer | undefined;

export async function blankFleet(): Promise<Fleet> {
  if (!blankBytes) {
    const first = await openFleet(':memory:', { migrations, create: true });
    blankBytes = first.raw.serialize();
    first.raw.close();
  }
  const raw = new Database(blankBytes);
  raw.pragma('foreign_keys = ON');
  return { raw, file: ':memory:', readOnly: false, statements: new Map() };
}

/** A desk whose clock moves one second with each look. */
export function deskOn(fleet: Fleet, who = 'R. Recorder'): Desk {
  let second = 0;
  return {
    fleet,
    now: () => new Date(Date.UTC(2026, 0, 5, 8, 0, second++)).toISOString(),
    who,
    day: () => '2026-01-05',
    file: fleet.file,
    blankFleet,
    progress: () => {},
    checkStop: () => {},
    whenIdle: () => {},
  };
}

/** A key that is the same in every run. */
const keyPem = newKey(undefined);

/**
 * A small fleet with something of everything the ledger watches, made through changes alone: one import of many records,
 * then seeded edits, corrections, plans, files, rules, persons, a signature and a kept answer.
 */
export async function aFleet(seed: number): Promise<{ fleet: Fleet; desk: Desk }> {
  const fleet = await blankFleet();
  const desk = deskOn(fleet);
  const random = seededRandom(seed).uniform;
  const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)]!;
  const round = (x: number, digits = 2) => Number(x.toFixed(digits));
  const segments: string[] = [];
  const tests: string[] = [];
  const instruments: string[] = [];

  const readings = (): Omit<ReadingTable, 'test_event_id'>[] =>
    ['A', 'B', 'C'].map((phase) => {
      const leakage = round(0.5 + random() * 20);
      return {
        phase,
        step: 0,
        voltage_kv: pick([20, 56, 64]),
        dwell_min: pick([5, 15, null]),
        leakage_ua: leakage,
        leakage_typed: leakage,
        leakage_typed_unit: 'uA',
        below_floor: 0,
        insulation_temp_c: pick([null, round(5 + random() * 20, 1)]),
        ambient_temp_c: pick([null, 0, -3.5, 18]),
        humidity_pct: pick([null, 45, 80]),
        outcome: pick(['withstood', null]),
        instrument_id: pick([null, ...instruments]),
        crew: pick(['North', 'South']),
        note: pick([null, 'dry', 'µ "quoted", \\ and\nnew line']),
      };
    });

  changing(desk, (change) => {
    fleet.raw
      .prepare('insert into fleet (only, fleet_id, utility_name, created_at) values (1, ?, ?, ?)')
      .run(`01900000-0000-7000-8000-${String(seed).padStart(12, '0')}`, 'Harrow Vale Municipal Power', desk.now());
    const substation = change.add('substation', { owner_id: 'SS-1', name: 'Mill', region: null });
    const feeder = change.add('feeder', {
      owner_id: 'F-1',
      substation_id: substation,
      name: 'Mill 1',
      nominal_kv: 13.2,
      customers: 1200,
      peak_load_kva: null,
    });
    for (let i = 0; i < 3; i++)
      instruments.push(change.add('instrument', { owner_id: `I-${i}`, serial: `S${i}`, description: null }));
    const certificate = Buffer.from(`certificate ${seed}\n`.repeat(20));
    const file = change.add('source_file', {
      sha256: createHash('sha256').update(certificate).digest(),
      name: 'certificate.txt',
      media_type: 'text/plain',
      byte_count: certificate.length,
      compression: 'deflate',
      bytes: deflateSync(certificate),
      received_at: desk.now(),
    });
    change.add('calibration', {
      owner_id: 'C-1',
      instrument_id: instruments[0]!,
      calibrated_on: '2024-02-01',
      due_on: '2025-02-01',
      certificate: '12/24',
      source_file_id: file,
    });
    for (let i = 0; i < 12; i++)
      segments.push(
        change.add('segment', {
          owner_id: `SEG-${i}`,
          feeder_id: feeder,
          name: `Mill Row ${i}`,
          from_point: `P${i}`,
          to_point: null,
          length_m: 304.8 * (i + 1),
          length_typed: 1000 * (i + 1),
          length_typed_unit: 'ft',
          rated_kv: 15,
          insulation_level_pct: 133,
          insulation: pick(['PILC', 'XLPE', 'EPR']),
          conductor_material: 'Cu',
          conductor_area_mm2: null,
          conductor_diameter_mm: null,
          insulation_thickness_mm: null,
          phases: 'ABC',
          installation: 'duct',
          energised_on: `19${70 + i}-05-01`,
          retired_on: null,
          replaces_id: null,
          customers: null,
          alternate_supply: null,
          critical_load: i % 2,
        }),
      );
    for (const [i, segment] of segments.entries())
      for (let year = 2019; year < 2023; year++)
        tests.push(addTest(`T-${i}-${year}`, segment, `${year}-06-0${(i % 9) + 1}`));
    change.seal({ what: 'import' }, undefined, { files: 2, note: 'é' });

    function addTest(ownerId: string, segmentId: string, day: string): string {
      const rows = readings();
      const id = change.add(
        'test_event',
        {
          owner_id: ownerId,
          segment_id: segmentId,
          tested_on: day,
          method: 'dc_withstand',
          purpose: 'maintenance',
          source_file_id: null,
          supersedes_id: null,
          superseded_by_id: null,
        },
        rows,
      );
      for (const row of rows) insertReading(fleet, { test_event_id: id, ...row });
      return id;
    }
  });

  const edits: (() => void)[] = [
    () =>
      changing(desk, (change) => {
        const before = recordById(fleet, 'segment', pick(segments))!;
        const after = { ...before, name: `${before.name}, renamed ${Math.floor(random() * 1000)}` };
        change.update('segment', before, after);
        change.seal(
          { what: 'edit segment', why: pick(['wrong on the map', undefined]) },
          {
            entity: 'segment',
            id: before.id,
            before: { name: before.name },
            after: { name: after.name },
          },
        );
      }),
    () =>
      changing(desk, (change) => {
        const chosen = new Set([pick(segments), pick(segments), pick(segments)]);
        for (const id of chosen) {
          const before = recordById(fleet, 'segment', id)!;
          change.update('segment', before, { ...before, customers: Math.floor(random() * 500) });
        }
        change.seal({ what: 'import' }, undefined, { files: 1 });
      }),
    () =>
      changing(desk, (change) => {
        const at = Math.floor(random() * tests.length);
        const old = recordById(fleet, 'test_event', tests[at]!)!;
        const rows = readingsOfEvent(fleet, old.id).map((row) => ({ ...row, note: 'corrected' }));
        const tail = Math.floor(random() * 1e12)
          .toString()
          .padStart(12, '0');
        const id = `01910000-0000-7000-8000-${tail}` as const;
        fleet.raw.prepare('update test_event set superseded_by_id = ? where id = ?').run(id, old.id);
        change.add('test_event', { ...old, supersedes_id: old.id, superseded_by_id: null } as never, rows as never, id);
        for (const row of rows) insertReading(fleet, { ...row, test_event_id: id });
        tests[at] = id;
        change.seal({ what: 'correct test', why: 'typed in the wrong unit' });
      }),
    () =>
      changing(desk, (change) => {
        const items = segments.slice(0, 3).map((segment_id) => ({
          segment_id,
          year: 2027,
          action: 'replace',
          cost: round(random() * 1e6),
          benefit_pv: round(random() * 1e6),
          pinned: 0,
        }));
        items.sort((a, b) => (a.segment_id < b.segment_id ? -1 : 1));
        const id = change.add(
          'plan',
          {
            name: `Plan ${Math.floor(random() * 1e6)}`,
            made_at: desk.now(),
            fleet_revision: change.seq - 1,
            state: 'draft',
            options: '{}',
            result: '{"gap":0.01}',
            approved_at: null,
            approved_by: null,
          },
          items,
        );
        for (const item of items) insertPlanItem(fleet, { plan_id: id, ...item });
        change.seal({ what: 'keep plan' });
      }),
    () =>
      changing(desk, (change) => {
        change.add('finding_verdict', {
          finding_key: `key ${random()}`,
          verdict: 'dismissed',
          reason: 'seen in the field',
        });
        change.seal({ what: 'dismiss finding', why: 'seen in the field' });
      }),
  ];
  for (const edit of edits) edit();
  for (let i = 0; i < 4; i++) pick(edits)();
  sign(fleet, desk);
  pick(edits)();
  const answer = {
    name: 'standings',
    asked: '2025-12-31',
    revision: ledgerHead(fleet)!.seq,
    madeAt: desk.now(),
    bytes: Buffer.from('kept bytes'),
  };
  keepAnswer(fleet, { ...answer, digest: keptDigest(answer) });
  return { fleet, desk };
}

/** Signs the head as the task does, with a key made here. */
export function sign(fleet: Fleet, desk: Desk): void {
  changing(desk, (change) => {
    const head = ledgerHead(fleet)!;
    const key = openKey(keyPem, undefined);
    const row = {
      seq: head.seq,
      hash: head.hash,
      public_key: key.publicKey,
      signature: key.sign({
        fleetId: fleetName(fleet)!.fleet_id,
        seq: head.seq,
        hash: Buffer.from(head.hash).toString('hex'),
      }),
      signed_at: desk.now(),
      signed_by: desk.who,
    };
    addSignature(fleet, row);
    change.seal({ what: signingWhat }, undefined, signatureJson(row));
  });
}

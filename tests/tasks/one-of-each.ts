import { PlanQuestion } from '../../core/contract/shapes/plan.ts';
import { insertPlanItem, insertReading, recordById } from '../../core/store/records.ts';
import type { Fleet } from '../../core/store/sql.ts';
import type { Entity, RecordTables } from '../../core/store/tables.ts';
import { type Change, changing } from '../../core/tasks/change.ts';
import type { Desk } from '../../core/tasks/desk.ts';

const first = (fleet: Fleet, entity: Entity): string =>
  fleet.raw.prepare(`select id from ${entity} order by id limit 1`).pluck().get() as string;

function updated<E extends Entity>(change: Change, entity: E, with_: Partial<RecordTables[E]>): void {
  const { fleet } = change.desk;
  const before = recordById(fleet, entity, first(fleet, entity)) as never as RecordTables[E] & { id: string };
  change.update(entity, before, { ...before, ...with_ } as never);
}

const writes: { readonly [E in Entity]: (change: Change, fleet: Fleet, n: number) => void } = {
  substation: (change) => updated(change, 'substation', { name: 'Elsewhere', region: 'Far' }),
  feeder: (change, _, n) => updated(change, 'feeder', { name: 'Another', customers: 90_000 + n }),
  segment: (change, _, n) => updated(change, 'segment', { name: 'Renamed', length_m: 9000 + n }),
  splice: (change, fleet, n) =>
    change.add('splice', {
      owner_id: `W-SP-${n}`,
      segment_id: first(fleet, 'segment'),
      phase: 'A',
      position_m: 1,
      kind: null,
      installed_on: '2001-01-01',
      removed_on: null,
    }),
  termination: (change, fleet, n) =>
    change.add('termination', {
      owner_id: `W-TE-${n}`,
      segment_id: first(fleet, 'segment'),
      segment_end: 'from',
      phase: 'A',
      kind: 'outdoor',
      installed_on: '2001-01-01',
      removed_on: null,
    }),
  intervention: (change, fleet, n) =>
    change.add('intervention', {
      owner_id: `W-IN-${n}`,
      segment_id: first(fleet, 'segment'),
      done_on: '2020-03-01',
      kind: 'section_replaced',
      note: null,
    }),
  failure: (change, fleet, n) =>
    change.add('failure', {
      owner_id: `W-FA-${n}`,
      segment_id: first(fleet, 'segment'),
      failed_on: '2022-03-01',
      phase: 'A',
      part: 'cable',
      cause: null,
      customers_interrupted: 10,
      duration_min: 60,
    }),
  instrument: (change) => updated(change, 'instrument', { owner_id: 'W-I', serial: null }),
  calibration: (change, fleet, n) =>
    change.add('calibration', {
      owner_id: `W-CA-${n}`,
      instrument_id: first(fleet, 'instrument'),
      calibrated_on: '2015-01-01',
      due_on: '2015-02-01',
      certificate: `W-${n}`,
      source_file_id: null,
    }),
  source_file: (change, _, n) =>
    change.add('source_file', {
      sha256: new Uint8Array(32).fill(n),
      name: `${n}.txt`,
      media_type: 'text/plain',
      byte_count: 1,
      compression: 'none',
      bytes: new Uint8Array([n]),
      received_at: change.desk.now(),
    }),
  test_event(change, fleet, n) {
    const row = {
      phase: 'A',
      step: 0,
      voltage_kv: 20,
      dwell_min: 15,
      leakage_ua: 400,
      leakage_typed: 400,
      leakage_typed_unit: 'uA',
      below_floor: 0,
      insulation_temp_c: 15,
      ambient_temp_c: null,
      humidity_pct: null,
      outcome: 'withstood',
      instrument_id: first(fleet, 'instrument'),
      crew: null,
      note: null,
    };
    const event = {
      owner_id: `W-T-${n}`,
      segment_id: first(fleet, 'segment'),
      tested_on: '2025-05-05',
      method: 'dc_withstand',
      purpose: 'maintenance',
      source_file_id: null,
      supersedes_id: null,
      superseded_by_id: null,
    };
    const id = change.add('test_event', event, [row]);
    insertReading(fleet, { test_event_id: id, ...row });
  },
  trace: (change, fleet, n) =>
    change.add('trace', {
      test_event_id: first(fleet, 'test_event'),
      phase: 'A',
      source_file_id: first(fleet, 'source_file'),
      sample_count: 1,
      duration_s: n,
      codec: 'none',
      samples: new Uint8Array([1]),
      says: '{"reading":{"trend":{"value":{"rising":true}}}}',
    }),
  person: (change, _, n) =>
    change.add('person', { name: n === 1 ? 'Ada Thornbury' : `Person ${n}`, role: 'approver', left_on: null }),
  leakage_limit: (change, _, n) => updated(change, 'leakage_limit', { limit_ns_per_km: 3 + n }),
  policy: (change, _, n) =>
    change.add('policy', {
      subject: 'currency',
      version: n,
      in_force_from: '2026-01-01',
      rule: '{"currency":"EUR"}',
      words: 'Money is in EUR.',
      source: 'the treasurer',
    }),
  excuse: (change, fleet, n) =>
    change.add('excuse', {
      segment_id: first(fleet, 'segment'),
      due_on: `2026-01-0${n}`,
      until: null,
      reason: 'dug up',
    }),
  cost: (change, _, n) =>
    change.add('cost', { name: n === 1 ? 'setupPerFeeder' : 'repair', value: 77, unit: 'money', source: 'a letter' }),
  finding_verdict: (change, _, n) =>
    change.add('finding_verdict', { finding_key: `key ${n}`, verdict: 'accepted', reason: 'seen' }),
  treatment: (change, fleet) =>
    change.add('treatment', {
      finding_key: fleet.raw
        .prepare('select finding_key from finding_verdict where finding_key not in (select finding_key from treatment)')
        .pluck()
        .get() as string,
      kind: 'unit slip',
      segment_id: null,
      instrument_id: first(fleet, 'instrument'),
      what: '{"cure":{"kind":"leave out"},"tests":[],"fromDay":0,"toDay":30000,"says":"x","wouldChange":"y","certainty":"weak"}',
    }),
  plan(change, fleet, n) {
    const item = {
      segment_id: first(fleet, 'segment'),
      year: 2027,
      action: 'replace',
      cost: 1,
      benefit_pv: 2,
      pinned: 0,
    };
    const plan = {
      name: `Plan ${n}`,
      made_at: change.desk.now(),
      fleet_revision: 1,
      state: 'draft',
      options: JSON.stringify(PlanQuestion.parse({ budget: 200_000, years: 2, horizon: 5 })),
      result: '{}',
      approved_at: null,
      approved_by: null,
    };
    const id = change.add('plan', plan, [item]);
    insertPlanItem(fleet, { plan_id: id, ...item });
  },
  layout: (change, _, n) => change.add('layout', { fingerprint: `print ${n}`, subject: 'tests', layout: '{}' }),
};

/** Writes one change of a record of this kind; `n` makes it another each time. */
export function writeOne(desk: Desk, entity: Entity, n: number): void {
  changing(desk, (change) => {
    writes[entity](change, desk.fleet, n);
    change.seal({ what: 'write one' });
  });
}

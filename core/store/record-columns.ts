/** The columns of each kind of record in the order that digests, ledger and folders rely on: it never changes. */

import type { Entity, PlanItemTable, ReadingTable, RecordTables } from './tables.ts';

/**
 * The content of each record in its fixed order: what its digest covers and what the ledger shows.
 * Left out: `ledger_seq` and `digest` themselves; `superseded_by_id`, which the superseding event's own
 * `supersedes_id` proves.
 * A test event's content is followed by its readings (`readingColumns`), a plan's by its items (`planItemColumns`);
 * blobs stand as lower-case hexadecimal, `source_file.bytes` and `trace.samples` as the hexadecimal of their SHA-256
 * as stored (compressed).
 */
export const recordColumns = {
  substation: ['id', 'owner_id', 'name', 'region'],
  feeder: ['id', 'owner_id', 'substation_id', 'name', 'nominal_kv', 'customers', 'peak_load_kva'],
  segment: [
    'id',
    'owner_id',
    'feeder_id',
    'name',
    'from_point',
    'to_point',
    'length_m',
    'length_typed',
    'length_typed_unit',
    'rated_kv',
    'insulation_level_pct',
    'insulation',
    'conductor_material',
    'conductor_area_mm2',
    'conductor_diameter_mm',
    'insulation_thickness_mm',
    'phases',
    'installation',
    'energised_on',
    'retired_on',
    'replaces_id',
    'customers',
    'alternate_supply',
    'critical_load',
  ],
  splice: ['id', 'owner_id', 'segment_id', 'phase', 'position_m', 'kind', 'installed_on', 'removed_on'],
  termination: ['id', 'owner_id', 'segment_id', 'segment_end', 'phase', 'kind', 'installed_on', 'removed_on'],
  intervention: ['id', 'owner_id', 'segment_id', 'done_on', 'kind', 'note'],
  failure: [
    'id',
    'owner_id',
    'segment_id',
    'failed_on',
    'phase',
    'part',
    'cause',
    'customers_interrupted',
    'duration_min',
  ],
  instrument: ['id', 'owner_id', 'serial', 'description'],
  calibration: ['id', 'owner_id', 'instrument_id', 'calibrated_on', 'due_on', 'certificate', 'source_file_id'],
  source_file: ['id', 'sha256', 'name', 'media_type', 'byte_count', 'compression', 'bytes', 'received_at'],
  test_event: ['id', 'owner_id', 'segment_id', 'tested_on', 'method', 'purpose', 'source_file_id', 'supersedes_id'],
  trace: ['id', 'test_event_id', 'phase', 'source_file_id', 'sample_count', 'duration_s', 'codec', 'samples', 'says'],
  person: ['id', 'name', 'role', 'left_on'],
  leakage_limit: ['id', 'insulation', 'limit_ns_per_km', 'source', 'set_on'],
  policy: ['id', 'subject', 'version', 'in_force_from', 'rule', 'words', 'source'],
  excuse: ['id', 'segment_id', 'due_on', 'until', 'reason'],
  cost: ['id', 'name', 'value', 'unit', 'source'],
  finding_verdict: ['id', 'finding_key', 'verdict', 'reason'],
  treatment: ['id', 'finding_key', 'kind', 'segment_id', 'instrument_id', 'what'],
  plan: ['id', 'name', 'made_at', 'fleet_revision', 'state', 'options', 'result', 'approved_at', 'approved_by'],
  layout: ['id', 'fingerprint', 'subject', 'layout'],
} as const satisfies { [E in Entity]: readonly (keyof RecordTables[E])[] };

/** Kinds of record in the fixed order in which the ledger lists them. */
export const entities = Object.keys(recordColumns).sort() as Entity[];

export const readingColumns = [
  'phase',
  'step',
  'voltage_kv',
  'dwell_min',
  'leakage_ua',
  'leakage_typed',
  'leakage_typed_unit',
  'below_floor',
  'insulation_temp_c',
  'ambient_temp_c',
  'humidity_pct',
  'outcome',
  'instrument_id',
  'crew',
  'note',
] as const satisfies readonly (keyof ReadingTable)[];

export const planItemColumns = [
  'segment_id',
  'year',
  'action',
  'cost',
  'benefit_pv',
  'pinned',
] as const satisfies readonly (keyof PlanItemTable)[];

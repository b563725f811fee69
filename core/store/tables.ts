/** The tables of a fleet file as rows; units as in the column names. The DDL in migrations/ is the authority on constraints. */

export interface RecordMark {
  /** The ledger line that last wrote this record. */
  ledger_seq: number;
  /** SHA-256 over the record's own content (`recordColumns` in record-columns.ts). */
  digest: Uint8Array;
}

export interface FleetTable {
  only: number;
  fleet_id: string;
  utility_name: string;
  created_at: string;
}
export interface SubstationTable extends RecordMark {
  id: string;
  owner_id: string;
  name: string;
  region: string | null;
}
export interface FeederTable extends RecordMark {
  id: string;
  owner_id: string;
  substation_id: string;
  name: string;
  nominal_kv: number | null;
  customers: number | null;
  peak_load_kva: number | null;
}
export interface SegmentTable extends RecordMark {
  id: string;
  owner_id: string;
  feeder_id: string;
  name: string;
  from_point: string | null;
  to_point: string | null;
  length_m: number;
  length_typed: number;
  length_typed_unit: string;
  rated_kv: number | null;
  insulation_level_pct: number | null;
  insulation: string;
  conductor_material: string | null;
  conductor_area_mm2: number | null;
  conductor_diameter_mm: number | null;
  insulation_thickness_mm: number | null;
  phases: string;
  installation: string | null;
  energised_on: string | null;
  retired_on: string | null;
  replaces_id: string | null;
  customers: number | null;
  alternate_supply: number | null;
  critical_load: number | null;
}
export interface SpliceTable extends RecordMark {
  id: string;
  owner_id: string;
  segment_id: string;
  phase: string | null;
  position_m: number | null;
  kind: string | null;
  installed_on: string | null;
  removed_on: string | null;
}
export interface TerminationTable extends RecordMark {
  id: string;
  owner_id: string;
  segment_id: string;
  segment_end: string;
  phase: string | null;
  kind: string | null;
  installed_on: string | null;
  removed_on: string | null;
}
export interface InterventionTable extends RecordMark {
  id: string;
  owner_id: string;
  segment_id: string;
  done_on: string;
  kind: string;
  note: string | null;
}
export interface FailureTable extends RecordMark {
  id: string;
  owner_id: string;
  segment_id: string;
  failed_on: string;
  phase: string | null;
  part: string | null;
  cause: string | null;
  customers_interrupted: number | null;
  duration_min: number | null;
}
export interface InstrumentTable extends RecordMark {
  id: string;
  owner_id: string;
  serial: string | null;
  description: string | null;
}
export interface CalibrationTable extends RecordMark {
  id: string;
  owner_id: string;
  instrument_id: string;
  calibrated_on: string;
  due_on: string | null;
  certificate: string | null;
  source_file_id: string | null;
}
export interface SourceFileTable extends RecordMark {
  id: string;
  sha256: Uint8Array;
  name: string;
  media_type: string;
  byte_count: number;
  compression: string;
  bytes: Uint8Array;
  received_at: string;
}
export interface TestEventTable extends RecordMark {
  id: string;
  owner_id: string;
  segment_id: string;
  tested_on: string;
  method: string;
  purpose: string | null;
  source_file_id: string | null;
  supersedes_id: string | null;
  superseded_by_id: string | null;
}
export interface ReadingTable {
  test_event_id: string;
  phase: string;
  step: number;
  voltage_kv: number;
  dwell_min: number | null;
  leakage_ua: number;
  leakage_typed: number;
  leakage_typed_unit: string;
  below_floor: number;
  insulation_temp_c: number | null;
  ambient_temp_c: number | null;
  humidity_pct: number | null;
  outcome: string | null;
  instrument_id: string | null;
  crew: string | null;
  note: string | null;
}
export interface TraceTable extends RecordMark {
  id: string;
  test_event_id: string;
  phase: string;
  source_file_id: string;
  sample_count: number;
  duration_s: number;
  codec: string;
  samples: Uint8Array;
  says: string;
}
export interface PersonTable extends RecordMark {
  id: string;
  name: string;
  role: string;
  left_on: string | null;
}
export interface LeakageLimitTable extends RecordMark {
  id: string;
  insulation: string;
  limit_ns_per_km: number;
  source: string;
  set_on: string | null;
}
export interface PolicyTable extends RecordMark {
  id: string;
  subject: string;
  version: number;
  in_force_from: string;
  rule: string;
  words: string;
  source: string;
}
export interface ExcuseTable extends RecordMark {
  id: string;
  segment_id: string;
  due_on: string;
  until: string | null;
  reason: string;
}
export interface CostTable extends RecordMark {
  id: string;
  name: string;
  value: number;
  unit: string;
  source: string;
}
export interface FindingVerdictTable extends RecordMark {
  id: string;
  finding_key: string;
  verdict: string;
  reason: string;
}
/** What a verdict on a finding does to the numbers. */
export interface TreatmentTable extends RecordMark {
  id: string;
  finding_key: string;
  kind: string;
  /** One of the two. */
  segment_id: string | null;
  instrument_id: string | null;
  /** JSON: the readings and how they are taken. */
  what: string;
}
export interface PlanTable extends RecordMark {
  id: string;
  name: string;
  made_at: string;
  fleet_revision: number;
  state: string;
  options: string;
  result: string;
  approved_at: string | null;
  approved_by: string | null;
}
export type PlanItemTable = {
  plan_id: string;
  segment_id: string;
  year: number;
  action: string;
  cost: number;
  benefit_pv: number;
  pinned: number;
};
export interface LayoutTable extends RecordMark {
  id: string;
  fingerprint: string;
  subject: string;
  layout: string;
}
export interface LedgerTable {
  seq: number;
  at: string;
  who: string;
  what: string;
  entity: string | null;
  entity_id: string | null;
  before: string | null;
  after: string | null;
  why: string | null;
  rows_digest: Uint8Array | null;
  rows_locator: Uint8Array | null;
  previous_hash: Uint8Array;
  hash: Uint8Array;
}
export interface LedgerChangeTable {
  seq: number;
  entity: string;
  entity_id: string;
  before: string;
  before_seq: number;
  before_digest: Uint8Array;
}
export interface LedgerListTable {
  seq: number;
  part: number;
  entity: string;
  entries: Uint8Array;
}
export interface SignatureTable {
  seq: number;
  hash: Uint8Array;
  public_key: string;
  signature: Uint8Array;
  signed_at: string;
  signed_by: string;
}
export interface KeptTable {
  name: string;
  asked: string;
  revision: number;
  made_at: string;
  digest: Uint8Array;
  bytes: Uint8Array;
}

export interface RecordTables {
  substation: SubstationTable;
  feeder: FeederTable;
  segment: SegmentTable;
  splice: SpliceTable;
  termination: TerminationTable;
  intervention: InterventionTable;
  failure: FailureTable;
  instrument: InstrumentTable;
  calibration: CalibrationTable;
  source_file: SourceFileTable;
  test_event: TestEventTable;
  trace: TraceTable;
  person: PersonTable;
  leakage_limit: LeakageLimitTable;
  policy: PolicyTable;
  excuse: ExcuseTable;
  cost: CostTable;
  finding_verdict: FindingVerdictTable;
  treatment: TreatmentTable;
  plan: PlanTable;
  layout: LayoutTable;
}

export interface Tables extends RecordTables {
  fleet: FleetTable;
  reading: ReadingTable;
  plan_item: PlanItemTable;
  ledger: LedgerTable;
  ledger_change: LedgerChangeTable;
  ledger_list: LedgerListTable;
  signature: SignatureTable;
  kept: KeptTable;
}

/** A kind of record that the ledger watches. */
export type Entity = keyof RecordTables;

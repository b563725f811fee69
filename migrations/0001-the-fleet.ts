// 0001: the utility, its cables and what was measured on them.
// Every record carries the ledger line that last wrote it and a SHA-256 over its own content.
import { type Kysely, sql } from 'kysely';

const record = `
  ledger_seq integer not null check (ledger_seq > 0),
  digest blob not null check (length(digest) = 32)`;
const key = `id text primary key not null check (length(id) = 36),
  owner_id text not null check (length(owner_id) between 1 and 200)`;
const date = (column: string) => `${column} text check (${column} is null or ${column} is date(${column}))`;
const needed = (column: string) => `${column} text not null check (${column} is date(${column}))`;
const yesNo = (column: string) => `${column} integer check (${column} in (0, 1))`;
const some = (column: string, values: string) =>
  `${column} text check (${column} in (${values
    .split(' ')
    .map((v) => `'${v}'`)
    .join(', ')}))`;
const positive = (column: string) => `${column} real check (${column} > 0)`;
const notNegative = (column: string) => `${column} real check (${column} >= 0)`;
const phases = 'A B C AB AC BC ABC';

const tables = [
  `create table fleet (
    only integer primary key check (only = 1),
    fleet_id text not null check (length(fleet_id) = 36),
    utility_name text not null,
    created_at text not null
  ) strict`,
  `create table substation (
    ${key} unique,
    name text not null,
    region text,
    ${record}
  ) strict`,
  `create table feeder (
    ${key} unique,
    substation_id text not null references substation(id),
    name text not null,
    ${positive('nominal_kv')},
    customers integer check (customers >= 0),
    ${notNegative('peak_load_kva')},
    ${record}
  ) strict`,
  `create table segment (
    ${key} unique,
    feeder_id text not null references feeder(id),
    name text not null,
    from_point text,
    to_point text,
    length_m real not null check (length_m > 0),
    length_typed real not null check (length_typed > 0),
    length_typed_unit text not null check (length_typed_unit in ('m', 'km', 'ft', 'kft', 'mi')),
    ${positive('rated_kv')},
    insulation_level_pct integer check (insulation_level_pct in (100, 133, 173)),
    insulation text not null check (insulation in ('PILC', 'HMWPE', 'XLPE', 'TR-XLPE', 'EPR', 'PVC', 'other')),
    ${some('conductor_material', 'Cu Al')},
    ${positive('conductor_area_mm2')},
    ${positive('conductor_diameter_mm')},
    ${positive('insulation_thickness_mm')},
    phases text not null check (phases in ('A', 'B', 'C', 'AB', 'AC', 'BC', 'ABC')),
    ${some('installation', 'duct direct_buried tray submarine')},
    ${date('energised_on')},
    ${date('retired_on')},
    replaces_id text references segment(id) check (replaces_id is not id),
    customers integer check (customers >= 0),
    ${yesNo('alternate_supply')},
    ${yesNo('critical_load')},
    ${record},
    check (retired_on is null or energised_on is null or retired_on >= energised_on)
  ) strict`,
  `create table splice (
    ${key} unique,
    segment_id text not null references segment(id),
    ${some('phase', phases)},
    ${notNegative('position_m')},
    ${some('kind', 'taped heat_shrink cold_shrink premoulded transition')},
    ${date('installed_on')},
    ${date('removed_on')},
    ${record},
    check (removed_on is null or installed_on is null or removed_on >= installed_on)
  ) strict`,
  `create table termination (
    ${key} unique,
    segment_id text not null references segment(id),
    segment_end text not null check (segment_end in ('from', 'to')),
    ${some('phase', phases)},
    kind text,
    ${date('installed_on')},
    ${date('removed_on')},
    ${record},
    check (removed_on is null or installed_on is null or removed_on >= installed_on)
  ) strict`,
  `create table intervention (
    ${key} unique,
    segment_id text not null references segment(id),
    ${needed('done_on')},
    kind text not null check (kind in
      ('section_replaced', 'splice_added', 'splice_renewed', 'fluid_injected', 'termination_remade')),
    note text,
    ${record}
  ) strict`,
  `create table failure (
    ${key} unique,
    segment_id text not null references segment(id),
    ${needed('failed_on')},
    ${some('phase', phases)},
    ${some('part', 'cable splice termination')},
    cause text,
    customers_interrupted integer check (customers_interrupted >= 0),
    ${notNegative('duration_min')},
    ${record}
  ) strict`,
  `create table instrument (
    ${key} unique,
    serial text,
    description text,
    ${record}
  ) strict`,
  `create table calibration (
    ${key} unique,
    instrument_id text not null references instrument(id),
    ${needed('calibrated_on')},
    ${date('due_on')},
    certificate text,
    source_file_id text references source_file(id),
    ${record},
    check (due_on is null or due_on >= calibrated_on)
  ) strict`,
  // The bytes a record came from, kept as they were received.
  `create table source_file (
    id text primary key not null check (length(id) = 36),
    sha256 blob not null unique check (length(sha256) = 32),
    name text not null,
    media_type text not null,
    byte_count integer not null check (byte_count >= 0),
    compression text not null check (compression in ('none', 'deflate', 'brotli')),
    bytes blob not null,
    received_at text not null,
    ${record}
  ) strict`,
  // A correction is a new event that supersedes the old one; both stay.
  `create table test_event (
    ${key},
    segment_id text not null references segment(id),
    ${needed('tested_on')},
    method text not null check (method in ('dc_withstand', 'dc_step', 'insulation_resistance')),
    ${some('purpose', 'acceptance maintenance after_repair')},
    source_file_id text references source_file(id),
    supersedes_id text references test_event(id),
    superseded_by_id text references test_event(id) deferrable initially deferred,
    ${record}
  ) strict`,
  // One phase of one event at one voltage; clustered with its event, no key of its own.
  `create table reading (
    test_event_id text not null references test_event(id),
    phase text not null check (phase in ('A', 'B', 'C')),
    step integer not null check (step >= 0),
    voltage_kv real not null check (voltage_kv > 0),
    dwell_min real check (dwell_min > 0),
    leakage_ua real not null check (leakage_ua > 0),
    leakage_typed real not null check (leakage_typed > 0),
    leakage_typed_unit text not null check (leakage_typed_unit in ('nA', 'uA', 'mA')),
    below_floor integer not null check (below_floor in (0, 1)),
    insulation_temp_c real,
    ambient_temp_c real,
    humidity_pct real check (humidity_pct between 0 and 100),
    outcome text check (outcome in ('withstood', 'breakdown', 'stopped')),
    instrument_id text references instrument(id),
    crew text,
    note text,
    primary key (test_event_id, phase, step)
  ) strict, without rowid`,
  `create table trace (
    id text primary key not null check (length(id) = 36),
    test_event_id text not null references test_event(id),
    phase text not null check (phase in ('A', 'B', 'C')),
    source_file_id text not null references source_file(id),
    sample_count integer not null check (sample_count > 0),
    duration_s real not null check (duration_s >= 0),
    codec text not null,
    samples blob not null,
    says text not null check (json_valid(says)),
    ${record}
  ) strict`,
  // Answers kept so that an unchanged fleet answers at once; never evidence, always remakeable.
  `create table kept (
    name text not null,
    asked text not null,
    revision integer not null,
    made_at text not null,
    digest blob not null check (length(digest) = 32),
    bytes blob not null,
    primary key (name, asked)
  ) strict, without rowid`,
];

const indexes = [
  'create index feeder_by_substation on feeder (substation_id)',
  'create index segment_by_feeder on segment (feeder_id)',
  'create index segment_by_replaced on segment (replaces_id) where replaces_id is not null',
  'create index splice_by_segment on splice (segment_id)',
  'create index termination_by_segment on termination (segment_id)',
  'create index intervention_by_segment on intervention (segment_id, done_on)',
  'create index failure_by_segment on failure (segment_id, failed_on)',
  'create index calibration_by_instrument on calibration (instrument_id, calibrated_on)',
  'create index calibration_by_file on calibration (source_file_id) where source_file_id is not null',
  'create unique index test_event_current on test_event (owner_id) where superseded_by_id is null',
  'create index test_event_by_segment on test_event (segment_id, tested_on)',
  'create index test_event_by_file on test_event (source_file_id) where source_file_id is not null',
  'create index test_event_superseded on test_event (superseded_by_id) where superseded_by_id is not null',
  'create index trace_by_event on trace (test_event_id)',
];

export async function up(db: Kysely<unknown>): Promise<void> {
  for (const text of [...tables, ...indexes]) await sql.raw(text).execute(db);
}

import { type Fleet, prepared } from './sql.ts';

/** A segment as the models read it; text dates, NULL as null. */
export interface ModelSegment {
  readonly id: string;
  readonly ownerId: string;
  readonly feederId: string;
  readonly lengthM: number;
  readonly ratedKv: number | null;
  readonly insulation: string;
  readonly phases: string;
  readonly conductorDiameterMm: number | null;
  readonly insulationThicknessMm: number | null;
  readonly energisedOn: string | null;
  readonly retiredOn: string | null;
  readonly replacesId: string | null;
  readonly customers: number | null;
  readonly alternateSupply: number | null;
  readonly criticalLoad: number | null;
  readonly installation: string | null;
}

/** All segments in order of the owner's id, which is the order of every column of the models. */
export function modelSegments(fleet: Fleet): ModelSegment[] {
  return prepared(
    fleet,
    `select id, owner_id as ownerId, feeder_id as feederId, length_m as lengthM, rated_kv as ratedKv, insulation, phases,
       conductor_diameter_mm as conductorDiameterMm, insulation_thickness_mm as insulationThicknessMm,
       energised_on as energisedOn, retired_on as retiredOn, replaces_id as replacesId, customers,
       alternate_supply as alternateSupply, critical_load as criticalLoad, installation
     from segment order by owner_id`,
  ).all() as ModelSegment[];
}

/** [id, segment_id, tested_on, method, purpose] of current events up to a day, in order of id. */
export type EventRow = [string, string, string, string, string | null];

export function eventsUpTo(fleet: Fleet, asOf: string): IterableIterator<EventRow> {
  return prepared(
    fleet,
    `select id, segment_id, tested_on, method, purpose from test_event
     where superseded_by_id is null and tested_on <= ? order by id`,
  )
    .raw()
    .iterate(asOf) as IterableIterator<EventRow>;
}

/** The same as the file stood at the end of that day: corrections entered later had not yet replaced anything. */
export function eventsAsEntered(fleet: Fleet, asOf: string): IterableIterator<EventRow> {
  return prepared(
    fleet,
    `select e.id, e.segment_id, e.tested_on, e.method, e.purpose from test_event e
       join ledger l on l.seq = e.ledger_seq
       left join test_event n on n.id = e.superseded_by_id
       left join ledger k on k.seq = n.ledger_seq
     where e.tested_on <= :day and (e.supersedes_id is null or substr(l.at, 1, 10) <= :day)
       and (n.id is null or substr(k.at, 1, 10) > :day)
     order by e.id`,
  )
    .raw()
    .iterate({ day: asOf }) as IterableIterator<EventRow>;
}

/** [test_event_id, phase, voltage_kv, dwell_min, leakage_ua, below_floor, insulation_temp_c, ambient_temp_c, instrument_id]. */
export type ReadingRow = [
  string,
  string,
  number,
  number | null,
  number,
  number,
  number | null,
  number | null,
  string | null,
];

/** Every reading in order of its event's id, then phase and step. */
export function readingsInOrder(fleet: Fleet): IterableIterator<ReadingRow> {
  return prepared(
    fleet,
    `select test_event_id, phase, voltage_kv, dwell_min, leakage_ua, below_floor, insulation_temp_c, ambient_temp_c,
       instrument_id
     from reading order by test_event_id, phase, step`,
  )
    .raw()
    .iterate() as IterableIterator<ReadingRow>;
}

/** Every test event, superseded ones too: counted in an index, where counting readings would read them all. */
export function countEvents(fleet: Fleet): number {
  return (prepared(fleet, 'select count(*) as n from test_event').get() as { n: number }).n;
}

export interface ModelIntervention {
  readonly segmentId: string;
  readonly doneOn: string;
  readonly kind: string;
}

export function interventionsUpTo(fleet: Fleet, asOf: string): ModelIntervention[] {
  return prepared(
    fleet,
    `select segment_id as segmentId, done_on as doneOn, kind from intervention where done_on <= ?
     order by segment_id, done_on, id`,
  ).all(asOf) as ModelIntervention[];
}

export interface ModelFailure {
  readonly segmentId: string;
  readonly failedOn: string;
  readonly part: string | null;
  readonly cause: string | null;
}

export function failuresUpTo(fleet: Fleet, asOf: string): ModelFailure[] {
  return prepared(
    fleet,
    `select segment_id as segmentId, failed_on as failedOn, part, cause from failure where failed_on <= ?
     order by segment_id, failed_on, id`,
  ).all(asOf) as ModelFailure[];
}

/** Splices in service on a day, a segment. */
export function splicesInService(fleet: Fleet, on: string): { segmentId: string; splices: number }[] {
  return prepared(
    fleet,
    `select segment_id as segmentId, count(*) as splices from splice
     where (installed_on is null or installed_on <= ?) and (removed_on is null or removed_on > ?)
     group by segment_id`,
  ).all(on, on) as { segmentId: string; splices: number }[];
}

/** When each splice came and went; null where unknown or still there. */
export function spliceSpans(
  fleet: Fleet,
): { segmentId: string; installedOn: string | null; removedOn: string | null }[] {
  return prepared(
    fleet,
    'select segment_id as segmentId, installed_on as installedOn, removed_on as removedOn from splice',
  ).all() as { segmentId: string; installedOn: string | null; removedOn: string | null }[];
}

export function instrumentIds(fleet: Fleet): string[] {
  return (prepared(fleet, 'select id from instrument order by owner_id').all() as { id: string }[]).map((r) => r.id);
}

export interface LimitRow {
  readonly insulation: string;
  readonly limitNsPerKm: number;
  readonly source: string;
  readonly setOn: string | null;
}

export function leakageLimits(fleet: Fleet): LimitRow[] {
  return prepared(
    fleet,
    `select insulation, limit_ns_per_km as limitNsPerKm, source, set_on as setOn from leakage_limit order by insulation`,
  ).all() as LimitRow[];
}

export function segmentsByInsulation(fleet: Fleet): { insulation: string; segments: number }[] {
  return prepared(
    fleet,
    'select insulation, count(*) as segments from segment where retired_on is null group by insulation',
  ).all() as { insulation: string; segments: number }[];
}

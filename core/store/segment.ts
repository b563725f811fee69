import { type Fleet, prepared } from './sql.ts';
import type {
  FailureTable,
  InterventionTable,
  ReadingTable,
  SegmentTable,
  SpliceTable,
  TerminationTable,
} from './tables.ts';

export interface SegmentRow extends SegmentTable {
  readonly feeder_name: string;
  readonly substation_id: string;
  readonly substation_name: string;
}

export function segmentRow(fleet: Fleet, segmentId: string): SegmentRow | undefined {
  return prepared(
    fleet,
    `select g.*, f.name as feeder_name, s.id as substation_id, s.name as substation_name
     from segment g join feeder f on f.id = g.feeder_id join substation s on s.id = f.substation_id where g.id = ?`,
  ).get(segmentId) as SegmentRow | undefined;
}

export function segmentByOwnerId(fleet: Fleet, ownerId: string): { id: string; name: string } | undefined {
  return prepared(fleet, 'select id, name from segment where owner_id = ?').get(ownerId) as
    | { id: string; name: string }
    | undefined;
}

export function segmentsByName(fleet: Fleet, name: string): { id: string; name: string; ownerId: string }[] {
  return prepared(
    fleet,
    'select id, name, owner_id as ownerId from segment where name = ? collate nocase order by owner_id',
  ).all(name) as { id: string; name: string; ownerId: string }[];
}

export function replacementOf(fleet: Fleet, segmentId: string): { id: string; name: string } | undefined {
  return prepared(fleet, 'select id, name from segment where replaces_id = ? order by owner_id').get(segmentId) as
    | { id: string; name: string }
    | undefined;
}

/** Entries (id and digest, 24 bytes each) of the segments that a ledger line wrote. */
export const segmentEntriesOf = (fleet: Fleet, seq: number): Uint8Array[] =>
  prepared(fleet, "select entries from ledger_list where seq = ? and entity = 'segment' order by part")
    .pluck()
    .all(seq) as Uint8Array[];

/** The last day on which something was done to the segment or measured on it, or null. */
export const lastDayOf = (fleet: Fleet, segmentId: string): string | null =>
  prepared(
    fleet,
    `select max(day) from (
       select tested_on as day from test_event where segment_id = :id and superseded_by_id is null
       union all select done_on from intervention where segment_id = :id
       union all select failed_on from failure where segment_id = :id)`,
  )
    .pluck()
    .get({ id: segmentId }) as string | null;

/** Whether any other record belongs to the segment. */
export const hasRecords = (fleet: Fleet, segmentId: string): boolean =>
  prepared(
    fleet,
    `select exists (select 1 from test_event where segment_id = :id) or exists (select 1 from intervention where segment_id = :id)
       or exists (select 1 from failure where segment_id = :id) or exists (select 1 from splice where segment_id = :id)
       or exists (select 1 from termination where segment_id = :id) or exists (select 1 from segment where replaces_id = :id)`,
  )
    .pluck()
    .get({ id: segmentId }) === 1;

/** Phases of the segment that current tests have readings of. */
export const testedPhases = (fleet: Fleet, segmentId: string): string[] =>
  prepared(
    fleet,
    `select distinct r.phase from test_event e join reading r on r.test_event_id = e.id
     where e.segment_id = ? and e.superseded_by_id is null order by r.phase`,
  )
    .pluck()
    .all(segmentId) as string[];

export interface SegmentEventRow {
  readonly id: string;
  readonly owner_id: string;
  readonly tested_on: string;
  readonly method: string;
  readonly purpose: string | null;
  readonly source_file_id: string | null;
  readonly traces: number;
}

/** Current events of a segment up to a day in the order of the models: by day, then id. */
export function eventsOfSegment(fleet: Fleet, segmentId: string, upTo = '9999-12-31'): SegmentEventRow[] {
  return prepared(
    fleet,
    `select e.id, e.owner_id, e.tested_on, e.method, e.purpose, e.source_file_id,
       (select count(*) from trace t where t.test_event_id = e.id) as traces
     from test_event e where e.segment_id = ? and e.superseded_by_id is null and e.tested_on <= ?
     order by e.tested_on, e.id`,
  ).all(segmentId, upTo) as SegmentEventRow[];
}

/** Readings of all current events of a segment up to a day, in the order of the models: event, phase, step. */
export function readingsOfSegment(fleet: Fleet, segmentId: string, upTo = '9999-12-31'): ReadingTable[] {
  return prepared(
    fleet,
    `select r.* from test_event e join reading r on r.test_event_id = e.id
     where e.segment_id = ? and e.superseded_by_id is null and e.tested_on <= ?
     order by e.tested_on, e.id, r.phase, r.step`,
  ).all(segmentId, upTo) as ReadingTable[];
}

export interface ReplacedEventRow {
  readonly id: string;
  readonly owner_id: string;
  readonly tested_on: string;
  readonly byId: string;
  readonly at: string;
  readonly who: string;
  readonly why: string | null;
}

/** Tests of a segment that a correction took the place of, newest first, with the line that did. */
export function replacedEventsOf(fleet: Fleet, segmentId: string): ReplacedEventRow[] {
  return prepared(
    fleet,
    `select o.id, o.owner_id, o.tested_on, n.id as byId, l.at, l.who, l.why
     from test_event o join test_event n on n.id = o.superseded_by_id join ledger l on l.seq = n.ledger_seq
     where o.segment_id = ? and o.superseded_by_id is not null order by l.seq desc, o.tested_on desc, o.id`,
  ).all(segmentId) as ReplacedEventRow[];
}

export function splicesOf(fleet: Fleet, segmentId: string): SpliceTable[] {
  return prepared(
    fleet,
    'select * from splice where segment_id = ? order by position_m is null, position_m, owner_id',
  ).all(segmentId) as SpliceTable[];
}

export function terminationsOf(fleet: Fleet, segmentId: string): TerminationTable[] {
  return prepared(fleet, 'select * from termination where segment_id = ? order by segment_end, owner_id').all(
    segmentId,
  ) as TerminationTable[];
}

export function interventionsOf(fleet: Fleet, segmentId: string): InterventionTable[] {
  return prepared(fleet, 'select * from intervention where segment_id = ? order by done_on, owner_id').all(
    segmentId,
  ) as InterventionTable[];
}

export function failuresOf(fleet: Fleet, segmentId: string): FailureTable[] {
  return prepared(fleet, 'select * from failure where segment_id = ? order by failed_on, owner_id').all(
    segmentId,
  ) as FailureTable[];
}

export interface CalibrationSpan {
  readonly instrumentId: string;
  readonly calibratedOn: string;
  readonly dueOn: string | null;
}

export function calibrationsOf(fleet: Fleet, instrumentId: string): CalibrationSpan[] {
  return prepared(
    fleet,
    `select instrument_id as instrumentId, calibrated_on as calibratedOn, due_on as dueOn from calibration
     where instrument_id = ? order by calibrated_on`,
  ).all(instrumentId) as CalibrationSpan[];
}

export function instrumentNames(fleet: Fleet): Map<string, string> {
  const rows = prepared(fleet, 'select id, owner_id, serial from instrument').all() as {
    id: string;
    owner_id: string;
    serial: string | null;
  }[];
  return new Map(rows.map((row) => [row.id, row.serial ?? row.owner_id]));
}

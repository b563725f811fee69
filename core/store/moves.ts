import { type Fleet, prepared } from './sql.ts';

/** A reading taken in a period, with its event and segment. */
export interface PeriodReading {
  readonly segmentId: string;
  readonly eventId: string;
  readonly testedOn: string;
  readonly phase: string;
  readonly voltageKv: number;
  readonly dwellMin: number | null;
  readonly leakageUa: number;
  readonly belowFloor: number;
  readonly insulationTempC: number | null;
}

/** Readings of current events after one day and up to another, in the order of the models: event by event of a segment. */
export function readingsBetween(fleet: Fleet, after: string, upTo: string): IterableIterator<PeriodReading> {
  return prepared(
    fleet,
    `select e.segment_id as segmentId, e.id as eventId, e.tested_on as testedOn, r.phase, r.voltage_kv as voltageKv,
       r.dwell_min as dwellMin, r.leakage_ua as leakageUa, r.below_floor as belowFloor,
       r.insulation_temp_c as insulationTempC
     from test_event e join reading r on r.test_event_id = e.id
     where e.superseded_by_id is null and e.tested_on > ? and e.tested_on <= ?
     order by e.segment_id, e.tested_on, e.id, r.phase, r.step`,
  ).iterate(after, upTo) as IterableIterator<PeriodReading>;
}

/** Work and failures after one day and up to another, by segment and day. */
export function happenedBetween(
  fleet: Fleet,
  after: string,
  upTo: string,
): { segmentId: string; on: string; intervention: string | null; part: string | null }[] {
  return prepared(
    fleet,
    `select segment_id as segmentId, done_on as "on", kind as intervention, null as part, id from intervention
       where done_on > :after and done_on <= :upTo
     union all
     select segment_id, failed_on, null, coalesce(part, ''), id from failure where failed_on > :after and failed_on <= :upTo
     order by segmentId, "on", id`,
  ).all({ after, upTo }) as never;
}

/** Tests up to a day whose correction was entered after it: until then another reading stood. */
export function correctedSince(
  fleet: Fleet,
  day: string,
): { segmentId: string; testedOn: string; enteredOn: string }[] {
  return prepared(
    fleet,
    `select n.segment_id as segmentId, o.tested_on as testedOn, substr(l.at, 1, 10) as enteredOn
     from test_event n join test_event o on o.id = n.supersedes_id join ledger l on l.seq = n.ledger_seq
     where n.superseded_by_id is null and o.tested_on <= ? and substr(l.at, 1, 10) > ?
     order by n.segment_id, o.tested_on, n.id`,
  ).all(day, day) as never;
}

/** The day of the last approval of a plan before a day, or null. */
export function lastApprovalBefore(fleet: Fleet, day: string): string | null {
  return prepared(fleet, 'select max(substr(approved_at, 1, 10)) from plan where substr(approved_at, 1, 10) < ?')
    .pluck()
    .get(day) as string | null;
}

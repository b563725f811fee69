import {
  dayNumber,
  dueByVersions,
  type IntervalRule,
  noResults,
  type Results,
  type RuledSegment,
  type RuleVersion,
  type StandingVersion,
  type VersionedDue,
} from './due.ts';
import { versionsKnown } from './known-then.ts';

export type Status = 'on time' | 'early' | 'late' | 'missing' | 'excused' | 'open';

export interface SegmentLife extends RuledSegment {
  readonly energisedOn: string | null;
  readonly retiredOn: string | null;
}

export interface Excuse {
  readonly dueOn: string;
  readonly until: string | null;
}

/** One test that was due, and what became of it. */
export interface Obligation<E extends Excuse> {
  /** What the due day was counted from: the test before, or the first day in service. */
  readonly since: string;
  readonly due: VersionedDue;
  readonly dueOn: string;
  readonly version: RuleVersion;
  /** Index into the days of tests; null where it was not done. */
  readonly done: number | null;
  /** Days after the due day; negative before it; null where it was not done. */
  readonly daysLate: number | null;
  readonly status: Status;
  readonly excuse: E | null;
}

export interface Period {
  readonly from: string;
  readonly to: string;
  /** The day on which it is looked at: a test not due yet by then is open. */
  readonly asOf: string;
}

/** One test that falls due in the life of a segment, whatever period is looked at. */
export interface Duty<E extends Excuse> {
  readonly since: string;
  readonly due: VersionedDue;
  readonly done: number | null;
  readonly excuse: E | null;
}

/**
 * Every test that falls due in the life of a segment, in order of time; the last is the one still to be done.
 * `testedOn` ascending; `results` of those tests and of attempts that were broken off, by day. Null where neither a test nor the first day in service is known, so that no due day can be told.
 */
export function dutiesOf<E extends Excuse>(
  segment: SegmentLife,
  testedOn: readonly string[],
  versions: readonly RuleVersion[],
  excuses: readonly E[],
  results: Results = noResults,
): Duty<E>[] | null {
  const first = testedOn[0];
  const begin =
    segment.energisedOn !== null && (first === undefined || segment.energisedOn < first) ? segment.energisedOn : first;
  if (begin === undefined) return null;
  const duties: Duty<E>[] = [];
  const through = results.before === undefined ? versions : versionsKnown(versions, results.before);
  let since = begin;
  for (;;) {
    const next = testedOn.findIndex((day) => day > since);
    const done = next < 0 ? null : next;
    const doneOn = done === null ? null : testedOn[done]!;
    const due = dueByVersions(since, standing(through, since, doneOn), segment, between(results, since, doneOn));
    const { dueOn } = due;
    const retired = segment.retiredOn !== null && segment.retiredOn < dueOn && doneOn === null;
    if (!retired) {
      const excuse = excuses.find((one) => one.dueOn > since && one.dueOn <= later(dueOn, doneOn ?? dueOn)) ?? null;
      duties.push({ since, due, done, excuse });
    }
    if (doneOn === null) return duties;
    since = doneOn;
  }
}

/** The tests of one segment that belong to a period: due in it, done in it, or due before it and not done before it. See `dutiesOf`. */
export function obligationsOf<E extends Excuse>(
  segment: SegmentLife,
  testedOn: readonly string[],
  versions: readonly RuleVersion[],
  excuses: readonly E[],
  period: Period,
  results: Results = noResults,
): Obligation<E>[] | null {
  const duties = dutiesOf(segment, testedOn, versions, excuses, results);
  if (duties === null) return null;
  const from = dayNumber(period.from);
  const to = dayNumber(period.to);
  const asOf = dayNumber(period.asOf);
  return duties.flatMap(({ since, due, done, excuse }) => {
    const { dueOn, version } = due;
    const dueDay = dayNumber(dueOn);
    const doneDay = done === null ? null : dayNumber(testedOn[done]!);
    if (!belongs(dueDay, doneDay, from, to)) return [];
    const status = statusOf(dueDay, doneDay, version.rule, excusedUntil(excuse), asOf);
    return { since, due, dueOn, version, done, daysLate: doneDay === null ? null : doneDay - dueDay, status, excuse };
  });
}

/**
 * The versions a test that was done can be judged by: one that came into force after it moves its due day no more; each
 * with what was found from the test before to this one.
 */
function standing(
  versions: readonly StandingVersion[],
  since: string,
  doneOn: string | null,
): readonly StandingVersion[] {
  const all = doneOn === null || versions.length === 1;
  const own = all ? versions : versions.filter(({ inForceFrom }, at) => at === 0 || inForceFrom <= doneOn);
  if (!own.some(({ known }) => known)) return own;
  return own.map(({ known, ...version }) =>
    known ? { ...version, known: { ...known, results: between(known.results, since, doneOn) } } : version,
  );
}

/** What was found from one test to the next. */
const between = (results: Results, since: string, until: string | null): Results =>
  results.found.length === 0
    ? results
    : { ...results, found: results.found.filter(({ on }) => on >= since && (until === null || on < until)) };

const later = (a: string, b: string) => (a > b ? a : b);

/** Whether a test due and done on these days belongs to a period; all are days since 1970-01-01, `done` null where it was not done. */
export const belongs = (due: number, done: number | null, from: number, to: number): boolean =>
  due <= to ? due >= from || done === null || done >= from : done !== null && done >= from && done <= to;

/** The last day an excuse covers, since 1970-01-01: Infinity where it names none, null where there is none. */
export const excusedUntil = (excuse: Excuse | null): number | null =>
  excuse === null ? null : excuse.until === null ? Number.POSITIVE_INFINITY : dayNumber(excuse.until);

/** What became of a test, seen from a day; days since 1970-01-01. */
export function statusOf(
  due: number,
  done: number | null,
  { graceDays, earlyDays }: Pick<IntervalRule, 'graceDays' | 'earlyDays'>,
  excused: number | null,
  asOf: number,
): Status {
  const lastDay = due + graceDays;
  if (done !== null && done < due - earlyDays) return 'early';
  if (done !== null && done <= lastDay) return 'on time';
  if (done === null && lastDay >= asOf) return 'open';
  if (excused !== null && (done ?? asOf) <= excused) return 'excused';
  return done === null ? 'missing' : 'late';
}

export interface Counts {
  due: number;
  onTime: number;
  early: number;
  late: number;
  missing: number;
  excused: number;
  open: number;
}
export const noCounts = (): Counts => ({ due: 0, onTime: 0, early: 0, late: 0, missing: 0, excused: 0, open: 0 });
export function count(counts: Counts, status: Status): void {
  counts.due++;
  counts[status === 'on time' ? 'onTime' : status]++;
}

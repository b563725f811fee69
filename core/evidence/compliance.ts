import {
  addDays,
  daysBetween,
  dueByVersions,
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

/**
 * The tests of one segment that belong to a period: due in it, done in it, or due before it and not done before it.
 * `testedOn` ascending; `results` of those tests and of attempts that were broken off, by day. Null where neither a test nor the first day in service is known, so that no due day can be told.
 */
export function obligationsOf<E extends Excuse>(
  segment: SegmentLife,
  testedOn: readonly string[],
  versions: readonly RuleVersion[],
  excuses: readonly E[],
  period: Period,
  results: Results = noResults,
): Obligation<E>[] | null {
  const first = testedOn[0];
  const begin =
    segment.energisedOn !== null && (first === undefined || segment.energisedOn < first) ? segment.energisedOn : first;
  if (begin === undefined) return null;
  const found: Obligation<E>[] = [];
  const through = results.before === undefined ? versions : versionsKnown(versions, results.before);
  let since = begin;
  for (;;) {
    const next = testedOn.findIndex((day) => day > since);
    const done = next < 0 ? null : next;
    const doneOn = done === null ? null : testedOn[done]!;
    const due = dueByVersions(since, standing(through, since, doneOn), segment, between(results, since, doneOn));
    const { dueOn, version } = due;
    const retired = segment.retiredOn !== null && segment.retiredOn < dueOn && doneOn === null;
    if (!retired && belongs(dueOn, doneOn, period)) {
      const excuse = excuses.find((one) => one.dueOn > since && one.dueOn <= later(dueOn, doneOn ?? dueOn)) ?? null;
      found.push({
        since,
        due,
        dueOn,
        version,
        done,
        daysLate: doneOn === null ? null : daysBetween(dueOn, doneOn),
        status: statusOf(dueOn, doneOn, version, excuse, period),
        excuse,
      });
    }
    if (doneOn === null) return found;
    since = doneOn;
  }
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
  const own = doneOn === null ? versions : versions.filter(({ inForceFrom }, at) => at === 0 || inForceFrom <= doneOn);
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

const belongs = (dueOn: string, doneOn: string | null, { from, to }: Period): boolean =>
  dueOn <= to ? dueOn >= from || doneOn === null || doneOn >= from : doneOn !== null && doneOn >= from && doneOn <= to;

function statusOf(
  dueOn: string,
  doneOn: string | null,
  { rule }: RuleVersion,
  excuse: Excuse | null,
  { asOf }: Period,
): Status {
  const lastDay = addDays(dueOn, rule.graceDays);
  if (doneOn !== null && doneOn < addDays(dueOn, -rule.earlyDays)) return 'early';
  if (doneOn !== null && doneOn <= lastDay) return 'on time';
  if (doneOn === null && lastDay >= asOf) return 'open';
  const excused = excuse !== null && (excuse.until === null || (doneOn ?? asOf) <= excuse.until);
  if (excused) return 'excused';
  return doneOn === null ? 'missing' : 'late';
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

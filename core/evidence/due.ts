/** The owner's rule on retest intervals. */
export interface IntervalRule {
  /** The first case that fits gives the months. */
  readonly cases: readonly { readonly when: When; readonly months: number }[];
  readonly otherwiseMonths: number;
  readonly earlyDays: number;
  readonly graceDays: number;
}

interface When {
  readonly insulation?: readonly string[] | undefined;
  readonly ratedKvFrom?: number | undefined;
  readonly ratedKvTo?: number | undefined;
  readonly criticalLoad?: boolean | undefined;
  readonly alternateSupply?: boolean | undefined;
}

/** What a rule can ask of a segment; null where it is not known, and then no case that asks for it fits. */
export interface RuledSegment {
  readonly insulation: string;
  readonly ratedKv: number | null;
  readonly criticalLoad: boolean | null;
  readonly alternateSupply: boolean | null;
}

/** Months between tests of this segment by this rule. */
export function monthsFor(rule: IntervalRule, segment: RuledSegment): number {
  for (const { when, months } of rule.cases) if (fits(when, segment)) return months;
  return rule.otherwiseMonths;
}

function fits(when: When, segment: RuledSegment): boolean {
  if (when.insulation && !when.insulation.includes(segment.insulation)) return false;
  if (when.ratedKvFrom !== undefined && !(segment.ratedKv !== null && segment.ratedKv >= when.ratedKvFrom))
    return false;
  if (when.ratedKvTo !== undefined && !(segment.ratedKv !== null && segment.ratedKv <= when.ratedKvTo)) return false;
  if (when.criticalLoad !== undefined && segment.criticalLoad !== when.criticalLoad) return false;
  return when.alternateSupply === undefined || segment.alternateSupply === when.alternateSupply;
}

/** The same day of the month so many months later; the month's last day where it has no such day. */
export function addMonths(day: string, months: number): string {
  const [year, month, date] = day.split('-').map(Number) as [number, number, number];
  const first = new Date(Date.UTC(year, month - 1 + months, 1));
  const lastDate = new Date(Date.UTC(first.getUTCFullYear(), first.getUTCMonth() + 1, 0)).getUTCDate();
  first.setUTCDate(Math.min(date, lastDate));
  return first.toISOString().slice(0, 10);
}

export const addDays = (day: string, days: number): string =>
  new Date(Date.parse(day) + days * 86_400_000).toISOString().slice(0, 10);

/** Days from one day to another; negative where the second is earlier. */
export const daysBetween = (from: string, to: string): number =>
  Math.round((Date.parse(to) - Date.parse(from)) / 86_400_000);

/** The day the next test is due by one rule. */
export const dueOn = (lastTest: string, rule: IntervalRule, segment: RuledSegment): string =>
  addMonths(lastTest, monthsFor(rule, segment));

export interface RuleVersion {
  readonly version: number;
  readonly inForceFrom: string;
  readonly rule: IntervalRule;
}

/**
 * The day the next test is due by the rule as it stood: the version in force on the day of the last test counts until the
 * next version takes over; that one counts from the same day again, and never asks for a day before it was in force.
 * `versions` in order of `inForceFrom`, at least one; before the first, the first counts.
 */
export function dueByVersions(
  lastTest: string,
  versions: readonly RuleVersion[],
  segment: RuledSegment,
): { readonly dueOn: string; readonly version: RuleVersion } {
  let at = 0;
  while (at + 1 < versions.length && versions[at + 1]!.inForceFrom <= lastTest) at++;
  const began = at;
  for (; ; at++) {
    const version = versions[at]!;
    const counted = dueOn(lastTest, version.rule, segment);
    const day = at > began && counted < version.inForceFrom ? version.inForceFrom : counted;
    const next = versions[at + 1];
    if (!next || day < next.inForceFrom) return { dueOn: day, version };
  }
}

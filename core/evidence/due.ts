/** The owner's rule on retest intervals. */
export interface IntervalRule {
  /** The first case that fits gives the months. */
  readonly cases: readonly { readonly when: When; readonly months: number }[];
  readonly otherwiseMonths: number;
  readonly earlyDays: number;
  readonly graceDays: number;
  /**
   * The owner's limits as they stood when the rule was set, nS/km by insulation, so that a later limit moves no earlier due
   * day; a family that is not among them stands on our default. Left out: the limits of today.
   */
  readonly limitsNsPerKm?: Readonly<Record<string, number>> | undefined;
}

interface When {
  readonly insulation?: readonly string[] | undefined;
  readonly ratedKvFrom?: number | undefined;
  readonly ratedKvTo?: number | undefined;
  readonly criticalLoad?: boolean | undefined;
  readonly alternateSupply?: boolean | undefined;
  readonly last?: LastWhen | undefined;
}

/** What the last test found; one of those asked for is enough. */
export interface LastWhen {
  readonly breakdown?: boolean | undefined;
  readonly stopped?: boolean | undefined;
  readonly rising?: boolean | undefined;
  /** Highest over lowest phase. */
  readonly phasesApartOver?: number | undefined;
  /** Share of the limit. */
  readonly levelOver?: number | undefined;
  readonly growthOverPctPerYr?: number | undefined;
}

/** What one test found, told from its own record and the tests before it. Null where the record does not tell. */
export interface TestResult {
  readonly on: string;
  /** False where every reading was broken off: no test done, but something seen. */
  readonly counts: boolean;
  readonly breakdown: boolean;
  readonly stopped: boolean;
  readonly rising: boolean;
  readonly phaseRatio: number | null;
  readonly levelNsPerKm: number | null;
  /** Lower end of the 90 % interval of the segment's own growth up to this test. */
  readonly growthLowPctPerYr: number | null;
}

/** What is known of a segment's tests, by day; and its limits, nS/km, null where none can be told. */
export interface Results {
  /** Of today, the owner's where there is one. */
  readonly limitNsPerKm: number | null;
  readonly ourLimitNsPerKm: number | null;
  readonly found: readonly TestResult[];
  /** Where an edit has since changed what a rule counts by: what was known of the segment before it, oldest first. */
  readonly before?: readonly KnownBefore[] | undefined;
}

/** What the fleet knew of a segment until an edit, and what its tests found by that. */
export interface KnownBefore {
  /** Days: the first it was known on ('' from the beginning), and that of the edit, which does not belong to it. */
  readonly from: string;
  readonly until: string;
  readonly segment: RuledSegment;
  readonly results: Results;
}
export const noResults: Results = { limitNsPerKm: null, ourLimitNsPerKm: null, found: [] };

/** The limit a rule counts a segment's level by. */
export const limitBy = (
  { limitsNsPerKm }: IntervalRule,
  insulation: string,
  results: Pick<Results, 'limitNsPerKm' | 'ourLimitNsPerKm'>,
): number | null =>
  limitsNsPerKm === undefined ? results.limitNsPerKm : (limitsNsPerKm[insulation] ?? results.ourLimitNsPerKm);

/** What a rule can ask of a segment; null where it is not known, and then no case that asks for it fits. */
export interface RuledSegment {
  readonly insulation: string;
  readonly ratedKv: number | null;
  readonly criticalLoad: boolean | null;
  readonly alternateSupply: boolean | null;
}

/** One thing that the last test found and the rule asks for. `value` in the unit of the rule; null for a plain yes. */
export interface Tell {
  readonly what: keyof LastWhen;
  readonly value: number | null;
}

/** The case of a rule that fits; `at` null where none does. */
export interface ChosenCase {
  readonly at: number | null;
  readonly months: number;
  readonly tells: readonly Tell[];
}

/** The first case of the rule that fits this segment after a test that found so much. */
export function caseFor(rule: IntervalRule, segment: RuledSegment, results: Results = noResults): ChosenCase {
  const limit = limitBy(rule, segment.insulation, results);
  for (const [at, { when, months }] of rule.cases.entries()) {
    if (!fits(when, segment)) continue;
    const { last } = when;
    if (last === undefined) return { at, months, tells: [] };
    const tells = results.found.flatMap((result) => tellsOf(last, result, limit));
    if (tells.length > 0) return { at, months, tells };
  }
  return { at: null, months: rule.otherwiseMonths, tells: [] };
}

/** Months between tests of this segment by this rule. */
export const monthsFor = (rule: IntervalRule, segment: RuledSegment, results?: Results): number =>
  caseFor(rule, segment, results).months;

function fits(when: When, segment: RuledSegment): boolean {
  if (when.insulation && !when.insulation.includes(segment.insulation)) return false;
  if (when.ratedKvFrom !== undefined && !(segment.ratedKv !== null && segment.ratedKv >= when.ratedKvFrom))
    return false;
  if (when.ratedKvTo !== undefined && !(segment.ratedKv !== null && segment.ratedKv <= when.ratedKvTo)) return false;
  if (when.criticalLoad !== undefined && segment.criticalLoad !== when.criticalLoad) return false;
  return when.alternateSupply === undefined || segment.alternateSupply === when.alternateSupply;
}

/** What of a result the rule asks for; nothing where the record does not tell. */
export function tellsOf(last: LastWhen, result: TestResult, limitNsPerKm: number | null): Tell[] {
  const tells: Tell[] = [];
  for (const what of ['breakdown', 'stopped', 'rising'] as const)
    if (last[what] && result[what]) tells.push({ what, value: null });
  const over = (what: keyof LastWhen, threshold: number | undefined, value: number | null): void => {
    if (threshold !== undefined && value !== null && value > threshold) tells.push({ what, value });
  };
  over('phasesApartOver', last.phasesApartOver, result.phaseRatio);
  const { levelNsPerKm: level } = result;
  over('levelOver', last.levelOver, level === null || limitNsPerKm === null ? null : level / limitNsPerKm);
  over('growthOverPctPerYr', last.growthOverPctPerYr, result.growthLowPctPerYr);
  return tells;
}

const datesOf = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
const isLeap = (year: number): boolean => (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
const two = (n: number): string => (n < 10 ? `0${n}` : `${n}`);

/** The same day of the month so many months later; the month's last day where it has no such day. By whole numbers alone: it is counted for every test of a fleet. */
export function addMonths(day: string, months: number): string {
  const whole = 12 * Number(day.slice(0, 4)) + Number(day.slice(5, 7)) - 1 + months;
  const year = Math.floor(whole / 12);
  const month = whole - 12 * year;
  if (year > 9999) return '9999-12-31';
  const lastDate = month === 1 && isLeap(year) ? 29 : datesOf[month]!;
  return `${`${year}`.padStart(4, '0')}-${two(month + 1)}-${two(Math.min(Number(day.slice(8, 10)), lastDate))}`;
}

/** Days since 1970-01-01. */
export const dayNumber = (day: string): number => Math.round(Date.parse(day) / 86_400_000);

export const addDays = (day: string, days: number): string =>
  new Date(Date.parse(day) + days * 86_400_000).toISOString().slice(0, 10);

/** Days from one day to another; negative where the second is earlier. */
export const daysBetween = (from: string, to: string): number => dayNumber(to) - dayNumber(from);

export interface Due {
  readonly dueOn: string;
  /** The test it is counted from; later than the last test done where an attempt broken off since asks for it sooner. */
  readonly countedFrom: string;
  readonly chosen: ChosenCase;
}

/** The day the next test is due by one rule, with the case that gave it. `results` from the day of the last test on. */
export function dueBy(lastTest: string, rule: IntervalRule, segment: RuledSegment, results = noResults): Due {
  const of = (found: readonly TestResult[]) => caseFor(rule, segment, { ...results, found });
  const chosen = of(results.found.filter((result) => result.on === lastTest && result.counts));
  let due: Due = { dueOn: addMonths(lastTest, chosen.months), countedFrom: lastTest, chosen };
  for (const attempt of results.found) {
    if (attempt.counts || attempt.on <= lastTest) continue;
    const after = of([attempt]);
    const day = addMonths(attempt.on, after.months);
    if (after.tells.length > 0 && day < due.dueOn) due = { dueOn: day, countedFrom: attempt.on, chosen: after };
  }
  return due;
}

/** The day alone. */
export const dueOn = (lastTest: string, rule: IntervalRule, segment: RuledSegment, results?: Results): string =>
  dueBy(lastTest, rule, segment, results).dueOn;

export interface RuleVersion {
  /** 0 for our default. */
  readonly version: number;
  /** Which edition of our default. */
  readonly edition?: number | undefined;
  readonly inForceFrom: string;
  readonly rule: IntervalRule;
}

/** A version from a day on, with what was known of the segment then where that is not what is known now. */
export interface StandingVersion extends RuleVersion {
  /** The version itself, where this is a stretch of it. */
  readonly of?: RuleVersion | undefined;
  readonly known?: KnownBefore | undefined;
}

export interface VersionedDue extends Due {
  readonly version: RuleVersion;
  /** The day on which the segment became what it is now, where the due day is counted by what it was before. */
  readonly knownUntil: string | null;
}

/**
 * The day the next test is due by the rule as it stood: the version in force on the day of the last test counts until the
 * next version takes over; that one counts from the same day again, and never asks for a day before it was in force.
 * `versions` in order of `inForceFrom`, at least one; before the first, the first counts. `results` from the day of the
 * last test to the next one done.
 */
export function dueByVersions(
  lastTest: string,
  versions: readonly StandingVersion[],
  segment: RuledSegment,
  results = noResults,
): VersionedDue {
  let at = 0;
  while (at + 1 < versions.length && versions[at + 1]!.inForceFrom <= lastTest) at++;
  const began = at;
  for (; ; at++) {
    const version = versions[at]!;
    const { known } = version;
    const counted = dueBy(lastTest, version.rule, known?.segment ?? segment, known?.results ?? results);
    const day = at > began && counted.dueOn < version.inForceFrom ? version.inForceFrom : counted.dueOn;
    const next = versions[at + 1];
    if (!next || day < next.inForceFrom)
      return { ...counted, dueOn: day, version: version.of ?? version, knownUntil: known?.until ?? null };
  }
}

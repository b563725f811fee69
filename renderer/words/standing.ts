import type { Crossing, HighPhase, Standing } from '../../core/contract/shapes/standing.ts';
import { dayWords, yearOf } from './dates.ts';
import { eraWords } from './labels.ts';
import { asSet, chance, count, fixed, measured, nb, percent } from './numbers.ts';
import { note, type Piece, type Sentence, strong } from './sentence.ts';
import { specificLeakage } from './units.ts';

/** What the opening sentence of a segment's page needs to know. */
export interface Opening {
  readonly standing: Standing;
  /** Present calendar year. */
  readonly now: number;
  readonly testedOn: readonly string[];
  /** Present level, where it can be said although growth cannot. */
  readonly lastNsPerKm: number | null;
}

type KnownStanding = Extract<Standing, { known: true }>;

/** The sentence that opens a segment's page: what we know, and how sure we are. Numeral 1 leads to why, 2 to what the forecast means. */
export function opening({ standing, now, testedOn, lastNsPerKm }: Opening): Sentence {
  if (!standing.known) return unknownOpening(standing.because, testedOn, lastNsPerKm);
  return [...growthPart(standing, testedOn), note(1), ' ', ...limitPart(standing, now), ...highPart(standing)];
}

function unknownOpening(because: string, testedOn: readonly string[], lastNsPerKm: number | null): Sentence {
  if (testedOn.length === 0) return [strong('Never tested'), '; nothing is known of its leakage.'];
  const reason = because.replace(/[.\s]+$/, '');
  const last = [...testedOn].sort().at(-1) ?? '';
  const level =
    lastNsPerKm === null ? '' : ` Its test of ${dayWords(last)} gave ${specificLeakage(lastNsPerKm)} at 20${nb}°C.`;
  if (reason === 'retired') return [strong('Retired'), `, and no longer ranked.${level}`, note(1)];
  return [strong('Growth cannot be told'), ` from ${count(testedOn.length, 'test')}: ${reason}.${level}`, note(1)];
}

/** Interval as 'lo to hi', one decimal, unit said beside it. */
const ends = (lo: number, hi: number): string => `90${nb}%: ${fixed(lo, 1)} to ${fixed(hi, 1)}`;

function growthPart(s: KnownStanding, testedOn: readonly string[]): Piece[] {
  const { value, lo, hi } = s.growthPctPerYr;
  const range = ` (${ends(lo, hi)})`;
  if (s.tests <= 1) {
    return [
      strong('One test only'),
      `: the level is ${specificLeakage(s.levelNsPerKm.value)}; a growth of ${percent(value)} a year${range} is what its cohort lends.`,
    ];
  }
  const since = sinceWords(s, testedOn);
  if (lo > 0 && s.pAccelerating > 0.5) {
    return [
      'Leakage is speeding up: it now grows by ',
      strong(`${percent(value)} a year`),
      `${range}, `,
      s.fasterThanPct >= 80 ? strong(placeInFleet(s.fasterThanPct)) : placeInFleet(s.fasterThanPct),
      '.',
    ];
  }
  if (lo > 0 && s.pOnePhase > 0.5) {
    return [
      `${s.worstPhase ? `Phase ${s.worstPhase.phase}` : 'One phase'} ages on its own. The mean of its phases now grows by `,
      strong(`${percent(value)} a year`),
      `${range}, `,
      s.fasterThanPct >= 80 ? strong(placeInFleet(s.fasterThanPct)) : placeInFleet(s.fasterThanPct),
      '.',
    ];
  }
  if (lo > 0) {
    return [
      'Leakage has grown by ',
      strong(`${percent(value)} a year`),
      `${range}${since}, `,
      s.fasterThanPct >= 80 ? strong(placeInFleet(s.fasterThanPct)) : placeInFleet(s.fasterThanPct),
      '.',
    ];
  }
  if (hi < 0) {
    return ['Leakage has ', strong(`fallen by ${percent(-value)} a year`), ` (${ends(-hi, -lo)})${since}.`];
  }
  const lean = nearNone(s)
    ? `Its best estimate is near no growth, ${percent(value)} a year`
    : value >= 0
      ? `Its best estimate is growth of ${percent(value)} a year`
      : `Its best estimate is a fall of ${percent(-value)} a year`;
  return [strong('Growth is not certain'), `${since}. ${lean}${range}; ${chance(s.pGrowing)} that it grows at all.`];
}

/** The estimate lies midway between mean and median, so near zero its sign may differ from what is likelier. */
const nearNone = ({ growthPctPerYr, pGrowing }: KnownStanding): boolean =>
  growthPctPerYr.value > 0 !== pGrowing > 0.5 || fixed(growthPctPerYr.value, 1) === '0.0';

function sinceWords(s: KnownStanding, testedOn: readonly string[]): string {
  if (s.eraSince !== null) {
    const year = yearOf(s.eraSince);
    return ` since ${s.eraBecause === null ? year : eraWords(s.eraBecause, year)}`;
  }
  const first = [...testedOn].sort()[0];
  return first === undefined ? '' : ` since its first test in ${yearOf(first)}`;
}

function placeInFleet(fasterThanPct: number): string {
  if (fasterThanPct > 99) return `faster than 99${nb}% of the fleet`;
  if (fasterThanPct >= 50) return `faster than ${percent(fasterThanPct, 0)} of the fleet`;
  return `slower than ${percent(100 - fasterThanPct, 0)} of the fleet`;
}

function limitPart(s: KnownStanding, now: number): Piece[] {
  if (s.limitNsPerKm === null) return ['No limit is set for this insulation, so no crossing is forecast.'];
  const limit = `${asSet(s.limitNsPerKm)}${nb}nS/km`;
  if (s.crossing.aboveNow) {
    return [
      'It stands ',
      strong('above the limit'),
      ` of ${limit} already, at ${measured(s.levelNsPerKm.value)} (90${nb}%: ${measured(s.levelNsPerKm.lo)} to ${measured(s.levelNsPerKm.hi)}).`,
      note(2),
    ];
  }
  if (s.levelNsPerKm.value >= s.limitNsPerKm) {
    return [
      'It has ',
      strong('probably passed the limit'),
      ` of ${limit}, at ${measured(s.levelNsPerKm.value)} (90${nb}%: ${measured(s.levelNsPerKm.lo)} to ${measured(s.levelNsPerKm.hi)}).`,
      note(2),
    ];
  }
  const soon = `${chance(s.pExceed.y5)} within five years.`;
  const { year, lo, horizonYear } = s.crossing;
  if (year === null) {
    const early = lo === null || Math.floor(lo) >= horizonYear ? '' : `, though it might from ${crossingYear(lo, now)}`;
    return [`It is not expected to pass the limit of ${limit} by ${horizonYear}${early}; ${soon}`, note(2)];
  }
  return [
    `It is likely to pass the limit of ${limit} in `,
    strong(`${Math.floor(year)}`),
    ` (${crossingEnds(s.crossing, now)}); ${soon}`,
    note(2),
  ];
}

/** What the limit says of the phases' mean may hide that one of them has passed it. */
function highPart({ highPhase, levelNsPerKm, limitNsPerKm }: KnownStanding): Piece[] {
  if (!highPhase?.aboveLimit || limitNsPerKm === null || levelNsPerKm.value >= limitNsPerKm) return [];
  return [
    ' That is the mean of its phases: ',
    strong(`phase ${highPhase.phase} stands above the limit`),
    ` already, at ${specificLeakage(highPhase.levelNsPerKm)}.`,
  ];
}

const crossingYear = (year: number, now: number): string => (Math.floor(year) <= now ? 'now' : `${Math.floor(year)}`);

/** '2027 to 2034', 'now to later': the 90 % interval of a crossing year. */
function crossingEnds(crossing: Crossing, now: number): string {
  const lo = crossing.lo === null ? `after ${crossing.horizonYear}` : crossingYear(crossing.lo, now);
  return `${lo} to ${crossing.hi === null ? 'later' : Math.floor(crossing.hi)}`;
}

/** The crossing in a table's cell: '2029 (2027 to 2034)', 'above now', 'not within 15 years'. */
export function crosses(crossing: Crossing | null, now: number): string {
  if (crossing === null) return 'no limit set';
  if (crossing.aboveNow) return 'above it now';
  if (crossing.year === null) return `not within ${count(crossing.horizonYear - now, 'year')}`;
  return `${Math.floor(crossing.year)} (${crossingEnds(crossing, now)})`;
}

/** 'C surely stands above that, at 38.1 nS/km, which is above the limit, and grows by 19.8 % a year'. */
export function highPhaseWords({ phase, levelNsPerKm, growthPctPerYr, aboveLimit }: HighPhase): string {
  const limit = aboveLimit ? ', which is above the limit' : '';
  const growth = growthPctPerYr === null ? '' : `, and grows by ${percent(growthPctPerYr)} a year`;
  return `${phase} surely stands above that, at ${specificLeakage(levelNsPerKm)}${limit}${growth}`;
}

/** Numeral 1: where the estimate comes from. */
export function whyThisRank(standing: Standing): string[] {
  if (!standing.known) return [`No rank: ${standing.because.replace(/[.\s]+$/, '')}.`];
  const s = standing;
  const own = Math.round(s.ownSharePct);
  const cohort = `${s.cohort}, ${percent(s.cohortGrowthPctPerYr)} a year`;
  const growing = s.growthPctPerYr.value > 0;
  const out = [
    `Rank ${fixed(s.rank, 0)} of ${fixed(s.rankedSegments, 0)}. ${count(s.tests, 'test')} of its own ${
      own < 1
        ? `beside its cohort (${cohort}).`
        : `${s.tests === 1 ? 'carries' : 'carry'} ${own}${nb}% of the estimate; its cohort (${cohort}) lends the rest.`
    }`,
  ];
  if (s.theilSenPctPerYr !== null) {
    const trend =
      s.mannKendallP === null
        ? ''
        : `; Mann\u2013Kendall p ${s.mannKendallP < 0.01 ? 'under 0.01' : fixed(s.mannKendallP, 2)}`;
    out.push(
      `By its own readings alone, the median of all slopes (Theil\u2013Sen) is ${percent(s.theilSenPctPerYr)} a year${trend}.`,
    );
  }
  if (s.censoredTests > 0)
    out.push(
      `${count(s.censoredTests, 'test')} read below the instrument\u2019s floor; ${s.censoredTests === 1 ? 'it enters' : 'they enter'} as \u201cless than\u201d, not as zero.`,
    );
  if (s.leftOutReadings > 0) out.push(`${count(s.leftOutReadings, 'reading')} left out; the table says which and why.`);
  if (s.worstPhase && growing && s.highPhase?.phase !== s.worstPhase.phase)
    out.push(`Phase ${s.worstPhase.phase} grows fastest, by ${percent(s.worstPhase.growthPctPerYr)} a year.`);
  out.push(
    `Growth, level, limit and chances speak of the mean of its phases${s.highPhase ? `; phase ${highPhaseWords(s.highPhase)}` : ''}.`,
  );
  if (s.pAccelerating > 0.9 && growing) out.push(`Growth is speeding up (${chance(s.pAccelerating)}).`);
  return out;
}

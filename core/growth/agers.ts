import type { VarianceComponents } from '../numerics/mixedModelGroup.ts';
import { mixingShares, type SharePrior } from '../numerics/mixingShares.ts';
import { shareOrNone } from '../numerics/shareOrNone.ts';
import { type AgerInput, type AgerParameters, lateOnsetYears, neighbourSd, ways } from './agerParameters.ts';
import { AgerRoom, AgerSums } from './agerRoom.ts';
import { keepSums } from './agerStatistics.ts';

/** Prior of shares (as counts), and of the pushes (per year) with the count they weigh: weakly informative. */
const shareCounts = [30, 0.6, ...lateOnsetYears.map(() => 0.7 / lateOnsetYears.length)];
/** Years of onset that each late way stands for. */
const onsetWidths = lateOnsetYears.map((years, k) => {
  const older = k + 1 < lateOnsetYears.length ? (years + lateOnsetYears[k + 1]!) / 2 : years + 2;
  const newer = k > 0 ? (years + lateOnsetYears[k - 1]!) / 2 : 0;
  return older - newer;
});
const sharePrior: SharePrior = {
  counts: Float64Array.from(shareCounts),
  links: onsetWidths.slice(1).map((width, k) => ({
    part: k + 2,
    other: k + 3,
    offset: Math.log(onsetWidths[k]! / width),
    sd: neighbourSd,
  })),
};
const firstLate = 2;
/** A fleet has late agers or, as likely, none; if it has, few are likelier than many: a share of one in eleven on average. Ours, weak. */
const latePresence = { chance: 0.5, against: 10 };
/** Of ln share: more doubt than a factor of five either way says nothing of its mean. */
const mostDoubt = 2.5;
const pushCount = 6;
/** A family's own spread counts as much as the common one once it has this many segments. Ours, weak. */
const spreadCount = 40;
const fastPrior = { mean: 0.09, variance: 0.004 };
const latePrior = { mean: 0.18, variance: 0.02 };
const leastPushVariance = 4e-4;
const leastDensity = 1e-300;

export interface AgerFit {
  readonly parameters: AgerParameters;
  readonly passes: number;
  readonly change: number;
}

/** Only ordinary agers: what the mixed model alone says. */
export function ordinaryOnly(variances: VarianceComponents, familyCount: number, cohortCount: number): AgerParameters {
  const share = new Float64Array(ways);
  share[0] = 1;
  return {
    share,
    levelVariance: new Float64Array(familyCount).fill(variances.levelVariance),
    covariance: new Float64Array(familyCount).fill(variances.covariance),
    slopeVariance: new Float64Array(familyCount).fill(variances.slopeVariance),
    stepVariance: variances.stepVariance,
    fastMean: fastPrior.mean,
    fastVariance: fastPrior.variance,
    lateMean: latePrior.mean,
    lateVariance: latePrior.variance,
    pivotYears: 10,
    ordinary: new Float64Array(2 * cohortCount),
  };
}

/**
 * Expectation–maximisation on the segments alone; the readings' weights stay as they are. Of more than `mostSegments`
 * it looks at every n-th: shares of a few per cent are known well enough from thousands.
 */
export function fitAgers(
  input: AgerInput,
  start: AgerParameters,
  mostSegments: number,
  mostPasses: number,
  tolerance: number,
): AgerFit {
  const { rows } = input;
  const room = new AgerRoom(input, start);
  const thinning = Math.max(1, Math.floor(rows.groupCount / mostSegments));
  // From pass to pass only what is known of the ways changes: the segments' sums are made once.
  const { places, sums: kept } = keepSums(input, start.pivotYears, thinning);
  const density = new Float64Array((places.length - 1) * ways);
  let variance: Float64Array = new Float64Array(ways);
  let cases = 0;
  let parameters = start;
  let passes = 0;
  let change = Number.POSITIVE_INFINITY;
  while (passes < mostPasses && change > tolerance) {
    passes++;
    room.setParameters(parameters);
    const sums = new AgerSums(input.familyCount, input.cohortCount);
    for (let s = 0, at = 0; s < rows.groupCount; s += thinning, at++) {
      if (!room.solveKept(s, kept, places[at]!)) continue;
      const from = sums.count * ways;
      for (let way = 0; way < ways; way++) density[from + way] = room.weight[way]! / parameters.share[way]!;
      room.addTo(sums);
    }
    const share = parameters.share.slice();
    variance = mixingShares(density, sums.count, share, sharePrior);
    cases = sums.count;
    const next = parametersFrom(sums, parameters, share);
    change = parameterChange(parameters, next);
    parameters = next;
  }
  const share = expectedShares(parameters.share, variance, density, cases);
  return { parameters: { ...parameters, share }, passes, change };
}

/**
 * What is to be expected of the late ways: how many there are if there are any, times the chance that there are
 * any, since the likeliest share of a way that no segment shows is never quite none. Between them as is likeliest;
 * but of those that no test has had the time to show only their neighbours tell, within a factor, and the mean of such
 * a guess lies above its middle (lognormal, e^½s²).
 */
function expectedShares(
  likeliest: Float64Array,
  variance: Float64Array,
  density: Float64Array,
  cases: number,
): Float64Array {
  let others = 0;
  for (let way = 0; way < firstLate; way++) others += likeliest[way]!;
  const late = 1 - others;
  const ratio = new Float64Array(cases);
  for (let i = 0, from = 0; i < cases; i++, from += ways) {
    let without = 0;
    let within = 0;
    for (let way = 0; way < firstLate; way++) without += likeliest[way]! * density[from + way]!;
    for (let way = firstLate; way < ways; way++) within += likeliest[way]! * density[from + way]!;
    ratio[i] = ((within / late) * others) / Math.max(leastDensity, without);
  }
  const presence = shareOrNone(ratio, latePresence);
  const share = likeliest.slice();
  const least = variance.subarray(firstLate).reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
  let expected = 0;
  for (let way = firstLate; way < ways; way++) {
    share[way]! *=
      ((presence.chance * presence.share) / late) * Math.exp(0.5 * Math.min(mostDoubt, variance[way]! - least));
    expected += share[way]!;
  }
  for (let way = 0; way < firstLate; way++) share[way]! *= (1 - expected) / others;
  return share;
}

/** Where expectation–maximisation starts: one segment in twelve is not ordinary. */
export function firstGuess(start: VarianceComponents, familyCount: number, cohortCount: number): AgerParameters {
  const share = new Float64Array(ways);
  share.fill(0.03 / lateOnsetYears.length);
  share[0] = 0.92;
  share[1] = 0.05;
  const slopeVariance = Math.max(1e-5, 0.6 * start.slopeVariance);
  const correlation = start.covariance / Math.sqrt(start.levelVariance * start.slopeVariance);
  return {
    ...ordinaryOnly(
      { ...start, slopeVariance, covariance: correlation * Math.sqrt(start.levelVariance * slopeVariance) },
      familyCount,
      cohortCount,
    ),
    share,
    pivotYears: Math.max(0, Math.min(25, start.covariance / start.slopeVariance)),
  };
}

function parameterChange(a: AgerParameters, b: AgerParameters): number {
  let change = 0;
  for (let f = 0; f < a.levelVariance.length; f++) {
    change = Math.max(change, Math.abs(b.slopeVariance[f]! / a.slopeVariance[f]! - 1));
    change = Math.max(change, Math.abs(b.levelVariance[f]! / a.levelVariance[f]! - 1));
  }
  for (let k = 0; k < ways; k++) change = Math.max(change, Math.abs(b.share[k]! - a.share[k]!) / (a.share[k]! + 0.02));
  return Math.max(change, Math.abs(b.fastMean - a.fastMean) / 0.05, Math.abs(b.lateMean - a.lateMean) / 0.05);
}

/** The parameters that the sums of one pass ask for. */
function parametersFrom(sums: AgerSums, old: AgerParameters, share: Float64Array): AgerParameters {
  const ordinary = old.ordinary.slice();
  for (let c = 0; c < sums.cohortSize.length; c++) {
    ordinary[2 * c]! += sums.cohort[2 * c]! / (sums.cohortSize[c]! + 4);
    ordinary[2 * c + 1]! += sums.cohort[2 * c + 1]! / (sums.cohortSize[c]! + 4);
  }
  const fast = push(sums.fast, fastPrior);
  const late = push(sums.late, latePrior);
  return {
    share,
    levelVariance: spread(sums.level2, sums.familySize, 0),
    covariance: spread(sums.product, sums.familySize, Number.NEGATIVE_INFINITY),
    slopeVariance: spread(sums.slope2, sums.familySize, 1e-5),
    stepVariance:
      sums.steps > 0 ? Math.max(0.01, (sums.step2 + 4 * old.stepVariance) / (sums.steps + 4)) : old.stepVariance,
    fastMean: fast.mean,
    fastVariance: fast.variance,
    lateMean: late.mean,
    lateVariance: late.variance,
    pivotYears: old.pivotYears,
    ordinary,
  };
}

/** Each family's own mean square, drawn towards that of all as by `spreadCount` segments more. */
function spread(squares: Float64Array, sizes: Float64Array, least: number): Float64Array {
  let sum = 0;
  let count = 0;
  for (let f = 0; f < squares.length; f++) {
    sum += squares[f]!;
    count += sizes[f]!;
  }
  const common = sum / Math.max(1, count);
  return squares.map((square, f) => Math.max(least, (square + spreadCount * common) / (sizes[f]! + spreadCount)));
}

function push(sums: Float64Array, prior: { mean: number; variance: number }): { mean: number; variance: number } {
  const weight = sums[0]! + pushCount;
  const mean = Math.max(0.5 * prior.mean, (sums[1]! + pushCount * prior.mean) / weight);
  const square = sums[2]! - 2 * mean * sums[1]! + sums[0]! * mean * mean;
  const variance = (square + pushCount * (prior.variance + (mean - prior.mean) ** 2)) / weight;
  return { mean, variance: Math.max(leastPushVariance, variance) };
}

import type { VarianceComponents } from '../numerics/mixedModelGroup.ts';
import { type AgerInput, type AgerParameters, lateOnsetYears, ways } from './agerParameters.ts';
import { AgerRoom, AgerSums } from './agerRoom.ts';
import { keepSums } from './agerStatistics.ts';

/** Prior of shares (as counts), and of the pushes (per year) with the count they weigh: weakly informative. */
const shareCounts = [30, 0.6, ...lateOnsetYears.map(() => 0.7 / lateOnsetYears.length)];
const pushCount = 6;
const fastPrior = { mean: 0.09, variance: 0.004 };
const latePrior = { mean: 0.18, variance: 0.02 };
const leastPushVariance = 4e-4;

/** Steps of the shares are lengthened by this: plain expectation–maximisation crawls where little is known. */
const stride = 1.8;

export interface AgerFit {
  readonly parameters: AgerParameters;
  readonly passes: number;
  readonly change: number;
}

/** Only ordinary agers: what the mixed model alone says. */
export function ordinaryOnly(variances: VarianceComponents, cohortCount: number): AgerParameters {
  const share = new Float64Array(ways);
  share[0] = 1;
  return {
    share,
    ...variances,
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
  let parameters = start;
  let passes = 0;
  let change = Number.POSITIVE_INFINITY;
  while (passes < mostPasses && change > tolerance) {
    passes++;
    room.setParameters(parameters);
    const sums = new AgerSums(input.cohortCount);
    for (let s = 0, at = 0; s < rows.groupCount; s += thinning, at++) {
      if (!room.solveKept(s, kept, places[at]!)) continue;
      room.addTo(sums, input.cohortOf[s]!);
    }
    const next = parametersFrom(sums, parameters);
    change = parameterChange(parameters, next);
    lengthen(parameters.share, next.share);
    parameters = next;
  }
  return { parameters, passes, change };
}

/** Where expectation–maximisation starts: one segment in twelve is not ordinary. */
export function firstGuess(start: VarianceComponents, cohortCount: number): AgerParameters {
  const share = new Float64Array(ways);
  share.fill(0.03 / lateOnsetYears.length);
  share[0] = 0.92;
  share[1] = 0.05;
  const slopeVariance = Math.max(1e-5, 0.6 * start.slopeVariance);
  const correlation = start.covariance / Math.sqrt(start.levelVariance * start.slopeVariance);
  return {
    ...ordinaryOnly(start, cohortCount),
    share,
    slopeVariance,
    covariance: correlation * Math.sqrt(start.levelVariance * slopeVariance),
    pivotYears: Math.max(0, Math.min(25, start.covariance / start.slopeVariance)),
  };
}

function lengthen(from: Float64Array, to: Float64Array): void {
  let sum = 0;
  for (let k = 0; k < ways; k++) {
    to[k] = Math.max(0.3 * to[k]!, from[k]! + stride * (to[k]! - from[k]!));
    sum += to[k]!;
  }
  for (let k = 0; k < ways; k++) to[k]! /= sum;
}

function parameterChange(a: AgerParameters, b: AgerParameters): number {
  let change = Math.abs(b.slopeVariance / a.slopeVariance - 1);
  change = Math.max(change, Math.abs(b.levelVariance / a.levelVariance - 1));
  for (let k = 0; k < ways; k++) change = Math.max(change, Math.abs(b.share[k]! - a.share[k]!) / (a.share[k]! + 0.02));
  return Math.max(change, Math.abs(b.fastMean - a.fastMean) / 0.05, Math.abs(b.lateMean - a.lateMean) / 0.05);
}

/** The parameters that the sums of one pass ask for. */
function parametersFrom(sums: AgerSums, old: AgerParameters): AgerParameters {
  const share = new Float64Array(ways);
  let counts = 0;
  for (const n of shareCounts) counts += n;
  for (let k = 0; k < ways; k++) share[k] = (sums.share[k]! + shareCounts[k]!) / (sums.count + counts);
  const ordinary = old.ordinary.slice();
  for (let c = 0; c < sums.cohortSize.length; c++) {
    ordinary[2 * c]! += sums.cohort[2 * c]! / (sums.cohortSize[c]! + 4);
    ordinary[2 * c + 1]! += sums.cohort[2 * c + 1]! / (sums.cohortSize[c]! + 4);
  }
  const n = sums.count + 4;
  const fast = push(sums.fast, fastPrior);
  const late = push(sums.late, latePrior);
  return {
    share,
    levelVariance: (sums.level2 + 4 * old.levelVariance) / n,
    covariance: (sums.product + 4 * old.covariance) / n,
    slopeVariance: Math.max(1e-5, (sums.slope2 + 4 * old.slopeVariance) / n),
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

function push(sums: Float64Array, prior: { mean: number; variance: number }): { mean: number; variance: number } {
  const weight = sums[0]! + pushCount;
  const mean = Math.max(0.5 * prior.mean, (sums[1]! + pushCount * prior.mean) / weight);
  const square = sums[2]! - 2 * mean * sums[1]! + sums[0]! * mean * mean;
  const variance = (square + pushCount * (prior.variance + (mean - prior.mean) ** 2)) / weight;
  return { mean, variance: Math.max(leastPushVariance, variance) };
}

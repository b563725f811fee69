import { type IntervalMoments, intervalMoments } from '../numerics/intervalNormal.ts';
import { quickNormalCdf } from '../numerics/normalTable.ts';
import { manner } from './normalise.ts';

/** Phases of one event at hand, at most three. */
export interface EventPhases {
  count: number;
  /** ln specific leakage less the phase's own contrast. */
  readonly value: Float64Array;
  /** Variance of a reading around the event. */
  readonly variance: Float64Array;
  readonly manner: Uint8Array;
  readonly low: Float64Array;
  readonly high: Float64Array;
  /** 1 where the owner has said that the reading is what it is: never a stray. */
  readonly stands: Uint8Array;
  /** Out: probability that the reading is a stray. */
  readonly stray: Float64Array;
}

export function eventPhases(): EventPhases {
  return {
    count: 0,
    value: new Float64Array(3),
    variance: new Float64Array(3),
    manner: new Uint8Array(3),
    low: new Float64Array(3),
    high: new Float64Array(3),
    stands: new Uint8Array(3),
    stray: new Float64Array(3),
  };
}

export interface EventMoments {
  mean: number;
  variance: number;
  /** Log probability of the readings under the prior. */
  logProbability: number;
}

/** Share of strays and the variance of how far they stray. */
export interface Strays {
  readonly share: number;
  readonly variance: number;
}

const halfLogTwoPi = 0.9189385332046727;
const rootTwoPi = 2.5066282746310002;
/** Standard deviations to either side that are integrated. */
const reach = 6;
/** Step of the integration over the smallest error. */
const stepShare = 0.8;
/** A stray ceiling or interval tells nothing. */
const blindLikelihood = Math.log(0.5);
const moments: IntervalMoments = { mean: 0, variance: 0, logProbability: 0 };
/** Ends of the intervals and one step of the integration, in errors of the reading. */
const upper = new Float64Array(3);
const lower = new Float64Array(3);
const perStep = new Float64Array(3);
const means = new Float64Array(8);
const variances = new Float64Array(8);
const logs = new Float64Array(8);

/**
 * The event's level given its phases and what the rest of the segment says of it (a normal prior): every pattern of
 * strays among its at most three readings is weighed, ceilings and intervals enter by the moments they leave, and the mixture is summed up by its mean and variance. The step of expectation propagation.
 */
export function weighEvent(
  priorMean: number,
  priorVariance: number,
  phases: EventPhases,
  strays: Strays,
  out: EventMoments,
): void {
  const m = phases.count;
  const patterns = strays.share > 0 ? 1 << m : 1;
  let unsure = 0;
  let standing = 0;
  for (let k = 0; k < m; k++) {
    if (phases.manner[k] !== manner.value) unsure |= 1 << k;
    if (phases.stands[k] === 1) standing |= 1 << k;
  }
  // Two or more ceilings or intervals are integrated together, strays and all: no patterns over them.
  const together = (unsure & (unsure - 1)) !== 0;
  phases.stray.fill(0);
  const logIn = Math.log1p(-strays.share);
  const logOut = strays.share > 0 ? Math.log(strays.share) : Number.NEGATIVE_INFINITY;
  let top = Number.NEGATIVE_INFINITY;
  for (let pattern = 0; pattern < patterns; pattern++) {
    logs[pattern] = Number.NEGATIVE_INFINITY;
    if ((pattern & standing) !== 0 || (together && (pattern & unsure) !== 0)) continue;
    let mean = priorMean;
    let variance = priorVariance;
    let log = 0;
    for (let k = 0; k < m; k++) {
      if (phases.manner[k] !== manner.value) continue;
      const out = (pattern >> k) & 1;
      const noise = phases.variance[k]! + (out ? strays.variance : 0);
      const total = variance + noise;
      const residual = phases.value[k]! - mean;
      log += (out ? logOut : logIn) - halfLogTwoPi - 0.5 * Math.log(total) - (0.5 * residual * residual) / total;
      mean += (variance / total) * residual;
      variance = (variance * noise) / total;
    }
    if (together) {
      integrateIntervals(mean, variance, phases, strays.share, moments);
      mean = moments.mean;
      variance = moments.variance;
      log += moments.logProbability;
    } else if (unsure !== 0) {
      const k = unsure === 1 ? 0 : unsure >> 1;
      if ((pattern & unsure) !== 0) log += logOut + blindLikelihood;
      else {
        intervalMoments(mean, variance, phases.variance[k]!, phases.low[k]!, phases.high[k]!, moments);
        mean = moments.mean;
        variance = moments.variance;
        log += logIn + moments.logProbability;
      }
    }
    means[pattern] = mean;
    variances[pattern] = variance;
    logs[pattern] = log;
    if (log > top) top = log;
  }
  let sum = 0;
  let mean = 0;
  for (let pattern = 0; pattern < patterns; pattern++) {
    const weight = Math.exp(logs[pattern]! - top);
    logs[pattern] = weight;
    if (weight === 0) continue;
    sum += weight;
    mean += weight * means[pattern]!;
    for (let k = 0; k < m; k++) if ((pattern >> k) & 1) phases.stray[k]! += weight;
  }
  mean /= sum;
  let variance = 0;
  for (let pattern = 0; pattern < patterns; pattern++) {
    if (logs[pattern] === 0) continue;
    const away = means[pattern]! - mean;
    variance += logs[pattern]! * (variances[pattern]! + away * away);
  }
  for (let k = 0; k < m; k++) phases.stray[k]! /= sum;
  out.mean = mean;
  out.variance = variance / sum;
  out.logProbability = top + Math.log(sum);
}

/**
 * Moments of N(mean, variance) given all ceilings and intervals, each a stray with the given share, by the trapezium
 * rule with steps finer than a reading's error (the integrand is smooth at that scale, so the rule is as good as
 * exact): taken one after another they would count as if each were news. Strays among them are not named.
 */
function integrateIntervals(
  mean: number,
  variance: number,
  phases: EventPhases,
  strayShare: number,
  out: IntervalMoments,
): void {
  const sd = Math.sqrt(variance);
  let finest = sd;
  for (let k = 0; k < phases.count; k++) finest = Math.min(finest, Math.sqrt(phases.variance[k]!));
  const half = Math.min(200, Math.max(12, Math.ceil((reach * sd) / (stepShare * finest))));
  const width = (reach * sd) / half;
  let edges = 0;
  for (let k = 0; k < phases.count; k++) {
    if (phases.manner[k] === manner.value) continue;
    const perError = 1 / Math.sqrt(phases.variance[k]!);
    upper[edges] = (phases.high[k]! - mean) * perError;
    lower[edges] = (phases.low[k]! - mean) * perError;
    perStep[edges] = width * perError;
    edges++;
  }
  // exp(−½ (i · reach ÷ half)²), each from the one before: their ratios fall by a constant factor.
  const node = reach / half;
  const falling = Math.exp(-node * node);
  let ratio = Math.sqrt(falling);
  let prior = 1;
  let sum = likelihoodAt(0, edges, strayShare);
  let first = 0;
  let second = 0;
  for (let i = 1; i <= half; i++) {
    prior *= ratio;
    ratio *= falling;
    const above = prior * likelihoodAt(i, edges, strayShare);
    const below = prior * likelihoodAt(-i, edges, strayShare);
    sum += above + below;
    first += (above - below) * i;
    second += (above + below) * i * i;
  }
  first *= width;
  second *= width * width;
  if (!(sum > 1e-12)) {
    // Nothing within reach: one of them pulls as far as it can.
    let k = 0;
    while (phases.manner[k] === manner.value) k++;
    intervalMoments(mean, variance, phases.variance[k]!, phases.low[k]!, phases.high[k]!, out);
    return;
  }
  const shift = first / sum;
  out.mean = mean + shift;
  out.variance = Math.max(variance * 1e-6, second / sum - shift * shift);
  out.logProbability = Math.log((sum * width) / (sd * rootTwoPi));
}

/** Probability of all ceilings and intervals were the event's level `i` steps above the prior's mean. */
function likelihoodAt(i: number, edges: number, strayShare: number): number {
  let f = 1;
  for (let k = 0; k < edges; k++) {
    const moved = i * perStep[k]!;
    let inside = quickNormalCdf(upper[k]! - moved);
    if (lower[k]! > Number.NEGATIVE_INFINITY) inside -= quickNormalCdf(lower[k]! - moved);
    f *= (1 - strayShare) * inside + strayShare * 0.5;
  }
  return f;
}

import { bivariateNormalCdf } from '../numerics/bivariateNormal.ts';
import { normalCdf } from '../numerics/normal.ts';
import { mixtureQuantile } from '../numerics/normalMixture.ts';

/**
 * What is known of each segment's level today and its slope from now on: a mixture of normals, `parts` a segment, at
 * `[segment · parts + k]`. A segment about which nothing is known has weights of 0.
 */
export interface CrossingInput {
  readonly parts: number;
  readonly weight: Float64Array;
  /** ln nS/km today. */
  readonly level: Float64Array;
  /** Per year. */
  readonly slope: Float64Array;
  readonly levelVariance: Float64Array;
  readonly covariance: Float64Array;
  readonly slopeVariance: Float64Array;
  /** ln of each segment's limit; NaN where it has none. */
  readonly logLimit: Float64Array;
}

/** Years from today; NaN where that share of the distribution lies beyond the horizon, 0 where it lies behind us. */
export interface CrossingYears {
  readonly lo: Float64Array;
  readonly median: Float64Array;
  readonly hi: Float64Array;
  /** Years beyond which nothing is said. */
  readonly horizonYears: number;
}

export interface ForecastBand {
  /** nS/km, an entry a year asked for; NaN where the segment has no reading. */
  readonly median: Float64Array;
  readonly low50: Float64Array;
  readonly high50: Float64Array;
  readonly low90: Float64Array;
  readonly high90: Float64Array;
  /** Probability that the limit is passed by then; NaN where there is no limit. */
  readonly pExceed: Float64Array;
}

/** Horizons that the rest of the house speaks of, years. */
export const exceedHorizons = [1, 2, 5, 10] as const;

const light = 1e-5;
const negligible = 1e-8;

/**
 * Probability that the limit is passed at some time from today up to `years` later. A straight line is highest at one
 * of its ends, so it is 1 − P(level today and level then both under the limit), averaged over the parts.
 * NaN where the segment has no limit or no reading. A statement about leakage, not about failure.
 */
export function exceedBy(input: CrossingInput, segment: number, years: number): number {
  const limit = input.logLimit[segment]!;
  if (Number.isNaN(limit)) return Number.NaN;
  let sum = 0;
  let total = 0;
  for (let k = segment * input.parts; k < (segment + 1) * input.parts; k++) {
    const weight = input.weight[k]!;
    if (!(weight > light)) continue;
    total += weight;
    sum += weight * partExceeds(input, k, limit, years);
  }
  return total > 0 ? sum / total : Number.NaN;
}

function partExceeds(input: CrossingInput, k: number, limit: number, years: number): number {
  const levelVariance = input.levelVariance[k]!;
  const covariance = input.covariance[k]!;
  const slopeVariance = input.slopeVariance[k]!;
  const now = (limit - input.level[k]!) / Math.sqrt(levelVariance);
  const pNow = normalCdf(-now);
  if (!(years > 0)) return pNow;
  const variance = levelVariance + 2 * years * covariance + years * years * slopeVariance;
  if (!(variance > 0)) return pNow;
  const then = (limit - input.level[k]! - years * input.slope[k]!) / Math.sqrt(variance);
  const pThen = normalCdf(-then);
  // Above now and under then needs a falling line: where that is all but impossible, the later end decides.
  if (pNow < negligible || normalCdf(-input.slope[k]! / Math.sqrt(slopeVariance)) < negligible) return pThen;
  const correlation = (levelVariance + years * covariance) / Math.sqrt(levelVariance * variance);
  const under = bivariateNormalCdf(now, then, Math.max(-1, Math.min(1, correlation)));
  return Math.max(pNow, pThen, Math.min(1, 1 - under));
}

/** `exceedBy` for every segment and horizon: `[segment · horizons + h]`. */
export function exceedProbabilities(input: CrossingInput, horizons: readonly number[] = exceedHorizons): Float64Array {
  const count = input.logLimit.length;
  const out = new Float64Array(count * horizons.length);
  for (let s = 0; s < count; s++) {
    for (let h = 0; h < horizons.length; h++) out[s * horizons.length + h] = exceedBy(input, s, horizons[h]!);
  }
  return out;
}

/** The year in which the limit is reached: 5 %, 50 % and 95 % of its distribution. */
export function crossingYears(input: CrossingInput, horizonYears = 40): CrossingYears {
  const count = input.logLimit.length;
  const lo = new Float64Array(count).fill(Number.NaN);
  const median = new Float64Array(count).fill(Number.NaN);
  const hi = new Float64Array(count).fill(Number.NaN);
  for (let s = 0; s < count; s++) {
    const last = exceedBy(input, s, horizonYears);
    if (!(last >= 0.05)) continue;
    lo[s] = yearOf(input, s, 0.05, horizonYears, last);
    median[s] = yearOf(input, s, 0.5, horizonYears, last);
    hi[s] = yearOf(input, s, 0.95, horizonYears, last);
  }
  return { lo, median, hi, horizonYears };
}

/** When the probability of having passed the limit reaches `share`, to a hundredth of a year. */
function yearOf(input: CrossingInput, segment: number, share: number, horizon: number, last: number): number {
  if (last < share) return Number.NaN;
  if (exceedBy(input, segment, 0) >= share) return 0;
  let low = 0;
  let high = horizon;
  while (high - low > 0.01) {
    const middle = 0.5 * (low + high);
    if (exceedBy(input, segment, middle) >= share) high = middle;
    else low = middle;
  }
  return 0.5 * (low + high);
}

/** Median and bands of the level at the years asked for (0 is today), and P(exceed) by then. */
export function forecastPath(input: CrossingInput, segment: number, years: ArrayLike<number>): ForecastBand {
  const n = years.length;
  const make = () => new Float64Array(n).fill(Number.NaN);
  const band: ForecastBand = {
    median: make(),
    low50: make(),
    high50: make(),
    low90: make(),
    high90: make(),
    pExceed: make(),
  };
  const { parts } = input;
  const from = segment * parts;
  const weight = input.weight.subarray(from, from + parts);
  if (!weight.some((w) => w > 0)) return band;
  const mean = new Float64Array(parts);
  const sd = new Float64Array(parts);
  const level = (p: number) => Math.exp(mixtureQuantile(weight, mean, sd, 0, parts, p));
  for (let i = 0; i < n; i++) {
    const t = years[i]!;
    for (let k = 0; k < parts; k++) {
      const at = from + k;
      mean[k] = input.level[at]! + t * input.slope[at]!;
      const variance = input.levelVariance[at]! + 2 * t * input.covariance[at]! + t * t * input.slopeVariance[at]!;
      sd[k] = Math.sqrt(Math.max(1e-12, variance));
    }
    band.low90[i] = level(0.05);
    band.low50[i] = level(0.25);
    band.median[i] = level(0.5);
    band.high50[i] = level(0.75);
    band.high90[i] = level(0.95);
    band.pExceed[i] = exceedBy(input, segment, t);
  }
  return band;
}

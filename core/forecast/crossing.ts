import { bivariateNormalCdf } from '../numerics/bivariateNormal.ts';
import { normalCdf } from '../numerics/normal.ts';
import { mixtureQuantile } from '../numerics/normalMixture.ts';

/**
 * What is known of each segment's level today and its slope from now on: a mixture of normals, `parts` a segment, at
 * `[segment · parts + k]`. A segment about which nothing is known has weights of 0.
 */
export interface LevelPosterior {
  readonly count: number;
  readonly parts: number;
  readonly weight: Float64Array;
  /** ln nS/km today. */
  readonly level: Float64Array;
  /** Per year. */
  readonly slope: Float64Array;
  readonly levelVariance: Float64Array;
  readonly covariance: Float64Array;
  readonly slopeVariance: Float64Array;
  /** NaN where the owner has set none and none can be derived. */
  readonly limitNsPerKm: Float64Array;
}

/**
 * One entry a segment; NaN where it has no reading or no limit. Years are counted from today: NaN where that share of
 * the distribution lies beyond the horizon, 0 where it lies behind us.
 */
export interface Crossings {
  readonly pExceed1: Float64Array;
  readonly pExceed2: Float64Array;
  readonly pExceed5: Float64Array;
  readonly pExceed10: Float64Array;
  /** 5 %, 50 % and 95 % of the year in which the limit is reached. */
  readonly lo: Float64Array;
  readonly median: Float64Array;
  readonly hi: Float64Array;
}

/** Levels at one time, nS/km; `year` is counted from today. */
export interface PathStep {
  readonly year: number;
  readonly median: number;
  readonly lo50: number;
  readonly hi50: number;
  readonly lo90: number;
  readonly hi90: number;
}

const light = 1e-5;
const negligible = 1e-8;

/**
 * Probability that the limit is passed at some time from today up to `years` later. A straight line is highest at one
 * of its ends, so it is 1 − P(level today and level then both under the limit), averaged over the parts.
 * NaN where the segment has no limit or no reading. A statement about leakage, not about failure.
 */
export function pExceedWithin(posterior: LevelPosterior, segment: number, years: number): number {
  const limit = Math.log(posterior.limitNsPerKm[segment]!);
  if (!Number.isFinite(limit)) return Number.NaN;
  let sum = 0;
  let total = 0;
  for (let k = segment * posterior.parts; k < (segment + 1) * posterior.parts; k++) {
    const weight = posterior.weight[k]!;
    if (!(weight > light)) continue;
    total += weight;
    sum += weight * partExceeds(posterior, k, limit, years);
  }
  return total > 0 ? sum / total : Number.NaN;
}

function partExceeds(posterior: LevelPosterior, k: number, limit: number, years: number): number {
  const levelVariance = posterior.levelVariance[k]!;
  const covariance = posterior.covariance[k]!;
  const slopeVariance = posterior.slopeVariance[k]!;
  const now = (limit - posterior.level[k]!) / Math.sqrt(levelVariance);
  const pNow = normalCdf(-now);
  if (!(years > 0)) return pNow;
  const variance = levelVariance + 2 * years * covariance + years * years * slopeVariance;
  if (!(variance > 0)) return pNow;
  const then = (limit - posterior.level[k]! - years * posterior.slope[k]!) / Math.sqrt(variance);
  const pThen = normalCdf(-then);
  // Above now and under then needs a falling line: where that is all but impossible, the later end decides.
  if (pNow < negligible || normalCdf(-posterior.slope[k]! / Math.sqrt(slopeVariance)) < negligible) return pThen;
  const correlation = (levelVariance + years * covariance) / Math.sqrt(levelVariance * variance);
  const under = bivariateNormalCdf(now, then, Math.max(-1, Math.min(1, correlation)));
  return Math.max(pNow, pThen, Math.min(1, 1 - under));
}

/** Crossing of every segment. Cost: linear; a segment that stays far below its limit needs only its last year. */
export function crossings(posterior: LevelPosterior, options: { readonly horizonYears: number }): Crossings {
  const make = () => new Float64Array(posterior.count).fill(Number.NaN);
  const out: Crossings = {
    pExceed1: make(),
    pExceed2: make(),
    pExceed5: make(),
    pExceed10: make(),
    lo: make(),
    median: make(),
    hi: make(),
  };
  for (let s = 0; s < posterior.count; s++) {
    out.pExceed1[s] = pExceedWithin(posterior, s, 1);
    out.pExceed2[s] = pExceedWithin(posterior, s, 2);
    out.pExceed5[s] = pExceedWithin(posterior, s, 5);
    out.pExceed10[s] = pExceedWithin(posterior, s, 10);
    const last = pExceedWithin(posterior, s, options.horizonYears);
    if (!(last >= 0.05)) continue;
    out.lo[s] = yearOf(posterior, s, 0.05, options.horizonYears, last);
    out.median[s] = yearOf(posterior, s, 0.5, options.horizonYears, last);
    out.hi[s] = yearOf(posterior, s, 0.95, options.horizonYears, last);
  }
  return out;
}

/** When the probability of having passed the limit reaches `share`, to a hundredth of a year. */
function yearOf(posterior: LevelPosterior, segment: number, share: number, horizon: number, last: number): number {
  if (last < share) return Number.NaN;
  if (pExceedWithin(posterior, segment, 0) >= share) return 0;
  let low = 0;
  let high = horizon;
  while (high - low > 0.01) {
    const middle = 0.5 * (low + high);
    if (pExceedWithin(posterior, segment, middle) >= share) high = middle;
    else low = middle;
  }
  return 0.5 * (low + high);
}

type OnePosterior = Omit<LevelPosterior, 'count' | 'parts' | 'limitNsPerKm'>;

/** Level of one segment at years counted from today: median, 50 % and 90 % bands. Empty where it has no reading. */
export function levelPath(posterior: OnePosterior, years: readonly number[]): PathStep[] {
  const parts = posterior.weight.length;
  if (!posterior.weight.some((w) => w > 0)) return [];
  const mean = new Float64Array(parts);
  const sd = new Float64Array(parts);
  const at = (p: number) => Math.exp(mixtureQuantile(posterior.weight, mean, sd, 0, parts, p));
  return years.map((year) => {
    for (let k = 0; k < parts; k++) {
      mean[k] = posterior.level[k]! + year * posterior.slope[k]!;
      const variance =
        posterior.levelVariance[k]! + 2 * year * posterior.covariance[k]! + year * year * posterior.slopeVariance[k]!;
      sd[k] = Math.sqrt(Math.max(1e-12, variance));
    }
    return { year, median: at(0.5), lo50: at(0.25), hi50: at(0.75), lo90: at(0.05), hi90: at(0.95) };
  });
}

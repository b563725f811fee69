import { bivariateNormalCdf } from '../numerics/bivariateNormal.ts';
import { mixtureQuantile } from '../numerics/normalMixture.ts';
import { quickNormalCdf } from '../numerics/normalTable.ts';

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

/** Parts of less weight, and chances that a part could add less than this, are left out: four digits are shown. */
const light = 1e-5;
const negligible = 1e-7;
const fineYears = 0.01;
const mostHalvings = 40;

/** One segment's parts that have weight, and what of each does not depend on the year asked for. */
class Parts {
  #count = 0;
  #total = 0;
  #limit = Number.NaN;
  #posterior: LevelPosterior;
  #part: Int32Array;
  /** Standard deviations from the level now up to the limit, and the chance to be above it now. */
  #now: Float64Array;
  #pNow: Float64Array;
  /** At most so likely is 'above now, under it later'. */
  #mostFallen: Float64Array;

  constructor(posterior: LevelPosterior) {
    this.#posterior = posterior;
    this.#part = new Int32Array(posterior.parts);
    this.#now = new Float64Array(posterior.parts);
    this.#pNow = new Float64Array(posterior.parts);
    this.#mostFallen = new Float64Array(posterior.parts);
  }

  /** False where the segment has no limit or no reading. */
  take(segment: number): boolean {
    const { parts, weight, level, levelVariance, slope, slopeVariance, limitNsPerKm } = this.#posterior;
    this.#limit = Math.log(limitNsPerKm[segment]!);
    this.#count = 0;
    this.#total = 0;
    if (!Number.isFinite(this.#limit)) return false;
    for (let k = segment * parts; k < (segment + 1) * parts; k++) {
      if (!(weight[k]! > light)) continue;
      const i = this.#count++;
      this.#total += weight[k]!;
      this.#part[i] = k;
      this.#now[i] = (this.#limit - level[k]!) / Math.sqrt(levelVariance[k]!);
      this.#pNow[i] = quickNormalCdf(-this.#now[i]!);
      this.#mostFallen[i] = Math.min(this.#pNow[i]!, quickNormalCdf(-slope[k]! / Math.sqrt(slopeVariance[k]!)));
    }
    return this.#count > 0;
  }

  /** Probability that the limit is passed at some time from today up to `years` later. */
  exceedsWithin(years: number): number {
    let sum = 0;
    for (let i = 0; i < this.#count; i++) sum += this.#posterior.weight[this.#part[i]!]! * this.#exceeds(i, years);
    return sum / this.#total;
  }

  /** A straight line is highest at one of its ends: 1 − P(level today and level then both under the limit). */
  #exceeds(i: number, years: number): number {
    const { weight, level, slope, levelVariance, covariance, slopeVariance } = this.#posterior;
    const k = this.#part[i]!;
    const pNow = this.#pNow[i]!;
    if (!(years > 0)) return pNow;
    const variance = levelVariance[k]! + 2 * years * covariance[k]! + years * years * slopeVariance[k]!;
    if (!(variance > 0)) return pNow;
    const then = (this.#limit - level[k]! - years * slope[k]!) / Math.sqrt(variance);
    const pThen = quickNormalCdf(-then);
    // Above now and under then needs a falling line: where that is all but impossible, the later end decides.
    if (weight[k]! * this.#mostFallen[i]! < negligible) return Math.max(pNow, pThen);
    const correlation = (levelVariance[k]! + years * covariance[k]!) / Math.sqrt(levelVariance[k]! * variance);
    const under = bivariateNormalCdf(this.#now[i]!, then, Math.max(-1, Math.min(1, correlation)));
    return Math.max(pNow, pThen, Math.min(1, 1 - under));
  }
}

/**
 * Probability that the limit is passed at some time from today up to `years` later. NaN where the segment has no limit
 * or no reading. A statement about leakage, not about failure.
 */
export function pExceedWithin(posterior: LevelPosterior, segment: number, years: number): number {
  const parts = new Parts(posterior);
  return parts.take(segment) ? parts.exceedsWithin(years) : Number.NaN;
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
  const parts = new Parts(posterior);
  const years = Float64Array.from([...new Set([0, 1, 2, 5, 10, options.horizonYears])].sort((a, b) => a - b));
  const chances = new Float64Array(years.length);
  for (let s = 0; s < posterior.count; s++) {
    if (!parts.take(s)) continue;
    for (let i = 0; i < years.length; i++) chances[i] = parts.exceedsWithin(years[i]!);
    const at = (year: number) => chances[years.indexOf(year)]!;
    out.pExceed1[s] = at(1);
    out.pExceed2[s] = at(2);
    out.pExceed5[s] = at(5);
    out.pExceed10[s] = at(10);
    const last = years.indexOf(options.horizonYears);
    out.lo[s] = yearOf(parts, 0.05, years, chances, last);
    out.median[s] = yearOf(parts, 0.5, years, chances, last);
    out.hi[s] = yearOf(parts, 0.95, years, chances, last);
  }
  return out;
}

/** When the probability of having passed the limit reaches `share`, to a hundredth of a year; NaN after `years[last]`. */
function yearOf(parts: Parts, share: number, years: Float64Array, chances: Float64Array, last: number): number {
  if (chances[0]! >= share) return 0;
  let i = 0;
  while (i <= last && chances[i]! < share) i++;
  if (i > last) return Number.NaN;
  let low = years[i - 1]!;
  let high = years[i]!;
  let below = chances[i - 1]! - share;
  let above = chances[i]! - share;
  // The chord's end that stays put counts half from the second time on (the Illinois rule), lest it stay for good.
  let stayed = 0;
  for (let step = 0; step < mostHalvings && high - low > fineYears; step++) {
    const chord = low - (below * (high - low)) / (above - below);
    const year = Math.min(high - 0.4 * fineYears, Math.max(low + 0.4 * fineYears, chord));
    const away = parts.exceedsWithin(year) - share;
    if (away >= 0) {
      high = year;
      above = away;
      if (stayed < 0) below *= 0.5;
      stayed = -1;
    } else {
      low = year;
      below = away;
      if (stayed > 0) above *= 0.5;
      stayed = 1;
    }
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

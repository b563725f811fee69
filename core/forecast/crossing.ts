import { normalCdf } from '../numerics/normal.ts';

/** Posterior of level (ln nS/km today) and slope (1/year) of segments: mixtures of normals, `parts` a segment. */
export interface LevelPosterior {
  readonly count: number;
  readonly parts: number;
  readonly weight: Float64Array;
  readonly level: Float64Array;
  readonly slope: Float64Array;
  readonly levelVariance: Float64Array;
  readonly covariance: Float64Array;
  readonly slopeVariance: Float64Array;
  /** NaN where the owner has set none and none can be derived. */
  readonly limitNsPerKm: Float64Array;
}

/** One entry a segment; NaN where it has no posterior or no limit. Years are counted from today. */
export interface Crossings {
  readonly pExceed1: Float64Array;
  readonly pExceed2: Float64Array;
  readonly pExceed5: Float64Array;
  readonly pExceed10: Float64Array;
  /** 5 %, 50 % and 95 % of the crossing year; 0 where it lies above the limit now; NaN: not within the horizon. */
  readonly lo: Float64Array;
  readonly median: Float64Array;
  readonly hi: Float64Array;
}

// Gauss–Legendre nodes and weights on (0, 1), 10 points (Abramowitz & Stegun, table 25.4).
const half = [0.1488743389816312, 0.4333953941292472, 0.6794095682990244, 0.8650633666889845, 0.9739065285171717];
const halfWeight = [0.2955242247147529, 0.2692667193099963, 0.219086362515982, 0.1494513491505806, 0.0666713443086881];
const node = Float64Array.from([...half.map((x) => (1 - x) / 2), ...half.map((x) => (1 + x) / 2)]);
const nodeWeight = Float64Array.from([...halfWeight, ...halfWeight].map((w) => w / 2));

/**
 * P(the level exceeds the limit at some time within `years`) for one part: on a straight line that is above now, or
 * below now and above then. Integrates over today's level on a fixed grid.
 */
function exceedsWithin(p: LevelPosterior, k: number, lnLimit: number, years: number): number {
  const sdLevel = Math.sqrt(p.levelVariance[k]!);
  const gap = lnLimit - p.level[k]!;
  const z = gap / sdLevel;
  const below = normalCdf(z);
  const above = 1 - below;
  if (years === 0 || below < 1e-9) return above;
  const shareOfSlope = p.covariance[k]! / p.levelVariance[k]!;
  const sdSlope = Math.sqrt(Math.max(1e-12, p.slopeVariance[k]! - shareOfSlope * p.covariance[k]!));
  // Only levels within 8 sd below the limit or the mean can matter; the density does the weighing.
  const from = Math.min(z, 0) - 8;
  const width = (Math.min(z, 6) - from) / 2;
  let sum = 0;
  for (let piece = 0; piece < 2; piece++) {
    for (let n = 0; n < node.length; n++) {
      const u = from + width * (piece + node[n]!);
      const needed = (gap - u * sdLevel) / years;
      const slope = p.slope[k]! + shareOfSlope * u * sdLevel;
      sum += nodeWeight[n]! * Math.exp(-0.5 * u * u) * normalCdf((slope - needed) / sdSlope);
    }
  }
  return Math.min(1, above + (sum * width) / Math.sqrt(2 * Math.PI));
}

/** P(exceeded within `years`) of a segment. */
export function pExceedWithin(p: LevelPosterior, segment: number, years: number): number {
  const lnLimit = Math.log(p.limitNsPerKm[segment]!);
  let sum = 0;
  for (let k = segment * p.parts; k < (segment + 1) * p.parts; k++)
    if (p.weight[k]! > 0) sum += p.weight[k]! * exceedsWithin(p, k, lnLimit, years);
  return sum;
}

/** Crossing of every segment. Cost: linear; the year is read off a yearly grid by straight interpolation. */
export function crossings(p: LevelPosterior, options: { readonly horizonYears: number }): Crossings {
  const make = () => new Float64Array(p.count).fill(Number.NaN);
  const out = {
    pExceed1: make(),
    pExceed2: make(),
    pExceed5: make(),
    pExceed10: make(),
    lo: make(),
    median: make(),
    hi: make(),
  };
  const grid = new Float64Array(options.horizonYears + 1);
  for (let s = 0; s < p.count; s++) {
    if (!(p.limitNsPerKm[s]! > 0)) continue;
    let weight = 0;
    for (let k = s * p.parts; k < (s + 1) * p.parts; k++) weight += p.weight[k]!;
    if (weight === 0) continue;
    for (let year = 0; year < grid.length; year++)
      grid[year] = Math.max(year > 0 ? grid[year - 1]! : 0, pExceedWithin(p, s, year));
    out.pExceed1[s] = grid[1]!;
    out.pExceed2[s] = grid[2]!;
    out.pExceed5[s] = grid[5]!;
    out.pExceed10[s] = grid[10]!;
    out.lo[s] = yearReached(grid, 0.05);
    out.median[s] = yearReached(grid, 0.5);
    out.hi[s] = yearReached(grid, 0.95);
  }
  return out;
}

function yearReached(grid: Float64Array, share: number): number {
  if (grid[0]! >= share) return 0;
  for (let year = 1; year < grid.length; year++)
    if (grid[year]! >= share) return year - 1 + (share - grid[year - 1]!) / (grid[year]! - grid[year - 1]!);
  return Number.NaN;
}

export interface PathStep {
  readonly year: number;
  readonly median: number;
  readonly lo50: number;
  readonly hi50: number;
  readonly lo90: number;
  readonly hi90: number;
}

type OnePosterior = Omit<LevelPosterior, 'count' | 'parts' | 'limitNsPerKm'>;

/** Level of one segment (nS/km) at years counted from today: median, 50 % and 90 % bands. */
export function levelPath(p: OnePosterior, years: readonly number[]): PathStep[] {
  return years.map((year) => {
    const mean = p.level.map((level, k) => level + p.slope[k]! * year);
    const sd = p.levelVariance.map((v, k) =>
      Math.sqrt(Math.max(1e-12, v + 2 * year * p.covariance[k]! + year * year * p.slopeVariance[k]!)),
    );
    const at = (share: number) => Math.exp(mixtureQuantile(p.weight, mean, sd, share));
    return { year, median: at(0.5), lo50: at(0.25), hi50: at(0.75), lo90: at(0.05), hi90: at(0.95) };
  });
}

function mixtureQuantile(weight: Float64Array, mean: Float64Array, sd: Float64Array, share: number): number {
  let lo = Number.POSITIVE_INFINITY;
  let hi = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < weight.length; k++) {
    lo = Math.min(lo, mean[k]! - 8 * sd[k]!);
    hi = Math.max(hi, mean[k]! + 8 * sd[k]!);
  }
  for (let step = 0; step < 60; step++) {
    const mid = (lo + hi) / 2;
    let below = 0;
    for (let k = 0; k < weight.length; k++) below += weight[k]! * normalCdf((mid - mean[k]!) / sd[k]!);
    if (below < share) lo = mid;
    else hi = mid;
  }
  return (lo + hi) / 2;
}

import { kendallCounts } from './kendallCounts.ts';
import { normalQuantile } from './normal.ts';
import { quantileSorted } from './quantile.ts';

export type MedianSlope =
  | {
      readonly known: true;
      /** y per unit of t. */
      readonly slope: number;
      /** Median of y − slope · t. */
      readonly intercept: number;
      /** Pairs of points with distinct t. */
      readonly pairs: number;
      readonly interval: SlopeInterval;
    }
  | { readonly known: false; readonly because: string };

export type SlopeInterval =
  | { readonly known: true; readonly low: number; readonly high: number }
  | { readonly known: false; readonly because: string };

/**
 * The Theil–Sen line: the median of the slopes of all pairs of points, steady when up to 29 % of them are wild.
 * Its interval is Sen's, from the variance of Kendall's S with ties, ranks interpolated as in R. O. Gilbert,
 * Statistical Methods for Environmental Pollution Monitoring (1987) §16.5.
 * Source: P. K. Sen, JASA 63 (1968) 1379. Cost: n² slopes. Unknown under two points of distinct t.
 */
export function theilSen(t: ArrayLike<number>, y: ArrayLike<number>, coverage = 0.9): MedianSlope {
  const n = t.length;
  const slopes = new Float64Array((n * (n - 1)) / 2);
  let pairs = 0;
  for (let i = 1; i < n; i++) {
    for (let j = 0; j < i; j++) {
      const run = t[i]! - t[j]!;
      if (run !== 0) slopes[pairs++] = (y[i]! - y[j]!) / run;
    }
  }
  if (pairs === 0) return { known: false, because: 'fewer than two points at distinct times' };
  const sorted = slopes.subarray(0, pairs).sort();
  const slope = quantileSorted(sorted, 0.5);
  const heights = new Float64Array(n);
  for (let i = 0; i < n; i++) heights[i] = y[i]! - slope * t[i]!;
  return {
    known: true,
    slope,
    intercept: quantileSorted(heights.sort(), 0.5),
    pairs,
    interval: slopeInterval(sorted, kendallCounts(t, y).variance, coverage),
  };
}

function slopeInterval(sorted: Float64Array, variance: number, coverage: number): SlopeInterval {
  const pairs = sorted.length;
  const reach = normalQuantile(0.5 + coverage / 2) * Math.sqrt(variance);
  const lowRank = (pairs - reach) / 2;
  const highRank = (pairs + reach) / 2 + 1;
  if (lowRank < 1 || highRank > pairs) return { known: false, because: 'too few points for an interval' };
  return {
    known: true,
    low: quantileSorted(sorted, (lowRank - 1) / (pairs - 1)),
    high: quantileSorted(sorted, (highRank - 1) / (pairs - 1)),
  };
}

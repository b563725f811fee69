/** What the pairs of a series say about its trend. */
export interface KendallCounts {
  /** Pairs that rise less pairs that fall. */
  readonly s: number;
  /** Variance of s when there is no trend, corrected for ties in t and in y. */
  readonly variance: number;
  /** Sizes of the groups of equal t, and of equal y, each in rising order of value; 1 for a value that stands alone. */
  readonly tGroups: readonly number[];
  readonly yGroups: readonly number[];
}

/**
 * Kendall's S and its variance, ties in either series allowed; t need not be in order.
 * Source of the variance: M. G. Kendall, Rank Correlation Methods (4th ed. 1970) ch. 4. Cost: n² pairs.
 */
export function kendallCounts(t: ArrayLike<number>, y: ArrayLike<number>): KendallCounts {
  const n = t.length;
  let s = 0;
  for (let i = 1; i < n; i++) {
    for (let j = 0; j < i; j++) s += Math.sign(t[i]! - t[j]!) * Math.sign(y[i]! - y[j]!);
  }
  const tGroups = groupSizes(t);
  const yGroups = groupSizes(y);
  const sum = (groups: readonly number[], term: (size: number) => number): number =>
    groups.reduce((total, size) => total + term(size), 0);
  const whole = (m: number): number => m * (m - 1) * (2 * m + 5);
  const pairs = (m: number): number => m * (m - 1);
  const triples = (m: number): number => m * (m - 1) * (m - 2);
  let variance = (whole(n) - sum(tGroups, whole) - sum(yGroups, whole)) / 18;
  if (n > 2) variance += (sum(tGroups, triples) * sum(yGroups, triples)) / (9 * triples(n));
  if (n > 1) variance += (sum(tGroups, pairs) * sum(yGroups, pairs)) / (2 * pairs(n));
  return { s, variance, tGroups, yGroups };
}

function groupSizes(values: ArrayLike<number>): number[] {
  const sorted = new Float64Array(values).sort();
  const sizes: number[] = [];
  for (let i = 0; i < sorted.length; i++) {
    if (i > 0 && sorted[i] === sorted[i - 1]) sizes[sizes.length - 1]!++;
    else sizes.push(1);
  }
  return sizes;
}

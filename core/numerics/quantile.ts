/**
 * The p-quantile of values already in rising order: linear between the two nearest order statistics, the one that
 * Hyndman and Fan (The American Statistician 50 (1996) 361) number 7 and R uses by default.
 * RangeError when there is no value or p is outside 0 … 1.
 */
export function quantileSorted(sorted: ArrayLike<number>, p: number): number {
  const n = sorted.length;
  if (n === 0) throw new RangeError('quantile needs at least one value');
  if (!(p >= 0 && p <= 1)) throw new RangeError(`quantile needs a probability from 0 to 1, not ${p}`);
  const at = (n - 1) * p;
  const lower = Math.floor(at);
  const low = sorted[lower]!;
  const share = at - lower;
  return share === 0 ? low : low + share * (sorted[lower + 1]! - low);
}

/** The p-quantile of values in any order, which are left as they are. As `quantileSorted`. */
export function quantile(values: ArrayLike<number>, p: number): number {
  return quantileSorted(new Float64Array(values).sort(), p);
}

/** Short lists, the rule in records of tests, are sorted here: a typed array's own sort costs far more to set up. */
const short = new Float64Array(16);

/** The middle value, or the mean of the two middle ones; no NaN among them. RangeError when there is none. */
export function median(values: ArrayLike<number>): number {
  const n = values.length;
  if (n === 0 || n > short.length) return quantile(values, 0.5);
  for (let i = 0; i < n; i++) {
    const value = values[i]!;
    let at = i;
    for (; at > 0 && short[at - 1]! > value; at--) short[at] = short[at - 1]!;
    short[at] = value;
  }
  const middle = n >> 1;
  return n % 2 === 1 ? short[middle]! : short[middle - 1]! + 0.5 * (short[middle]! - short[middle - 1]!);
}

/**
 * A spread that a few wild values cannot move: the median distance from the median, times 1.4826 so that it is the
 * standard deviation where the values are normal. 0 when over half of them are equal.
 * Source: P. J. Rousseeuw and C. Croux, JASA 88 (1993) 1273.
 */
export function robustSpread(values: ArrayLike<number>, centre: number = median(values)): number {
  const away = new Float64Array(values);
  for (let i = 0; i < away.length; i++) away[i] = Math.abs(away[i]! - centre);
  return 1.482602218505602 * quantileSorted(away.sort(), 0.5);
}

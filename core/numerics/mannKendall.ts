import { kendallCounts } from './kendallCounts.ts';
import { type ExactS, exactS } from './kendallExact.ts';
import { normalCdf } from './normal.ts';

export type MannKendall =
  | {
      readonly known: true;
      /** Pairs that rise less pairs that fall. */
      readonly s: number;
      readonly variance: number;
      /** With the continuity correction; 0 where s is 0 or all y are equal. */
      readonly z: number;
      /** Kendall's tau-b, which allows for ties; 0 where all y are equal. */
      readonly tauB: number;
      /** Chance of an s at least as high, at least as low, at least as far from 0, were there no trend. */
      readonly pRising: number;
      readonly pFalling: number;
      readonly pEither: number;
      /** True where the chances come from all orders of y, false where from the normal approximation. */
      readonly exact: boolean;
    }
  | { readonly known: false; readonly because: string };

/**
 * The Mann–Kendall test for a trend. Up to `exactUpTo` points the chances are exact, over all orders of y with the
 * ties that were seen held fixed; above, normal with the continuity correction and the variance corrected for ties.
 * No series of 3 can have a one-sided chance under 1/6, nor one of 4 under 1/24.
 * Source: H. B. Mann, Econometrica 13 (1945) 245; M. G. Kendall, Rank Correlation Methods (4th ed. 1970).
 * Unknown under two points of distinct t. Cost: n² pairs.
 */
export function mannKendall(t: ArrayLike<number>, y: ArrayLike<number>, exactUpTo = 10): MannKendall {
  const { s, variance, tGroups, yGroups } = kendallCounts(t, y);
  if (tGroups.length < 2) return { known: false, because: 'fewer than two points at distinct times' };
  const n = t.length;
  const z = variance > 0 ? (s - Math.sign(s)) / Math.sqrt(variance) : 0;
  const pairs = (n * (n - 1)) / 2;
  const tied = (groups: readonly number[]): number => groups.reduce((sum, size) => sum + (size * (size - 1)) / 2, 0);
  const spread = Math.sqrt((pairs - tied(tGroups)) * (pairs - tied(yGroups)));
  const tauB = spread > 0 ? s / spread : 0;
  const exact = n <= exactUpTo;
  return {
    known: true,
    s,
    variance,
    z,
    tauB,
    ...(exact ? exactChances(s, tGroups, yGroups) : normalChances(s, variance)),
    exact,
  };
}

interface Chances {
  readonly pRising: number;
  readonly pFalling: number;
  readonly pEither: number;
}

function normalChances(s: number, variance: number): Chances {
  if (!(variance > 0)) return { pRising: 1, pFalling: 1, pEither: 1 };
  const sd = Math.sqrt(variance);
  return {
    pRising: normalCdf((1 - s) / sd),
    pFalling: normalCdf((1 + s) / sd),
    pEither: Math.min(1, 2 * normalCdf((1 - Math.abs(s)) / sd)),
  };
}

const untiedCache = new Map<number, ExactS>();

function exactChances(s: number, tGroups: readonly number[], yGroups: readonly number[]): Chances {
  const { offset, chance } = distribution(tGroups, yGroups);
  let pRising = 0;
  let pFalling = 0;
  let pEither = 0;
  for (let i = 0; i < chance.length; i++) {
    const value = i - offset;
    if (value >= s) pRising += chance[i]!;
    if (value <= s) pFalling += chance[i]!;
    if (Math.abs(value) >= Math.abs(s)) pEither += chance[i]!;
  }
  return { pRising: Math.min(1, pRising), pFalling: Math.min(1, pFalling), pEither: Math.min(1, pEither) };
}

/** Nearly every series has no ties; its distribution depends on the number of points alone and is worked out once. */
function distribution(tGroups: readonly number[], yGroups: readonly number[]): ExactS {
  const n = tGroups.length;
  if (n !== yGroups.length || tGroups.some((size) => size > 1) || yGroups.some((size) => size > 1)) {
    return exactS(tGroups, yGroups);
  }
  const kept = untiedCache.get(n) ?? exactS(tGroups, yGroups);
  untiedCache.set(n, kept);
  return kept;
}

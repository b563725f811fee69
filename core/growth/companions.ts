import { mannKendall } from '../numerics/mannKendall.ts';
import { theilSen } from '../numerics/theilSen.ts';

/** What plain methods say of one segment, beside the model: they know nothing of the rest of the fleet. */
export interface Companions {
  /** Theil–Sen slope of ln level, as % per year; NaN under two tests of different days. */
  readonly theilSenPctPerYr: number;
  /** Two-sided Mann–Kendall p, exact up to 10 tests; NaN under three tests (it could say nothing). */
  readonly mannKendallP: number;
}

/** `days` since 1970-01-01 and ln levels of the tests of one era, in order. */
export function companionsOf(days: ArrayLike<number>, logLevels: ArrayLike<number>): Companions {
  const years = Float64Array.from(days, (day) => day / 365.25);
  const slope = theilSen(years, logLevels);
  const trend = years.length >= 3 ? mannKendall(years, logLevels) : null;
  return {
    theilSenPctPerYr: slope.known ? 100 * Math.expm1(slope.slope) : Number.NaN,
    mannKendallP: trend?.known ? trend.pEither : Number.NaN,
  };
}

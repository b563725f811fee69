import type { Crossing } from '../contract/shapes/standing.ts';
import type { Standings } from './standings.ts';

const orNull = (x: number): number | null => (Number.isNaN(x) ? null : x);

export const crossingOf = (standings: Standings, i: number): Crossing => ({
  year: orNull(standings.crossingYear[i]!),
  lo: orNull(standings.crossingLo[i]!),
  hi: orNull(standings.crossingHi[i]!),
  aboveNow: standings.crossingHi[i]! <= standings.nowYear + 1e-6,
  horizonYear: standings.year + standings.horizonYears,
});

/**
 * '2029 (2027 to 2034)', 'above it now', 'not within 15 years': as the window says it.
 * @param now calendar year of the day that the ranking stands for
 */
export function crossingWords(crossing: Crossing, now: number): string {
  const { year, lo, hi, horizonYear } = crossing;
  if (crossing.aboveNow) return 'above it now';
  if (year === null) return `not within ${horizonYear - now} years`;
  const from = lo === null || Math.floor(lo) <= now ? 'now' : String(Math.floor(lo));
  const to = hi === null ? 'later' : String(Math.floor(hi));
  return `${Math.floor(year)} (${from} to ${to})`;
}

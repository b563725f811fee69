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

/** '2029 (2027 to 2034)', 'above now', 'not within 15 years'. */
export function crossingWords(crossing: Crossing): string {
  const { year, lo, hi, horizonYear } = crossing;
  if (crossing.aboveNow) return 'above now';
  if (year === null) return `not by ${horizonYear}`;
  const from = lo === null ? 'now' : String(Math.floor(lo));
  const to = hi === null ? `after ${horizonYear}` : String(Math.floor(hi));
  return `${Math.floor(year)} (${from} to ${to})`;
}

import type { YearStrip } from '../contract/shapes/strip.ts';
import type { Standings } from './standings.ts';

/** Years of a strip before and after the present one, by where it stands. */
const spans = {
  tree: { back: 9, ahead: 5 },
  row: { back: 19, ahead: 10 },
  page: { back: Number.POSITIVE_INFINITY, ahead: 10 },
} as const;
export type StripPlace = keyof typeof spans;

/** Years that the standings keep for each segment: from `yearsBack` before the present one. */
export const yearsBack = 50;
export const yearsAhead = 12;
export const stripYears = yearsBack + 1 + yearsAhead;

// One byte a segment and year: the level + 1 in the low three bits (0 where nothing is known), then what happened.
export const testedBit = 8;
export const notchBit = 16;
export const crossBit = 32;

/** The level's step on the six-step scale: under 10, 25, 50, 75, 100 % of the limit, above. */
export function levelStep(shareOfLimit: number): number {
  if (shareOfLimit < 0.1) return 0;
  if (shareOfLimit < 0.25) return 1;
  if (shareOfLimit < 0.5) return 2;
  if (shareOfLimit < 0.75) return 3;
  return shareOfLimit < 1 ? 4 : 5;
}

function emptyStrip(standings: Standings, place: StripPlace, firstYear: number): YearStrip {
  const { back, ahead } = spans[place];
  const from = Math.max(firstYear, standings.year - Math.min(back, yearsBack));
  return {
    from,
    now: standings.year,
    to: standings.year + Math.min(ahead, yearsAhead),
    levels: [],
    tested: [],
    notches: [],
    crosses: [],
  };
}

/** The strip of one segment. On the page it begins with the year of energising, as far back as is kept. */
export function segmentStrip(standings: Standings, ordinal: number, place: StripPlace): YearStrip {
  const first = place === 'page' ? standings.energisedYear[ordinal]! || standings.year - 20 : 0;
  const strip = emptyStrip(standings, place, first);
  const base = ordinal * stripYears - (standings.year - yearsBack);
  for (let year = strip.from; year <= strip.to; year++) {
    const byte = standings.strips[base + year]!;
    strip.levels.push((byte & 7) - 1);
    if (byte & testedBit) strip.tested.push(year);
    if (byte & notchBit) strip.notches.push(year);
    if (byte & crossBit) strip.crosses.push(year);
  }
  return strip;
}

/** The strip of a feeder or substation: each year its segments' highest level; tested where any was. */
export function groupStrip(standings: Standings, ordinals: readonly number[]): YearStrip {
  const strip = emptyStrip(standings, 'tree', 0);
  const offset = standings.year - yearsBack;
  for (let year = strip.from; year <= strip.to; year++) {
    let level = 0;
    let bits = 0;
    for (const ordinal of ordinals) {
      const byte = standings.strips[ordinal * stripYears + year - offset]!;
      level = Math.max(level, byte & 7);
      bits |= byte;
    }
    strip.levels.push(level - 1);
    if (bits & testedBit) strip.tested.push(year);
    if (bits & crossBit) strip.crosses.push(year);
  }
  return strip;
}

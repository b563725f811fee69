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

/** Of a group's known segments this share stands at the level shown or above it. */
const groupShare = 0.1;

/** The strip of a feeder or substation: each year the level that its worst tenth reaches; tested where any was. */
export function groupStrip(standings: Standings, ordinals: readonly number[]): YearStrip {
  const strip = emptyStrip(standings, 'tree', 0);
  const years = strip.to - strip.from + 1;
  const first = strip.from - standings.year + yearsBack;
  // Segment by segment, as they lie in memory: a count of each step a year.
  const count = new Int32Array(years * 8);
  const bits = new Uint8Array(years);
  for (const ordinal of ordinals) {
    const base = ordinal * stripYears + first;
    for (let k = 0; k < years; k++) {
      const byte = standings.strips[base + k]!;
      count[k * 8 + (byte & 7)]!++;
      bits[k]! |= byte;
    }
  }
  for (let k = 0; k < years; k++) {
    strip.levels.push(worstTenth(count.subarray(k * 8, k * 8 + 8)) - 1);
    if (bits[k]! & testedBit) strip.tested.push(strip.from + k);
  }
  return strip;
}

/** The highest step that at least a tenth of the known reach; 0 where nothing is known. */
function worstTenth(count: Int32Array): number {
  let known = 0;
  for (let step = 1; step < count.length; step++) known += count[step]!;
  if (known === 0) return 0;
  let above = 0;
  for (let step = count.length - 1; step > 0; step--) {
    above += count[step]!;
    if (above >= groupShare * known) return step;
  }
  return 0;
}

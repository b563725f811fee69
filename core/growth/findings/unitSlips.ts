import { median } from '../../numerics/quantile.ts';
import type { FleetColumns } from '../columns.ts';
import { mostRise } from '../normalise.ts';
import { type Comparable, eventValue } from './comparable.ts';
import type { Finding } from './finding.ts';
import { phaseSlips, returnsAfter, spreadOfContrasts, type WildReading } from './phaseSlips.ts';
import { slipFindings, wildFinding } from './slipFindings.ts';
import { findWildTests } from './wildTests.ts';

/** Slips found: what to take off ln of each reading; 0 for most. */
export interface UnitSlips {
  readonly shift: Float64Array;
  /** Each segment's level (drift taken out) once its slips are set right; NaN without a reading. */
  readonly level: Float64Array;
  readonly findings: Finding[];
}

const ln10 = Math.log(10);
const thousand = 3 * ln10;
/** Slips between units: nA, µA and mA are thousands apart, so a thousand or a million. */
const betweenUnits = [thousand, 2 * thousand] as const;
/** Powers of ten that people write by mistake, and how unlikely each is beforehand (−ln of its chance). */
const slips: readonly (readonly [power: number, cost: number])[] = [
  [0, 0],
  [3, 5],
  [-3, 5],
  [6, 6],
  [-6, 6],
  [1, 6.5],
  [-1, 6.5],
  [2, 7.5],
  [-2, 7.5],
];
/** A wild value that no power of ten explains costs this much and no more. */
const wild = 10;
/** How far a segment's growth may differ from its family's, ln a year. */
const ownGrowth = 0.06;
/** A slip must explain the reading better than chance by this much. */
const margin = { 1: 3, 2: 3, 3: 2.5 } as const;
const fewestToTell = 5;
/** About its place after a factor of a thousand is set right. */
const nearThousand = 1.2;

/**
 * Readings written in the wrong unit: a factor of a thousand (mA for µA, V for kV) or another power of ten, in a whole
 * event or one phase. Each is held against the segment's own other events and phases; only a segment with one event
 * is held against its cohort alone.
 * A rise of ten or a hundred times with no normal test after it, or with a repair before that test, may be the cable
 * itself: it is not called a slip.
 */
export function findUnitSlips(fleet: FleetColumns, comparable: Comparable): UnitSlips {
  const { readings, segments } = fleet;
  const { events, y, drift, eventSpread } = comparable;
  const shift = new Float64Array(readings.count);
  const level = new Float64Array(segments.count).fill(Number.NaN);
  const wildReadings: WildReading[] = [];
  const contrastSpread = spreadOfContrasts(comparable, fleet);
  for (let s = 0; s < segments.count; s++) {
    const first = events.ofSegment[s]!;
    const last = events.ofSegment[s + 1]!;
    const own: number[] = [];
    const values: number[] = [];
    for (let e = first; e < last; e++) {
      const value = eventValue(events, y, e) - drift[segments.insulation[s]!]! * events.time[e]!;
      if (Number.isNaN(value)) continue;
      own.push(e);
      values.push(value);
    }
    if (own.length === 0) continue;
    const middle = median(values);
    const settled =
      values.every((v) => Math.abs(v - middle) < 1.2) && !(Math.abs(middle - comparable.cohortLevel[s]!) > 3.5);
    level[s] = settled ? middle : settle(own, values, comparable, s);
    // Which of two tests a thousand times apart is wrong, only other segments can tell.
    if (own.length === 2 && comparable.cohortSize[s]! < fewestToTell) continue;
    const far = nearThousand + 2 * eventSpread;
    for (const e of own) {
      const expected = level[s]! + drift[segments.insulation[s]!]! * events.time[e]!;
      for (let r = events.start[e]!; r < events.start[e + 1]!; r++) {
        const away = y[r]! - expected;
        for (const size of betweenUnits) {
          const left = Math.sign(away) * (Math.abs(away) - size);
          // A cable that ages fast may have risen tenfold beside its slip; none falls.
          if (left > -far && left < (away > 0 ? Math.max(far, mostRise) : far)) shift[r] = Math.sign(away) * size;
        }
      }
    }
    const common = own.length > 1 ? commonShift(events.start[first]!, events.start[last]!, y, shift) : 0;
    if (common !== 0) {
      // All of a record off by the same is no slip of a reading: the segment's length is the one to look at.
      level[s]! += common;
      shift.fill(0, events.start[first]!, events.start[last]!);
    }
    for (let from = 0, to = 0; from < own.length; from = to) {
      while (to < own.length && events.era[own[to]!] === events.era[own[from]!]) to++;
      wildReadings.push(...withinEra(own.slice(from, to), values.slice(from, to), s));
    }
  }
  const findings = slipFindings(fleet, comparable, shift);
  for (const reading of wildReadings) findings.push(wildFinding(fleet, comparable, reading));
  findings.push(...findWildTests(fleet, comparable, shift, level));
  return { shift, level, findings };

  /** Tens and hundreds, and one phase alone, are only seen against tests with nothing done to the segment in between. */
  function withinEra(own: readonly number[], values: readonly number[], s: number): WildReading[] {
    if (own.length < 3) return [];
    const middle = median(values);
    const settled = values.every((v) => Math.abs(v - middle) < 1.2);
    const eraLevel = settled ? middle : settle(own, values, comparable, s);
    if (!settled) eventSlips(own, values, eraLevel, comparable, shift);
    const expected = (e: number): number => eraLevel + drift[segments.insulation[s]!]! * events.time[e]!;
    return phaseSlips(own, expected, comparable, fleet, contrastSpread, shift);
  }
}

/** The shift that every exact reading of a stretch carries; 0 where they differ. */
function commonShift(from: number, to: number, y: Float64Array, shift: Float64Array): number {
  let common = 0;
  for (let r = from; r < to; r++) {
    if (Number.isNaN(y[r]!)) continue;
    if (shift[r] === 0 || (common !== 0 && shift[r] !== common)) return 0;
    common = shift[r]!;
  }
  return common;
}

/** The level that explains a segment's events best, each allowed a slip or to be wild, and not too far from its cohort. */
function settle(own: readonly number[], values: readonly number[], comparable: Comparable, s: number): number {
  // In a small fleet the cohort is everything there is, and says little.
  const known = comparable.cohortSpread[s]!;
  const cohortSpread = Number.isNaN(known) ? 1.5 : Math.max(0.7, known);
  let best = Number.POSITIVE_INFINITY;
  let level = values[0]!;
  for (let i = 0; i < own.length; i++) {
    for (const [power] of slips) {
      const at = values[i]! - power * ln10;
      const off = (at - comparable.cohortLevel[s]!) / cohortSpread;
      let cost = Number.isFinite(off) ? Math.min(12, 0.5 * off * off) : 0;
      for (let j = 0; j < own.length; j++) cost += explain(values[j]! - at, reachOf(own, j, comparable))[1];
      if (cost < best) [best, level] = [cost, at];
    }
  }
  return level;
}

/** What explains a distance best: the power of ten and its cost. */
function explain(away: number, spread: number): readonly [power: number, cost: number] {
  let power = 0;
  let least = Math.min(wild, 0.5 * (away / spread) ** 2);
  for (const [p, cost] of slips) {
    const total = cost + 0.5 * ((away - p * ln10) / spread) ** 2;
    if (total < least) [least, power] = [total, p];
  }
  return [power, least];
}

/** Spread of an event about the level: its own errors, and growth of its own since the middle of the record. */
function reachOf(own: readonly number[], j: number, { events, eventSpread }: Comparable): number {
  const middle = events.time[own[own.length >> 1]!]!;
  return Math.hypot(eventSpread, ownGrowth * (events.time[own[j]!]! - middle));
}

/** Whole events off by ten or a hundred. */
function eventSlips(
  own: readonly number[],
  values: readonly number[],
  level: number,
  comparable: Comparable,
  shift: Float64Array,
): void {
  const { events, y } = comparable;
  own.forEach((e, j) => {
    const spread = reachOf(own, j, comparable);
    const away = values[j]! - level;
    const [power, cost] = explain(away, spread);
    const size = Math.abs(power);
    if (size !== 1 && size !== 2) return;
    if (power > 0 && !returnsAfter(j, values, level, 0.5 * ln10)) return;
    if (Math.min(wild, 0.5 * (away / spread) ** 2) - cost < margin[size]) return;
    for (let r = events.start[e]!; r < events.start[e + 1]!; r++) {
      if (!Number.isNaN(y[r]!) && shift[r] === 0) shift[r] = power * ln10;
    }
  });
}

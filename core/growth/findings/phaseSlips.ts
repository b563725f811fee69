import { median, robustSpread } from '../../numerics/quantile.ts';
import type { FleetColumns } from '../columns.ts';
import type { Comparable } from './comparable.ts';

const ln10 = Math.log(10);
const unsteady = 0.5;

/** A reading of one phase far from the others of its day and from its own other days. */
export interface WildReading {
  readonly reading: number;
  /** In ln. */
  readonly away: number;
  /** No later test of the segment shows whether it has come back. */
  readonly last: boolean;
}

/** The event before and the one after it are both where they should be. */
export const returnsAfter = (j: number, values: readonly number[], level: number, near: number): boolean =>
  j > 0 && j + 1 < values.length && Math.abs(values[j - 1]! - level) < near && Math.abs(values[j + 1]! - level) < near;

/** How far a phase stands from the middle of the others at its event; NaN where there are no others. */
function contrast(comparable: Comparable, e: number, phase: number, fleet: FleetColumns, shift: Float64Array): number {
  const { events, y } = comparable;
  const others: number[] = [];
  let own = Number.NaN;
  for (let r = events.start[e]!; r < events.start[e + 1]!; r++) {
    const value = y[r]! - shift[r]!;
    if (Number.isNaN(value)) continue;
    if (fleet.readings.phase[r] === phase) own = value;
    else others.push(value);
  }
  return others.length ? own - median(others) : Number.NaN;
}

export function spreadOfContrasts(comparable: Comparable, fleet: FleetColumns): number {
  const { events } = comparable;
  const none = new Float64Array(fleet.readings.count);
  const off: number[] = [];
  const step = Math.max(1, Math.floor(fleet.segments.count / 2000));
  for (let s = 0; s < fleet.segments.count; s += step) {
    const values: number[] = [];
    for (let e = events.ofSegment[s]!; e < events.ofSegment[s + 1]!; e++) {
      const d = contrast(comparable, e, 0, fleet, none);
      if (!Number.isNaN(d)) values.push(d);
    }
    if (values.length < 3) continue;
    const middle = median(values);
    for (const d of values) off.push(d - middle);
  }
  return off.length > 20 ? Math.max(0.05, 1.2 * robustSpread(off, 0)) : 0.2;
}

/**
 * One phase off by ten or a hundred against the others of its day and against the segment's level, though on other
 * days it was not. `own` are events with nothing done to the segment in between. Gives the readings that stand as far
 * off and are no power of ten.
 */
export function phaseSlips(
  own: readonly number[],
  expected: (e: number) => number,
  comparable: Comparable,
  fleet: FleetColumns,
  spread: number,
  shift: Float64Array,
): WildReading[] {
  const found: WildReading[] = [];
  if (own.length < 3) return found;
  const { events, y } = comparable;
  for (let phase = 0; phase < 3; phase++) {
    const d = own.map((e) => contrast(comparable, e, phase, fleet, shift));
    if (!d.some((value) => Math.abs(value) > 1.6)) continue;
    own.forEach((e, j) => {
      const rest = d.filter((value, i) => i !== j && !Number.isNaN(value));
      if (rest.length < 2 || Number.isNaN(d[j]!)) return;
      const usual = median(rest);
      const away = d[j]! - usual;
      let r = events.start[e + 1]! - 1;
      while (fleet.readings.phase[r] !== phase || Number.isNaN(y[r]!)) r--;
      // The others of the day may be the ones that are off: the segment's level must agree.
      const fromLevel = y[r]! - shift[r]! - usual - expected(e);
      if (shift[r] !== 0 || fromLevel * away < 0 || Math.abs(fromLevel) < 0.55 * Math.abs(away)) return;
      const power = Math.round(away / ln10);
      const near = Math.max(0.35, 3 * spread);
      // A phase that ages on its own leaves its first tests behind: only against steady others is one test odd.
      const steady = !rest.some((value) => Math.abs(value - usual) > Math.max(unsteady, 4 * spread));
      const slip = Math.abs(power) >= 1 && Math.abs(power) <= 2 && Math.abs(away - power * ln10) < near && steady;
      if (slip && (power < 0 || returnsAfter(j, d, usual, 2 * near))) shift[r] = power * ln10;
      else if (Math.abs(away) > ln10 && Math.abs(fromLevel) > 0.8 * ln10 && steady) {
        const last = j === own.length - 1;
        // A rise that a repair put an end to was the cable.
        if (!(last && away > 0 && events.beforeRepair[e] === 1)) found.push({ reading: r, away, last });
      }
    });
  }
  return found;
}

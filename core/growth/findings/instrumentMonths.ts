import { robustSpread } from '../../numerics/quantile.ts';
import type { FleetColumns } from '../columns.ts';
import type { Comparable } from './comparable.ts';

export const monthDays = 30.4375;
/** A stretch counts when it stands so many standard errors out of line: all stretches are tried, so 2 would be chance. */
const surely = 4.6;
/** Less than 12 % is within what good instruments differ by. */
const smallest = Math.log(1.12);
/** A month's mean over all other instruments is believed in full only with many events. */
const halfBelieved = 5;
const fewestBins = 6;
export const fewestEvents = 8;

/** The events of one instrument in one month. */
export interface Month {
  readonly instrument: number;
  readonly month: number;
  readonly events: number[];
}

export function gatherMonths({ readings }: FleetColumns, { events }: Comparable): Month[] {
  const months = new Map<string, Month>();
  for (let e = 0; e < events.count; e++) {
    const instrument = readings.instrument[events.start[e]!]!;
    if (instrument < 0) continue;
    const month = Math.floor(events.day[e]! / monthDays);
    const key = `${instrument} ${month}`;
    const kept = months.get(key);
    if (kept) kept.events.push(e);
    else months.set(key, { instrument, month, events: [e] });
  }
  return [...months.values()].sort((a, b) => a.instrument - b.instrument || a.month - b.month);
}

/** Growth of segments differs by about this from their family's, ln a year. */
const growthSpread = 0.05;

/** What each event is off, against a line through its segment's other events of the same era; NaN under two others. */
export interface Residuals {
  readonly off: Float64Array;
  /** One over its variance: the event's own errors and the line's. */
  readonly weight: Float64Array;
}

/** The line is drawn towards the family's drift as far as the segment's own few events cannot tell. */
export function residuals({ segments }: FleetColumns, comparable: Comparable, values: Float64Array): Residuals {
  const { events, drift, eventSpread } = comparable;
  const off = new Float64Array(events.count).fill(Number.NaN);
  const weight = new Float64Array(events.count);
  const noise = eventSpread ** 2;
  for (let s = 0; s < segments.count; s++) {
    const b = drift[segments.insulation[s]!]!;
    for (let e = events.ofSegment[s]!; e < events.ofSegment[s + 1]!; e++) {
      if (Number.isNaN(values[e]!)) continue;
      let n = 0;
      let t = 0;
      let v = 0;
      let tt = 0;
      let tv = 0;
      for (let other = events.ofSegment[s]!; other < events.ofSegment[s + 1]!; other++) {
        const value = values[other]! - b * events.time[other]!;
        if (other === e || events.era[other] !== events.era[e] || Number.isNaN(value)) continue;
        const time = events.time[other]! - events.time[e]!;
        n++;
        t += time;
        v += value;
        tt += time * time;
        tv += time * value;
      }
      if (n < 2) continue;
      const held = tt - (t * t) / n + noise / growthSpread ** 2;
      const ownSlope = (tv - (t * v) / n) / held;
      off[e] = values[e]! - b * events.time[e]! - (v - ownSlope * t) / n;
      weight[e] = 1 / (noise * (1 + 1 / n + (t / n) ** 2 / held));
    }
  }
  return { off, weight };
}

export interface Stretch {
  readonly instrument: number;
  readonly events: number[];
  readonly size: number;
  readonly error: number;
  /** No other instrument was at work in most of those months. */
  readonly alone: boolean;
  readonly whole: boolean;
}

export const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);

export interface Bin {
  readonly month: Month;
  /** Weighted mean of its residuals, wild ones drawn in, less what the other instruments of the month share. */
  readonly mean: number;
  /** Variance of that mean. */
  readonly variance: number;
  readonly events: number;
  readonly others: number;
}

/** Instruments and months with something to say. `unrest` widens every variance. */
export function monthBins(
  months: readonly Month[],
  { off, weight }: Residuals,
  eventSpread: number,
  unrest = 1,
): Bin[] {
  const most = 3 * eventSpread;
  const gathered = months.map((month) => {
    let known = 0;
    let weights = 0;
    let total = 0;
    for (const e of month.events) {
      if (Number.isNaN(off[e]!)) continue;
      known++;
      weights += weight[e]!;
      total += weight[e]! * Math.min(most, Math.max(-most, off[e]!));
    }
    return { month, known, weights, total };
  });
  const together = new Map<number, { known: number; weights: number; total: number }>();
  for (const { month, known, weights, total } of gathered) {
    const all = together.get(month.month) ?? { known: 0, weights: 0, total: 0 };
    together.set(month.month, { known: all.known + known, weights: all.weights + weights, total: all.total + total });
  }
  const believed = halfBelieved / eventSpread ** 2;
  return gathered.flatMap(({ month, known, weights, total }) => {
    if (known === 0) return [];
    const all = together.get(month.month)!;
    const othersWeight = all.weights - weights + believed;
    const mean = total / weights - (all.total - total) / othersWeight;
    const variance = unrest * (1 / weights + 1 / othersWeight);
    return [{ month, mean, variance, events: known, others: all.known - known }];
  });
}

/** How much more months scatter than their events' own errors say: a crew's tests share days and weather. At least 1. */
export function restlessness(bins: readonly Bin[]): number {
  if (bins.length < fewestBins) return 1;
  const scaled = bins.map((bin) => bin.mean / Math.sqrt(bin.variance));
  return Math.max(1, robustSpread(scaled, 0)) ** 2;
}

export function worstStretch(bins: readonly Bin[]): Stretch | undefined {
  if (bins.length < fewestBins) return undefined;
  let best = surely;
  let found: readonly [from: number, to: number] | undefined;
  for (let i = 0; i < bins.length; i++) {
    let w = 0;
    let wm = 0;
    let count = 0;
    for (let j = i; j < bins.length && bins[j]!.month.instrument === bins[i]!.month.instrument; j++) {
      const { variance, mean, events } = bins[j]!;
      w += 1 / variance;
      wm += mean / variance;
      count += events;
      const z = Math.abs(wm) / Math.sqrt(w);
      if (z > best && count >= fewestEvents && Math.abs(wm / w) > smallest) [best, found] = [z, [i, j]];
    }
  }
  return found ? summarise(bins.slice(found[0], found[1] + 1), bins) : undefined;
}

export function summarise(stretch: readonly Bin[], bins: readonly Bin[]): Stretch {
  const total = sum(stretch.map((bin) => 1 / bin.variance));
  const instrument = stretch[0]!.month.instrument;
  return {
    instrument,
    events: stretch.flatMap((bin) => bin.month.events),
    size: sum(stretch.map((bin) => bin.mean / bin.variance)) / total,
    error: 1 / Math.sqrt(total),
    alone: 2 * stretch.filter((bin) => bin.others >= 3).length < stretch.length,
    whole: stretch.length === bins.filter((bin) => bin.month.instrument === instrument).length,
  };
}

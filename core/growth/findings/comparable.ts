import { median, robustSpread } from '../../numerics/quantile.ts';
import { type FleetColumns, insulationFamilies } from '../columns.ts';
import { instrumentSteps } from '../resolution.ts';

/** The fleet's readings made comparable in the plainest way: enough to see what does not fit, no model of growth. */
export interface Comparable {
  /** ln of µA ÷ kV ÷ km at 20 °C of each reading; NaN where under the floor or not to be had. */
  readonly y: Float64Array;
  /** What rounding to the instrument's scale alone does to `y`: a standard deviation. */
  readonly rounding: Float64Array;
  readonly events: EventTable;
  /** Drift of ln(specific leakage) a year by insulation family: the middle of the fleet's segments. */
  readonly drift: Float64Array;
  /** Spread of an event's value about its segment's own line. */
  readonly eventSpread: number;
  /** Middle level of comparable segments, drift taken out, and their spread; one a segment. */
  readonly cohortLevel: Float64Array;
  readonly cohortSpread: Float64Array;
  readonly cohortSize: Int32Array;
}

/** One entry a test event, in the order of the readings. */
export interface EventTable {
  readonly count: number;
  /** Readings of event e: start[e] … start[e + 1] − 1. */
  readonly start: Int32Array;
  readonly segment: Int32Array;
  readonly day: Int32Array;
  /** Years before the as-of day, negative. */
  readonly time: Float64Array;
  /** Stretch between two interventions: equal numbers are one segment's events with nothing done in between. */
  readonly era: Int32Array;
  /** 1 for the last event before something was done to the segment. */
  readonly beforeRepair: Uint8Array;
  /** Events of segment s: ofSegment[s] … ofSegment[s + 1] − 1. */
  readonly ofSegment: Int32Array;
}

const yearDays = 365.25;
/** Leakage doubles in 15 °C in solid insulation and in 10 °C in oil and paper (NETA table 100.14): close enough here. */
const lnPerC = insulationFamilies.map((family) => Math.LN2 / (family === 'PILC' ? 10 : 15));
const vintageYears = 12;
const smallCohort = 20;
const usualDrift = 0.03;

/** Temperatures of buried cable out of load lie well inside these, °C. */
export const physicalC = { coldest: -30, hottest: 110 } as const;

export function compare(fleet: FleetColumns): Comparable {
  const events = tabulate(fleet);
  const temperature = temperatures(fleet);
  const { readings, segments } = fleet;
  const y = new Float64Array(readings.count).fill(Number.NaN);
  const rounding = new Float64Array(readings.count);
  const steps = instrumentSteps(readings);
  for (let r = 0; r < readings.count; r++) {
    const segment = readings.segment[r]!;
    const scale = readings.voltageKv[r]! * segments.lengthKm[segment]!;
    const leakage = readings.leakageUa[r]!;
    if (readings.belowFloor[r] === 1 || !(leakage > 0) || !(scale > 0)) continue;
    y[r] = Math.log(leakage / scale) - lnPerC[segments.insulation[segment]!]! * (temperature[r]! - 20);
    const step = steps[readings.instrument[r]! < 0 ? steps.length - 1 : readings.instrument[r]!]!;
    rounding[r] = step / (Math.sqrt(12) * leakage);
  }
  const drift = familyDrift(fleet, events, y);
  return { y, rounding, events, drift, ...levels(fleet, events, y, drift) };
}

function tabulate({ readings, segments, interventions, asOfDay }: FleetColumns): EventTable {
  const starts: number[] = [];
  for (let r = 0; r < readings.count; r++) if (r === 0 || readings.event[r] !== readings.event[r - 1]) starts.push(r);
  const count = starts.length;
  const ofSegment = new Int32Array(segments.count + 1);
  const segment = Int32Array.from(starts, (r) => readings.segment[r]!);
  const day = Int32Array.from(starts, (r) => readings.day[r]!);
  for (const s of segment) ofSegment[s + 1]!++;
  for (let s = 0; s < segments.count; s++) ofSegment[s + 1]! += ofSegment[s]!;
  const time = Float64Array.from(day, (d) => (d - asOfDay) / yearDays);
  starts.push(readings.count);
  const era = new Int32Array(count);
  const beforeRepair = new Uint8Array(count);
  let k = 0;
  for (let e = 0; e < count; e++) {
    if (e > 0) era[e] = era[e - 1]! + (segment[e] === segment[e - 1] ? 0 : 1);
    // Something done on the day of a test was done before it.
    let done = false;
    for (; k < interventions.count; k++) {
      const later = interventions.segment[k]! - segment[e]! || interventions.day[k]! - day[e]!;
      if (later > 0) break;
      done = interventions.segment[k] === segment[e];
    }
    if (!done || e === 0 || segment[e] !== segment[e - 1]) continue;
    era[e]!++;
    beforeRepair[e - 1] = 1;
  }
  for (let i = 0; i < interventions.count; i++) {
    const last = ofSegment[interventions.segment[i]! + 1]! - 1;
    if (last >= ofSegment[interventions.segment[i]!]! && interventions.day[i]! > day[last]!) beforeRepair[last] = 1;
  }
  return { count, start: Int32Array.from(starts), segment, day, time, era, beforeRepair, ofSegment };
}

/** Measured where measured, else the air's, else the usual of the month, else 15 °C. */
function temperatures({ readings }: FleetColumns): Float64Array {
  const months = monthlyTemperatures(readings);
  return Float64Array.from({ length: readings.count }, (_, r) => {
    const measured = readings.insulationTempC[r]!;
    if (measured >= physicalC.coldest && measured <= physicalC.hottest) return measured;
    const usual = months.middle[monthOf(readings.day[r]!)]!;
    if (!Number.isNaN(usual)) return usual;
    const air = readings.ambientTempC[r]!;
    return air >= physicalC.coldest && air <= 50 ? air : 15;
  });
}

/** 0 for January. */
export const monthOf = (day: number): number => new Date(day * 86_400_000).getUTCMonth();

/** The middle insulation temperature of each calendar month (NaN with under 5 readings), and the spread about it. */
export function monthlyTemperatures(readings: FleetColumns['readings']): { middle: Float64Array; spread: number } {
  const known = Array.from({ length: 12 }, () => [] as number[]);
  for (let r = 0; r < readings.count; r++) {
    if (!Number.isNaN(readings.insulationTempC[r]!))
      known[monthOf(readings.day[r]!)]!.push(readings.insulationTempC[r]!);
  }
  const middle = Float64Array.from(known, (month) => (month.length < 5 ? Number.NaN : median(month)));
  const off = known.flatMap((month, m) => (month.length < 5 ? [] : month.map((t) => t - middle[m]!)));
  return { middle, spread: off.length ? Math.max(1, robustSpread(off, 0)) : Number.NaN };
}

/** The middle of an event's exact readings; NaN where it has none. `shift` is taken off each reading first. */
export function eventValue(events: EventTable, y: Float64Array, e: number, shift?: Float64Array): number {
  let a = Number.NaN;
  let b = Number.NaN;
  let c = Number.NaN;
  let exact = 0;
  const more: number[] = [];
  for (let r = events.start[e]!; r < events.start[e + 1]!; r++) {
    const value = shift ? y[r]! - shift[r]! : y[r]!;
    if (Number.isNaN(value)) continue;
    exact++;
    if (exact === 1) a = value;
    else if (exact === 2) b = value;
    else if (exact === 3) c = value;
    else more.push(value);
  }
  if (exact <= 1) return a;
  if (exact === 2) return 0.5 * (a + b);
  if (exact === 3) return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
  return median([a, b, c, ...more]);
}

function familyDrift({ segments }: FleetColumns, events: EventTable, y: Float64Array): Float64Array {
  const slopes = insulationFamilies.map(() => [] as number[]);
  for (let s = 0; s < segments.count; s++) {
    let first = events.ofSegment[s]!;
    let last = events.ofSegment[s + 1]! - 1;
    while (first < last && Number.isNaN(eventValue(events, y, first))) first++;
    while (last > first && Number.isNaN(eventValue(events, y, last))) last--;
    const span = last > first ? events.time[last]! - events.time[first]! : 0;
    if (span < 3) continue;
    slopes[segments.insulation[s]!]!.push((eventValue(events, y, last) - eventValue(events, y, first)) / span);
  }
  const all = slopes.flat();
  const fleet = all.length >= smallCohort ? median(all) : usualDrift;
  return Float64Array.from(slopes, (own) => (own.length >= smallCohort ? median(own) : fleet));
}

function levels(fleet: FleetColumns, events: EventTable, y: Float64Array, drift: Float64Array) {
  const { segments } = fleet;
  const level = new Float64Array(segments.count).fill(Number.NaN);
  const off: number[] = [];
  for (let s = 0; s < segments.count; s++) {
    const values: number[] = [];
    for (let e = events.ofSegment[s]!; e < events.ofSegment[s + 1]!; e++) {
      const value = eventValue(events, y, e) - drift[segments.insulation[s]!]! * events.time[e]!;
      if (!Number.isNaN(value)) values.push(value);
    }
    if (values.length === 0) continue;
    level[s] = median(values);
    // The middle of few values hugs them; n / (n − 1) makes up for it.
    if (values.length >= 3)
      for (const v of values) off.push((v - level[s]!) * Math.sqrt(values.length / (values.length - 1)));
  }
  const eventSpread = off.length >= smallCohort ? Math.max(0.1, robustSpread(off, 0)) : 0.35;

  const vintage = (s: number): number => {
    const day = segments.energisedDay[s]!;
    return Number.isNaN(day) ? -1 : Math.floor(day / (yearDays * vintageYears));
  };
  const groups = new Map<string, number[]>();
  const add = (key: string, value: number): void => {
    const group = groups.get(key);
    if (group) group.push(value);
    else groups.set(key, [value]);
  };
  const keys = (s: number): string[] => [`${segments.insulation[s]} ${vintage(s)}`, `${segments.insulation[s]}`, 'all'];
  for (let s = 0; s < segments.count; s++) if (!Number.isNaN(level[s]!)) for (const key of keys(s)) add(key, level[s]!);
  const summary = new Map(
    [...groups].map(([key, values]) => {
      const middle = median(values);
      return [key, { middle, spread: Math.max(0.05, robustSpread(values, middle)), size: values.length }] as const;
    }),
  );
  const cohortLevel = new Float64Array(segments.count).fill(Number.NaN);
  const cohortSpread = new Float64Array(segments.count).fill(Number.NaN);
  const cohortSize = new Int32Array(segments.count);
  for (let s = 0; s < segments.count; s++) {
    for (const key of keys(s)) {
      const cohort = summary.get(key);
      if (!cohort || (cohort.size < smallCohort && key !== 'all')) continue;
      cohortLevel[s] = cohort.middle;
      cohortSpread[s] = cohort.size < smallCohort ? Number.NaN : cohort.spread;
      cohortSize[s] = cohort.size;
      break;
    }
  }
  return { eventSpread, cohortLevel, cohortSpread, cohortSize };
}

import type { FleetColumns } from './columns.ts';
import { decided } from './decisions.ts';
import { type PreparedReadings, slipSizes, stands } from './normalise.ts';
import { fitSeason, type SeasonalTemperature } from './season.ts';
import { usualVoltages } from './usualVoltage.ts';

/** One entry a test event with at least one usable reading, in the order of the readings. */
export interface TestEvents {
  readonly count: number;
  /** Events of segment s are segmentStart[s] … segmentStart[s + 1] − 1. */
  readonly segmentStart: Int32Array;
  readonly segment: Int32Array;
  /** Ordinal of the event in the readings. */
  readonly ordinal: Int32Array;
  /** Its readings, usable or not: readingStart[e] … readingEnd[e] − 1. */
  readonly readingStart: Int32Array;
  readonly readingEnd: Int32Array;
  readonly day: Int32Array;
  /** Years before the as-of day, negative. */
  readonly time: Float64Array;
  /** °C: the mean over its phases where measured, the seasonal guess otherwise. */
  readonly temperatureC: Float64Array;
  /** Variance of that temperature as a guess, °C²; 0 where measured. */
  readonly temperatureVariance: Float64Array;
  /** ln of test voltage ÷ the usual maintenance voltage of the rated class. */
  readonly logVoltage: Float64Array;
  /** ln of dwell ÷ the fleet's usual dwell; 0 where unknown. */
  readonly logDwell: Float64Array;
  readonly dwellUnknown: Uint8Array;
  readonly season: SeasonalTemperature;
  /** Usual dwell, minutes. */
  readonly usualDwellMin: number;
  /** The voltage at which each segment's level is stated, kV; NaN where nothing was measured on its rated class. */
  readonly usualKv: Float64Array;
}

const yearDays = 365.25;
/** Insulation temperatures outside these are writing errors, not temperatures of a buried cable. */
const coldestC = -30;
const hottestC = 110;
/** And air outside these is none that crews work in. */
const coldestAirC = -50;
const hottestAirC = 50;

/** Gathers readings into events. A temperature measured on several phases of one day is one temperature: their mean. */
export function gatherEvents(columns: FleetColumns, prepared: PreparedReadings): TestEvents {
  const { readings, segments, asOfDay } = columns;
  let count = 0;
  forEachEvent(columns, prepared, () => count++);
  const segment = new Int32Array(count);
  const ordinal = new Int32Array(count);
  const readingStart = new Int32Array(count);
  const readingEnd = new Int32Array(count);
  const day = new Int32Array(count);
  const time = new Float64Array(count);
  const insulation = new Float64Array(count);
  const ambient = new Float64Array(count);
  const logVoltage = new Float64Array(count);
  const logDwell = new Float64Array(count);
  const dwellUnknown = new Uint8Array(count);
  const segmentStart = new Int32Array(segments.count + 1);
  const usualDwellMin = usual(readings.dwellMin, readings.count);
  const usualKv = usualVoltages(columns);
  let e = 0;
  forEachEvent(columns, prepared, (start, end) => {
    segment[e] = readings.segment[start]!;
    segmentStart[segment[e]! + 1]!++;
    ordinal[e] = readings.event[start]!;
    readingStart[e] = start;
    readingEnd[e] = end;
    day[e] = readings.day[start]!;
    time[e] = (day[e]! - asOfDay) / yearDays;
    let warm = 0;
    let measured = 0;
    let air = 0;
    let airs = 0;
    let voltage = 0;
    let dwell = 0;
    let dwells = 0;
    let used = 0;
    for (let r = start; r < end; r++) {
      const t = readings.insulationTempC[r]!;
      const asWritten = stands(columns, r, decided.temperatureStands);
      if ((t >= coldestC && t <= hottestC) || (asWritten && !Number.isNaN(t))) {
        warm += t;
        measured++;
      }
      const around = readings.ambientTempC[r]!;
      if ((around >= coldestAirC && around <= hottestAirC) || (asWritten && !Number.isNaN(around))) {
        air += around;
        airs++;
      }
      if (Number.isNaN(prepared.log[r]!)) continue;
      used++;
      voltage += Math.log(readings.voltageKv[r]!);
      if (readings.dwellMin[r]! > 0) {
        dwell += Math.log(readings.dwellMin[r]!);
        dwells++;
      }
    }
    insulation[e] = measured > 0 ? warm / measured : Number.NaN;
    ambient[e] = airs > 0 ? air / airs : Number.NaN;
    const reference = usualKv[segment[e]!]!;
    logVoltage[e] = Number.isNaN(reference) ? 0 : withoutSlip(voltage / used - Math.log(reference));
    logDwell[e] = dwells > 0 ? dwell / dwells - Math.log(usualDwellMin) : 0;
    dwellUnknown[e] = dwells > 0 ? 0 : 1;
    e++;
  });
  for (let s = 0; s < segments.count; s++) segmentStart[s + 1]! += segmentStart[s]!;
  const season = fitSeason(day, insulation, ambient);
  const temperatureVariance = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    if (!Number.isNaN(insulation[i]!)) continue;
    insulation[i] = season.at(day[i]!, ambient[i]!);
    temperatureVariance[i] = season.variance(ambient[i]!);
  }
  return {
    count,
    segmentStart,
    segment,
    ordinal,
    readingStart,
    readingEnd,
    day,
    time,
    temperatureC: insulation,
    temperatureVariance,
    logVoltage,
    logDwell,
    dwellUnknown,
    season,
    usualDwellMin,
    usualKv,
  };
}

/** A voltage further from the usual than half a slip of units was written in volts, or in megavolts. */
function withoutSlip(logVoltage: number): number {
  return logVoltage - slipSizes[0] * Math.round(logVoltage / slipSizes[0]);
}

function forEachEvent(
  columns: FleetColumns,
  prepared: PreparedReadings,
  visit: (start: number, end: number) => void,
): void {
  const { event, count } = columns.readings;
  let start = 0;
  while (start < count) {
    let end = start + 1;
    while (end < count && event[end] === event[start]) end++;
    for (let r = start; r < end; r++) {
      if (!Number.isNaN(prepared.log[r]!)) {
        visit(start, end);
        break;
      }
    }
    start = end;
  }
}

/** The most frequent value, to two figures; 15 where there is none. */
function usual(values: Float64Array, count: number): number {
  const seen = new Map<number, number>();
  for (let i = 0; i < count; i++) {
    const value = values[i]!;
    if (value > 0) seen.set(value, (seen.get(value) ?? 0) + 1);
  }
  let best = 15;
  let most = 0;
  for (const [value, times] of seen) {
    if (times > most || (times === most && value > best)) {
      best = value;
      most = times;
    }
  }
  return best;
}

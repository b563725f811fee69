import type { FleetColumns } from './columns.ts';
import type { GrowthSettings } from './options.ts';
import { instrumentSteps } from './resolution.ts';

/** What became of a reading; the codes in `GrowthFit.readings.flag` count in this order. */
export const readingFlags = ['used', 'below the floor', 'repaired', 'duplicate', 'left out', 'down-weighted'] as const;
export type ReadingFlag = (typeof readingFlags)[number];
export const flag = { used: 0, belowFloor: 1, repaired: 2, duplicate: 3, leftOut: 4, downWeighted: 5 } as const;

/** Why a reading was left out; the codes in `GrowthFit.readings.reason` count in this order. */
export const leftOutReasons = [
  '',
  'its leakage, voltage or length is missing or not positive',
  'it was taken long before the segment was energised',
  'a later reading of the same phase in the same test stands for it',
  'the same readings were entered within three days',
  'under the instrument’s floor, and the model was told to leave such readings out',
  'it lies after the as-of date',
] as const;
export const reason = {
  none: 0,
  unusable: 1,
  beforeEnergising: 2,
  superseded: 3,
  duplicate: 4,
  censored: 5,
  future: 6,
} as const;

/** How a reading speaks: a value, only a ceiling, or an interval of its scale. */
export const manner = { value: 0, ceiling: 1, interval: 2 } as const;

export interface PreparedReadings {
  /** ln of µA ÷ kV ÷ km, before any correction for temperature, voltage or dwell; NaN where left out. */
  readonly log: Float64Array;
  readonly manner: Uint8Array;
  /** Ends of the interval, where there is one. */
  readonly low: Float64Array;
  readonly high: Float64Array;
  /** Variance of rounding to the instrument's scale. */
  readonly roundingVariance: Float64Array;
  readonly flag: Uint8Array;
  readonly reason: Uint8Array;
  /** Step of each reading's instrument, µA; 0 where none shows. */
  readonly stepUa: Float64Array;
}

/** A cable may be tested some weeks before it is energised; longer before, the reading is another cable's. */
const earliestBeforeEnergisingDays = 120;
/** Above this many steps of the scale rounding is small and as good as normal. */
const smallSteps = 5;

/** Specific leakage of every reading, ln nS/km at the temperature of the day: g = I ÷ V ÷ L (µA, kV, km). */
export function normaliseReadings(columns: FleetColumns, settings: GrowthSettings): PreparedReadings {
  const { readings, segments } = columns;
  const n = readings.count;
  const prepared: PreparedReadings = {
    log: new Float64Array(n).fill(Number.NaN),
    manner: new Uint8Array(n),
    low: new Float64Array(n),
    high: new Float64Array(n),
    roundingVariance: new Float64Array(n),
    flag: new Uint8Array(n),
    reason: new Uint8Array(n),
    stepUa: new Float64Array(n),
  };
  const steps = settings.rounding ? instrumentSteps(readings) : undefined;
  for (let r = 0; r < n; r++) {
    const segment = readings.segment[r]!;
    const leakage = readings.leakageUa[r]!;
    const scale = readings.voltageKv[r]! * segments.lengthKm[segment]!;
    if (!(leakage > 0 && Number.isFinite(leakage) && scale > 0 && Number.isFinite(scale))) {
      leaveOut(prepared, r, reason.unusable);
      continue;
    }
    if (readings.day[r]! > columns.asOfDay) {
      leaveOut(prepared, r, reason.future);
      continue;
    }
    if (readings.day[r]! < segments.energisedDay[segment]! - earliestBeforeEnergisingDays) {
      leaveOut(prepared, r, reason.beforeEnergising);
      continue;
    }
    prepared.log[r] = Math.log(leakage / scale);
    if (readings.belowFloor[r] === 1) {
      if (!settings.censoring) {
        leaveOut(prepared, r, reason.censored);
        continue;
      }
      prepared.manner[r] = manner.ceiling;
      prepared.flag[r] = flag.belowFloor;
      prepared.low[r] = Number.NEGATIVE_INFINITY;
      prepared.high[r] = prepared.log[r]!;
      continue;
    }
    if (!steps) continue;
    prepared.stepUa[r] = steps[readings.instrument[r]! < 0 ? steps.length - 1 : readings.instrument[r]!]!;
    readScale(columns, prepared, r, 1);
  }
  supersedeRepeats(columns, prepared);
  markDuplicates(columns, prepared);
  return prepared;
}

/**
 * How a reading speaks on its instrument's scale once it is multiplied by `factor` (1 unless a slip is repaired): few
 * steps make it an interval, many a value with a little rounding.
 */
export function readScale(columns: FleetColumns, prepared: PreparedReadings, r: number, factor: number): void {
  const step = prepared.stepUa[r]!;
  if (step === 0) return;
  const { readings, segments } = columns;
  const leakage = readings.leakageUa[r]! * factor;
  const counts = leakage / step;
  prepared.roundingVariance[r] = 1 / (12 * counts * counts);
  prepared.manner[r] = manner.value;
  if (counts > smallSteps || counts < 0.5) return;
  // Ends are kept before the repair, as the reading's own logarithm is: the shift moves all three.
  const scale = readings.voltageKv[r]! * segments.lengthKm[readings.segment[r]!]! * factor;
  prepared.manner[r] = manner.interval;
  prepared.low[r] = counts > 0.6 ? Math.log((leakage - 0.5 * step) / scale) : Number.NEGATIVE_INFINITY;
  prepared.high[r] = Math.log((leakage + 0.5 * step) / scale);
}

function leaveOut(prepared: PreparedReadings, r: number, why: number): void {
  prepared.log[r] = Number.NaN;
  prepared.flag[r] = why === reason.duplicate ? flag.duplicate : flag.leftOut;
  prepared.reason[r] = why;
}

/** Of several readings of one phase in one test (a step test), the last stands for the phase. */
function supersedeRepeats(columns: FleetColumns, prepared: PreparedReadings): void {
  const { event, phase, count } = columns.readings;
  for (let r = 0; r + 1 < count; r++) {
    if (Number.isNaN(prepared.log[r]!)) continue;
    for (let next = r + 1; next < count && event[next] === event[r]; next++) {
      if (phase[next] === phase[r] && !Number.isNaN(prepared.log[next]!)) {
        leaveOut(prepared, r, reason.superseded);
        break;
      }
    }
  }
}

const duplicateDays = 3;

/** The same readings of the same segment within three days are one test entered twice: the first counts. */
function markDuplicates(columns: FleetColumns, prepared: PreparedReadings): void {
  const { event, segment, day, phase, leakageUa, voltageKv, count } = columns.readings;
  let start = 0;
  while (start < count) {
    let end = start + 1;
    while (end < count && event[end] === event[start]) end++;
    let next = end;
    while (next < count && segment[next] === segment[start] && day[next]! - day[start]! <= duplicateDays) {
      let nextEnd = next + 1;
      while (nextEnd < count && event[nextEnd] === event[next]) nextEnd++;
      let same = nextEnd - next === end - start;
      for (let k = 0; same && k < end - start; k++) {
        same =
          phase[start + k] === phase[next + k] &&
          Math.abs(leakageUa[start + k]! - leakageUa[next + k]!) <= 1e-9 * leakageUa[start + k]! &&
          voltageKv[start + k] === voltageKv[next + k];
      }
      if (same) for (let r = next; r < nextEnd; r++) leaveOut(prepared, r, reason.duplicate);
      next = nextEnd;
    }
    start = end;
  }
}

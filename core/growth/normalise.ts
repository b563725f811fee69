import type { FleetColumns } from './columns.ts';
import { type Decisions, decided } from './decisions.ts';
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
  'a finding about it was accepted: it is left out',
  'more current than a test set can drive at that voltage, and no slip of units explains it',
] as const;
export const reason = {
  none: 0,
  unusable: 1,
  beforeEnergising: 2,
  superseded: 3,
  duplicate: 4,
  censored: 5,
  future: 6,
  accepted: 7,
  impossible: 8,
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
  readonly decisions: Decisions | undefined;
}

/**
 * µA. Portable sets for direct voltage give some tens of milliampere at most; more than 100 mA is a written number and
 * not a current (common practice, no source).
 */
export const mostTesterUa = 100_000;
/** Unit slips: nA for µA or µA for mA is a thousand, nA for mA a million. */
export const slipSizes = [Math.log(1e3), Math.log(1e6)] as const;
/** What a cable may have risen by since its other tests, beside a slip: tenfold. Cables age upward. */
export const mostRise = Math.log(10);
/** And fallen by: threefold, the errors of a test day. */
const mostFall = Math.log(3);
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
    decisions: columns.decisions,
  };
  const bits = columns.decisions?.bits;
  const steps = settings.rounding ? instrumentSteps(readings) : undefined;
  for (let r = 0; r < n; r++) {
    const segment = readings.segment[r]!;
    const leakage = readings.leakageUa[r]! * decidedFactor(columns, r);
    const scale = readings.voltageKv[r]! * segments.lengthKm[segment]!;
    if (!(leakage > 0 && Number.isFinite(leakage) && scale > 0 && Number.isFinite(scale))) {
      leaveOut(prepared, r, reason.unusable);
      continue;
    }
    if (readings.day[r]! > columns.asOfDay) {
      leaveOut(prepared, r, reason.future);
      continue;
    }
    if (bits && (bits[r]! & (decided.leftOut | decided.countedOnce)) !== 0) {
      leaveOut(prepared, r, (bits[r]! & decided.countedOnce) !== 0 ? reason.duplicate : reason.accepted);
      continue;
    }
    const early = readings.day[r]! < segments.energisedDay[segment]! - earliestBeforeEnergisingDays;
    if (early && !stands(columns, r, decided.counts)) {
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
    prepared.flag[r] = plainFlag(columns, r);
    if (!steps) continue;
    prepared.stepUa[r] = steps[readings.instrument[r]! < 0 ? steps.length - 1 : readings.instrument[r]!]!;
    readScale(columns, prepared, r, 1);
  }
  supersedeRepeats(columns, prepared);
  leaveOutImpossible(columns, prepared);
  markDuplicates(columns, prepared);
  return prepared;
}

const decidedFactor = (columns: FleetColumns, r: number): number => columns.decisions?.factor[r] ?? 1;

/** Has the owner decided this of the reading? */
export const stands = (columns: FleetColumns, r: number, bit: number): boolean =>
  ((columns.decisions?.bits[r] ?? 0) & bit) !== 0;

/** What a reading's flag is before the model judges it. */
export const plainFlag = (columns: FleetColumns, r: number): number =>
  decidedFactor(columns, r) === 1 ? flag.used : flag.repaired;

/**
 * How a reading speaks on its instrument's scale once it is multiplied by `factor` (1 unless a slip is repaired): few
 * steps make it an interval, many a value with a little rounding.
 */
export function readScale(columns: FleetColumns, prepared: PreparedReadings, r: number, factor: number): void {
  const step = prepared.stepUa[r]!;
  if (step === 0) return;
  const { readings, segments } = columns;
  const own = decidedFactor(columns, r);
  // A decided power of ten is the display's unit; what is left of it is the instrument's, and moves its scale along.
  const unit = 10 ** Math.round(Math.log10(own));
  const leakage = readings.leakageUa[r]! * unit * factor;
  const counts = leakage / step;
  prepared.roundingVariance[r] = 1 / (12 * counts * counts);
  prepared.manner[r] = manner.value;
  if (counts > smallSteps || counts < 0.5) return;
  // Ends are kept before the repair, as the reading's own logarithm is: the shift moves all three.
  const scale = (readings.voltageKv[r]! * segments.lengthKm[readings.segment[r]!]! * factor * unit) / own;
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

/**
 * Leaves out currents that no tester drives, unless a slip brings them near the rest of their segment: then they are
 * kept for the repair.
 */
function leaveOutImpossible(columns: FleetColumns, prepared: PreparedReadings): void {
  const { leakageUa, segment, count } = columns.readings;
  let start = 0;
  while (start < count) {
    let end = start + 1;
    while (end < count && segment[end] === segment[start]) end++;
    let usual: number | undefined;
    for (let r = start; r < end; r++) {
      if (Number.isNaN(prepared.log[r]!) || !isImpossible(columns, r)) continue;
      usual ??= middleOfPossible(start, end);
      const away = prepared.log[r]! - usual;
      const explained = slipSizes.some((size) => away - size > -mostFall && away - size < mostRise);
      if (!explained) leaveOut(prepared, r, reason.impossible);
    }
    start = end;
  }

  function middleOfPossible(from: number, to: number): number {
    const logs: number[] = [];
    for (let r = from; r < to; r++)
      if (leakageUa[r]! <= mostTesterUa && !Number.isNaN(prepared.log[r]!)) logs.push(prepared.log[r]!);
    logs.sort((a, b) => a - b);
    return logs.length > 0 ? logs[logs.length >> 1]! : Number.NaN;
  }
}

/** No tester drives this current, and the owner has not said that it stands. */
export const isImpossible = (columns: FleetColumns, r: number): boolean =>
  columns.readings.leakageUa[r]! * decidedFactor(columns, r) > mostTesterUa && !stands(columns, r, decided.valueStands);

const duplicateDays = 3;

/** Equal to the last digit, be one of them written in another unit. */
export function sameLeakage(aUa: number, bUa: number): boolean {
  for (const factor of sameFactors) if (Math.abs(aUa - factor * bUa) <= 1e-9 * aUa) return true;
  return false;
}
const sameFactors = [1, 1e3, 1e-3, 1e6, 1e-6] as const;

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
      let same = nextEnd - next === end - start && !stands(columns, next, decided.counts);
      for (let k = 0; same && k < end - start; k++) {
        same =
          phase[start + k] === phase[next + k] &&
          sameLeakage(leakageUa[start + k]!, leakageUa[next + k]!) &&
          voltageKv[start + k] === voltageKv[next + k];
      }
      if (same) for (let r = next; r < nextEnd; r++) leaveOut(prepared, r, reason.duplicate);
      next = nextEnd;
    }
    start = end;
  }
}

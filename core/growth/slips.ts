import type { Cohorts } from './cohorts.ts';
import type { FleetColumns } from './columns.ts';
import { decided } from './decisions.ts';
import {
  flag,
  isImpossible,
  manner,
  mostRise,
  type PreparedReadings,
  plainFlag,
  readScale,
  slipSizes,
  stands,
} from './normalise.ts';
import { temperaturePrior } from './temperaturePrior.ts';
import type { TestEvents } from './testEvents.ts';

/** A unit slip: nA written as µA, µA as mA. */
const slip = slipSizes[0];
/** A reading must lie further out than this share of a slip, and near its place after the repair. */
const farShare = 0.6;
const nearSds = 3.5;
/** Of a phase's reading around its event, where the fleet has not told yet. */
const usualReadingVariance = 0.02;

/** What the rest of each event's segment says of it: ln specific leakage at the event's temperature and voltage. */
export interface EventExpectation {
  readonly mean: Float64Array;
  readonly variance: Float64Array;
}

/**
 * A first expectation without any model, hard to spoil: the median of the segment's own tests where there are three,
 * the median of its cohort otherwise.
 */
export function roughExpectation(
  columns: FleetColumns,
  prepared: PreparedReadings,
  events: TestEvents,
  cohorts: Cohorts,
): EventExpectation {
  const value = new Float64Array(events.count);
  const three = new Float64Array(3);
  for (let e = 0; e < events.count; e++) {
    let m = 0;
    for (let r = events.readingStart[e]!; r < events.readingEnd[e]!; r++) {
      if (!Number.isNaN(prepared.log[r]!) && m < 3) three[m++] = prepared.log[r]!;
    }
    const family = columns.segments.insulation[events.segment[e]!]!;
    value[e] = middle(three, m) - temperaturePrior(family).perC * (events.temperatureC[e]! - 20);
  }
  const cohortMedian = cohortMedians(events, cohorts, value);
  const mean = new Float64Array(events.count);
  const variance = new Float64Array(events.count).fill(1);
  for (let s = 0; s < columns.segments.count; s++) {
    const first = events.segmentStart[s]!;
    const end = events.segmentStart[s + 1]!;
    if (first === end) continue;
    const cohort = cohortMedian[cohorts.of[s]!]!;
    let centre = cohort;
    foldSlips(value, first, end, cohort);
    if (end - first >= 3) {
      const n = end - first;
      // In place: the cohorts' medians are taken already, and no other segment reads these values.
      const own = value.subarray(first, end).sort();
      centre = n % 2 === 1 ? own[n >> 1]! : 0.5 * (own[n / 2 - 1]! + own[n / 2]!);
    }
    const perC = temperaturePrior(columns.segments.insulation[s]!).perC;
    for (let e = first; e < end; e++) mean[e] = centre + perC * (events.temperatureC[e]! - 20);
  }
  return { mean, variance };
}

/**
 * Where a segment's own tests lie so far apart that some must be slips, each is moved by whole slips to where it is
 * nearest to the cohort: the middle of four tests, two of them slips, would else be nobody's.
 */
function foldSlips(value: Float64Array, first: number, end: number, cohort: number): void {
  let low = value[first]!;
  let high = low;
  for (let e = first + 1; e < end; e++) {
    low = Math.min(low, value[e]!);
    high = Math.max(high, value[e]!);
  }
  if (!(high - low > farShare * slip)) return;
  for (let e = first; e < end; e++) value[e]! -= slip * Math.round((value[e]! - cohort) / slip);
}

/** The (upper) median of each cohort's events; 0 where it has none. */
function cohortMedians(events: TestEvents, cohorts: Cohorts, value: Float64Array): Float64Array {
  const start = new Int32Array(cohorts.count + 1);
  for (let e = 0; e < events.count; e++) start[cohorts.of[events.segment[e]!]! + 1]!++;
  for (let c = 0; c < cohorts.count; c++) start[c + 1]! += start[c]!;
  const sorted = new Float64Array(events.count);
  const next = start.slice();
  for (let e = 0; e < events.count; e++) sorted[next[cohorts.of[events.segment[e]!]!]!++] = value[e]!;
  const medians = new Float64Array(cohorts.count);
  for (let c = 0; c < cohorts.count; c++) {
    const n = start[c + 1]! - start[c]!;
    if (n > 0) medians[c] = sorted.subarray(start[c]!, start[c + 1]!).sort()[n >> 1]!;
  }
  return medians;
}

function middle(values: Float64Array, m: number): number {
  if (m === 1) return values[0]!;
  if (m === 2) return 0.5 * (values[0]! + values[1]!);
  const low = Math.min(values[0]!, values[1]!, values[2]!);
  const high = Math.max(values[0]!, values[1]!, values[2]!);
  return values[0]! + values[1]! + values[2]! - low - high;
}

/**
 * Finds readings that lie a factor of 1,000 or 1,000,000 away from what the rest of their segment says, and writes the
 * repair (ln) of each into `shift`. What is set right must lie within 3.5 standard deviations of its expectation; a
 * reading too high may lie up to tenfold above, as a cable that ages fast does. A current that no tester drives is
 * repaired to whatever is nearest. Readings on which the owner has decided are left as decided. Judged anew at each
 * call, so that a better fit can take an early repair back; only every n-th segment (`every`) is looked at.
 */
export function judgeSlips(
  columns: FleetColumns,
  prepared: PreparedReadings,
  events: TestEvents,
  contrast: Float64Array,
  readingVariance: number,
  expectation: EventExpectation,
  shift: Float64Array,
  every: number,
): number {
  let found = 0;
  for (let e = 0; e < events.count; e++) {
    const segment = events.segment[e]!;
    if (segment % every !== 0) continue;
    for (let r = events.readingStart[e]!; r < events.readingEnd[e]!; r++) {
      shift[r] = 0;
      if (stands(columns, r, decided.valueStands)) continue;
      if (prepared.flag[r] === flag.repaired) {
        prepared.flag[r] = plainFlag(columns, r);
        readScale(columns, prepared, r, 1);
      }
      const log = prepared.log[r]!;
      if (Number.isNaN(log) || prepared.manner[r] === manner.ceiling) continue;
      const away = log - expectation.mean[e]! - contrast[r]!;
      const impossible = isImpossible(columns, r);
      if (!(Math.abs(away) > farShare * slip) && !impossible) continue;
      const variance = expectation.variance[e]! + readingVariance;
      const repair = repairOf(away, variance, prepared.roundingVariance[r]!, impossible);
      if (repair === 0) continue;
      const alone = loneDeviation(columns, prepared, events, expectation, e, r);
      if (!impossible && !Number.isNaN(alone)) {
        // The others of its day vouch for the day: what is left is between the phases, which know each other better.
        const left = alone + repair;
        const near = nearSds * Math.sqrt(2 * Math.max(readingVariance, usualReadingVariance));
        const usual = usualDeviations(columns, prepared, events, e, r);
        if ((left < usual.low - near || left > usual.high + near) && Math.abs(left - contrast[r]!) > near) continue;
      }
      shift[r] = repair;
      prepared.flag[r] = flag.repaired;
      readScale(columns, prepared, r, 10 ** Math.round(repair / Math.LN10));
      found++;
    }
  }
  return found;
}

/**
 * How far a reading lies from the others of its event (ln), where at least one of them is where it is expected; NaN
 * otherwise: then the whole day is in doubt, not a phase.
 */
function loneDeviation(
  columns: FleetColumns,
  prepared: PreparedReadings,
  events: TestEvents,
  expectation: EventExpectation,
  e: number,
  reading: number,
): number {
  let sum = 0;
  let others = 0;
  for (let r = events.readingStart[e]!; r < events.readingEnd[e]!; r++) {
    const log = prepared.log[r]!;
    if (r === reading || Number.isNaN(log) || columns.readings.phase[r] === columns.readings.phase[reading]) continue;
    if (Math.abs(log - expectation.mean[e]!) > farShare * slipSizes[0]) continue;
    sum += log;
    others++;
  }
  return others > 0 ? prepared.log[reading]! - sum / others : Number.NaN;
}

const range = { low: 0, high: 0 };

/** Between what ends the phase lay beside the others in the segment's other tests (ln); 0 where there is none. */
function usualDeviations(
  columns: FleetColumns,
  prepared: PreparedReadings,
  events: TestEvents,
  event: number,
  reading: number,
): { low: number; high: number } {
  const { phase } = columns.readings;
  const segment = events.segment[event]!;
  range.low = Number.POSITIVE_INFINITY;
  range.high = Number.NEGATIVE_INFINITY;
  for (let e = events.segmentStart[segment]!; e < events.segmentStart[segment + 1]!; e++) {
    if (e === event) continue;
    let own = Number.NaN;
    let sum = 0;
    let others = 0;
    for (let r = events.readingStart[e]!; r < events.readingEnd[e]!; r++) {
      const log = prepared.log[r]!;
      if (Number.isNaN(log)) continue;
      if (phase[r] === phase[reading]) own = log;
      else {
        sum += log;
        others++;
      }
    }
    if (others === 0 || Number.isNaN(own)) continue;
    const away = own - sum / others;
    range.low = Math.min(range.low, away);
    range.high = Math.max(range.high, away);
  }
  if (range.low > range.high) range.low = range.high = 0;
  return range;
}

/** The repair (ln) that brings a reading nearest to its expectation; 0 where none brings it near enough. */
function repairOf(away: number, variance: number, roundingVariance: number, impossible: boolean): number {
  let best = 0;
  let nearest = Number.POSITIVE_INFINITY;
  for (const size of slipSizes) {
    const repair = away > 0 ? -size : size;
    const left = away + repair;
    const coarse = Math.min(0.1, roundingVariance * Math.exp(2 * size * Math.sign(away)));
    const near = nearSds * Math.sqrt(variance + coarse);
    const most = away > 0 ? Math.max(near, mostRise) : near;
    if (Math.abs(left) >= nearest || !(impossible || (left > -near && left < most))) continue;
    best = repair;
    nearest = Math.abs(left);
  }
  return best;
}

import { mixingShares, type SharePrior } from '../numerics/mixingShares.ts';
import { neighbourSd } from './agerParameters.ts';
import type { FleetColumns } from './columns.ts';
import type { PreparedReadings } from './normalise.ts';
import {
  type ContrastParameters,
  ContrastRoom,
  type OwnPart,
  onsets,
  ownShape,
  phaseOnsetYears,
} from './phaseContrastRoom.ts';
import type { TestEvents } from './testEvents.ts';

/**
 * What each phase does beside the others of its segment; `[3 entry + phase]`. Entry s is the segment's present stretch:
 * all its tests, or those since the last work on it where the phases part there (a renewed splice no longer shows in
 * its phase): its tests before that are then another entry.
 */
export interface PhaseContrasts {
  /** Entry of the tests before the last work, and when that was, years from today: −∞ where it parts nothing. */
  readonly earlier: Int32Array;
  readonly workTime: Float64Array;
  /** When the entry's first test was. */
  readonly first: Float64Array;
  /** Contrast at the first test, ln. */
  readonly offset: Float64Array;
  /** Slope of its own since each onset, per year: `[(3 entry + phase) · onsets + k]`. */
  readonly slope: Float64Array;
  /** Variance of the own slope as of today, its covariance with the own level, and the level's. */
  readonly slopeVariance: Float64Array;
  readonly covariance: Float64Array;
  readonly levelVariance: Float64Array;
  /** Probability that some phase of the segment ages on its own. */
  readonly pOwn: Float64Array;
  /** What it does to the mean of the phases if one does. */
  readonly own: OwnPart;
  /** Variance of a reading around its event. */
  readonly readingVariance: number;
  readonly offsetVariance: number;
  readonly ownShare: number;
  readonly ownSlopeMean: number;
  readonly ownSlopeVariance: number;
}

const yearDays = 365.25;
const mostThinned = 20_000;
const rounds = 8;
/** The oldest of them stands for this many years before it, too. */
const oldestReachYears = 5;
/** Years of onset that each one stands for; those since the first test are of no year. */
const onsetWidths = phaseOnsetYears.map((years, k) => {
  if (k === 0) return Number.NaN;
  const older = k === 1 ? years + oldestReachYears : (years + phaseOnsetYears[k - 1]!) / 2;
  const newer = k + 1 < onsets ? (years + phaseOnsetYears[k + 1]!) / 2 : 0;
  return older - newer;
});
/**
 * As if 40 segments had been seen and one of them had such a phase; onsets of neighbouring years are about as common,
 * year for year, as far as the fleet does not say otherwise.
 */
const sharePrior: SharePrior = {
  counts: Float64Array.from([39, ...phaseOnsetYears.map(() => 1 / onsets)]),
  links: phaseOnsetYears.slice(2).map((_, k) => ({
    part: k + 3,
    other: k + 2,
    offset: Math.log(onsetWidths[k + 2]! / onsetWidths[k + 1]!),
    sd: neighbourSd,
  })),
};

const ownPart = (segments: number): OwnPart => ({
  level: new Float64Array(segments),
  slope: new Float64Array(segments),
  levelVariance: new Float64Array(segments),
  covariance: new Float64Array(segments),
  slopeVariance: new Float64Array(segments),
});

/**
 * Contrasts between phases of one event, in which the day's errors cancel: an offset for each phase, and with a small
 * probability a slope of its own for one of them (spike and slab). A single far reading is a stray, not a trend,
 * and is left out here. Only every n-th segment (`every`) is looked at.
 */
export function fitPhaseContrasts(
  columns: FleetColumns,
  prepared: PreparedReadings,
  events: TestEvents,
  shift: Float64Array,
  every: number,
): PhaseContrasts {
  const segmentCount = columns.segments.count;
  const stretches = findStretches(columns, events);
  const { split, workTime, earlier } = stretches;
  const fit = { ...emptyContrasts(segmentCount, stretches.entries), earlier, workTime };
  const parameters: ContrastParameters = {
    readingVariance: 0.02,
    offsetVariance: 0.02,
    share: Float64Array.from([0.97, ...phaseOnsetYears.map(() => 0.03 / onsets)]),
    ownSlopeMean: 0.1,
    ownSlopeVariance: 0.006,
  };
  const room = new ContrastRoom(columns, prepared, events, shift);
  const stride = every * Math.max(1, Math.floor(segmentCount / (every * mostThinned)));
  const parts = 1 + onsets;
  const density = new Float64Array(Math.ceil(segmentCount / stride) * parts);
  for (let round = 0; round < rounds; round++) {
    const sums = { quadratic: 0, freedom: 0, offsets: 0, offsetCount: 0, own: 0, segments: 0, slope: 0, slope2: 0 };
    for (let s = 0; s < segmentCount; s += stride) {
      const alternatives = room.look(s, split[s]!, events.segmentStart[s + 1]!, parameters, true);
      if (alternatives === 0) continue;
      const at = sums.segments++ * parts;
      density.fill(0, at, at + parts);
      for (let i = 0; i < alternatives; i++) {
        room.take(i, parameters);
        room.addDensity(parameters, density, at);
        room.addTo(sums);
      }
    }
    if (sums.segments === 0) break;
    parameters.readingVariance *= Math.max(0.2, Math.min(5, sums.quadratic / Math.max(1, sums.freedom)));
    parameters.readingVariance = Math.max(1e-4, parameters.readingVariance);
    parameters.offsetVariance = Math.max(1e-4, (sums.offsets + 0.02) / (sums.offsetCount + 1));
    mixingShares(density, sums.segments, parameters.share, sharePrior);
    const mean = (sums.slope + 5 * 0.1) / (sums.own + 5);
    parameters.ownSlopeMean = Math.max(0.05, Math.min(0.2, mean));
    const spread = sums.slope2 - 2 * parameters.ownSlopeMean * sums.slope + sums.own * parameters.ownSlopeMean ** 2;
    parameters.ownSlopeVariance = Math.max(0.0025, Math.min(0.01, (spread + 5 * 0.006) / (sums.own + 5)));
  }
  const describe = (s: number, entry: number, first: number, end: number) => {
    const whole = split[s] === events.segmentStart[s];
    if (room.look(s, first, end, parameters, whole) > 0) room.write(fit, entry, parameters);
    else fit.levelVariance.fill(parameters.offsetVariance, 3 * entry, 3 * entry + 3);
  };
  const evidence = (s: number, first: number, end: number) =>
    room.look(s, first, end, parameters, false) > 0 ? room.logEvidence : 0;
  for (let s = 0; s < segmentCount; s += every) {
    const first = events.segmentStart[s]!;
    const end = events.segmentStart[s + 1]!;
    const cut = split[s]!;
    if (cut > first && evidence(s, first, cut) + evidence(s, cut, end) > evidence(s, first, end)) {
      describe(s, earlier[s]!, first, cut);
      describe(s, s, cut, end);
    } else {
      // The work was elsewhere on the segment: its phases went on as before.
      workTime[s] = Number.NEGATIVE_INFINITY;
      describe(s, s, first, end);
    }
  }
  return { ...fit, ...parameters, ownShare: 1 - parameters.share[0]! };
}

/** No contrasts at all: every phase is taken for the segment. */
export function noPhaseContrasts(segmentCount: number): PhaseContrasts {
  return {
    ...emptyContrasts(segmentCount, segmentCount),
    readingVariance: 0,
    offsetVariance: 0,
    ownShare: 0,
    ownSlopeMean: 0,
    ownSlopeVariance: 0,
  };
}

const emptyContrasts = (segmentCount: number, entries: number) => ({
  earlier: new Int32Array(segmentCount).fill(-1),
  workTime: new Float64Array(segmentCount).fill(Number.NEGATIVE_INFINITY),
  first: new Float64Array(entries),
  offset: new Float64Array(entries * 3),
  slope: new Float64Array(entries * 3 * onsets),
  slopeVariance: new Float64Array(entries * 3),
  covariance: new Float64Array(entries * 3),
  levelVariance: new Float64Array(entries * 3),
  pOwn: new Float64Array(entries),
  own: ownPart(segmentCount),
});

interface Stretches {
  /** First event after the last work that has events before it: the segment's first where there is no such work. */
  readonly split: Int32Array;
  readonly workTime: Float64Array;
  /** Entry of the events before it, −1 where there are none. */
  readonly earlier: Int32Array;
  readonly entries: number;
}

/** Where each segment's tests may come apart: at the last work with tests before it. */
function findStretches({ segments, interventions, asOfDay }: FleetColumns, events: TestEvents): Stretches {
  const split = events.segmentStart.slice(0, segments.count);
  const workTime = new Float64Array(segments.count).fill(Number.NEGATIVE_INFINITY);
  const earlier = new Int32Array(segments.count).fill(-1);
  let entries = segments.count;
  for (let i = 0; i < interventions.count; i++) {
    const s = interventions.segment[i]!;
    const day = interventions.day[i]!;
    let e = events.segmentStart[s]!;
    while (e < events.segmentStart[s + 1]! && events.day[e]! < day) e++;
    if (e === events.segmentStart[s]) continue;
    split[s] = e;
    workTime[s] = (day - asOfDay) / yearDays;
    if (earlier[s]! < 0) earlier[s] = entries++;
  }
  return { split, workTime, earlier, entries };
}

/** A phase's contrast at a time, ln. */
export function contrastAt(fit: PhaseContrasts, segment: number, phase: number, time: number): number {
  const entry = time < fit.workTime[segment]! ? fit.earlier[segment]! : segment;
  const at = 3 * entry + phase;
  let sum = fit.offset[at]!;
  for (let k = 0; k < onsets; k++) {
    const slope = fit.slope[at * onsets + k]!;
    if (slope !== 0) sum += slope * ownShape(k, time, fit.first[entry]!);
  }
  return sum;
}

/** Writes the contrast of every reading of every n-th segment (`every`) into `out`: asked for again and again, dear to make. */
export function writeContrasts(
  fit: PhaseContrasts,
  columns: FleetColumns,
  events: TestEvents,
  every: number,
  out: Float64Array,
): void {
  const { phase } = columns.readings;
  for (let s = 0; s < columns.segments.count; s += every) {
    const from = events.segmentStart[s]!;
    const end = events.segmentStart[s + 1]!;
    for (let e = from; e < end; e++) {
      for (let r = events.readingStart[e]!; r < events.readingEnd[e]!; r++) {
        out[r] = contrastAt(fit, s, phase[r]!, events.time[e]!);
      }
    }
  }
}

/** A phase's own slope today, per year. */
export function contrastSlope(fit: PhaseContrasts, segment: number, phase: number): number {
  const at = (3 * segment + phase) * onsets;
  let sum = 0;
  for (let k = 0; k < onsets; k++) sum += fit.slope[at + k]!;
  return sum;
}

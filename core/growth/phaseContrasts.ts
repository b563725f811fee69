import { mixingShares, type SharePrior } from '../numerics/mixingShares.ts';
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

/** What each phase does beside the others of its segment; `[3 s + phase]`. */
export interface PhaseContrasts {
  /** Contrast at the first test, ln. */
  readonly offset: Float64Array;
  /** Slope of its own since each onset, per year: `[(3 s + phase) · onsets + k]`. */
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

const mostThinned = 20_000;
const rounds = 8;
/**
 * As if 40 segments had been seen and one of them had such a phase; onsets of neighbouring years are about as common,
 * year for year, as far as the fleet does not say otherwise.
 */
const onsetWidths = phaseOnsetYears.map((years, k) =>
  k === 0
    ? Number.NaN
    : k === 1
      ? 11
      : (years + phaseOnsetYears[k - 1]!) / 2 - (k + 1 < onsets ? (years + phaseOnsetYears[k + 1]!) / 2 : 0),
);
const sharePrior: SharePrior = {
  counts: Float64Array.from([39, ...phaseOnsetYears.map(() => 1 / onsets)]),
  links: phaseOnsetYears.slice(2).map((_, k) => ({
    part: k + 3,
    other: k + 2,
    offset: Math.log(onsetWidths[k + 2]! / onsetWidths[k + 1]!),
    sd: 1.2,
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
  const fit = {
    offset: new Float64Array(segmentCount * 3),
    slope: new Float64Array(segmentCount * 3 * onsets),
    slopeVariance: new Float64Array(segmentCount * 3),
    covariance: new Float64Array(segmentCount * 3),
    levelVariance: new Float64Array(segmentCount * 3),
    pOwn: new Float64Array(segmentCount),
    own: ownPart(segmentCount),
  };
  const parameters: ContrastParameters = {
    readingVariance: 0.02,
    offsetVariance: 0.02,
    share: Float64Array.from([0.97, ...phaseOnsetYears.map(() => 0.03 / onsets)]),
    ownSlopeMean: 0.1,
    ownSlopeVariance: 0.006,
  };
  const room = new ContrastRoom(columns, prepared, events, shift);
  const stride = every * Math.max(1, Math.floor(segmentCount / (every * mostThinned)));
  const density = new Float64Array(Math.ceil(segmentCount / stride) * (1 + onsets));
  for (let round = 0; round < rounds; round++) {
    const sums = { quadratic: 0, freedom: 0, offsets: 0, offsetCount: 0, own: 0, segments: 0, slope: 0, slope2: 0 };
    for (let s = 0; s < segmentCount; s += stride) {
      if (!room.look(s, parameters)) continue;
      room.writeDensity(parameters, density, sums.segments * (1 + onsets));
      room.addTo(sums);
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
  for (let s = 0; s < segmentCount; s += every) {
    if (!room.look(s, parameters)) {
      for (let p = 3 * s; p < 3 * s + 3; p++) fit.levelVariance[p] = parameters.offsetVariance;
      continue;
    }
    room.write(fit, s, parameters);
  }
  return { ...fit, ...parameters, ownShare: 1 - parameters.share[0]! };
}

/** No contrasts at all: every phase is taken for the segment. */
export function noPhaseContrasts(segmentCount: number): PhaseContrasts {
  return {
    offset: new Float64Array(segmentCount * 3),
    slope: new Float64Array(segmentCount * 3 * onsets),
    slopeVariance: new Float64Array(segmentCount * 3),
    covariance: new Float64Array(segmentCount * 3),
    levelVariance: new Float64Array(segmentCount * 3),
    pOwn: new Float64Array(segmentCount),
    own: ownPart(segmentCount),
    readingVariance: 0,
    offsetVariance: 0,
    ownShare: 0,
    ownSlopeMean: 0,
    ownSlopeVariance: 0,
  };
}

/** A phase's contrast at a time, ln. */
export function contrastAt(fit: PhaseContrasts, segment: number, phase: number, time: number, first: number): number {
  const at = 3 * segment + phase;
  let sum = fit.offset[at]!;
  for (let k = 0; k < onsets; k++) {
    const slope = fit.slope[at * onsets + k]!;
    if (slope !== 0) sum += slope * ownShape(k, time, first);
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
        out[r] = contrastAt(fit, s, phase[r]!, events.time[e]!, events.time[from]!);
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

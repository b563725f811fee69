import { normalCdf } from '../numerics/normal.ts';
import { testCorrection } from './adjusted.ts';
import { ways } from './agerParameters.ts';
import { AgerRoom } from './agerRoom.ts';
import { type Calibration, fitCalibration } from './calibration.ts';
import { insulationFamilies } from './columns.ts';
import type { GrowthFit } from './growthFit.ts';

export interface Coverage {
  readonly name: string;
  readonly tests: number;
  /** Share of last tests inside the interval that was to hold 90 %, and 50 %, of them. */
  readonly inside90: number;
  readonly inside50: number;
}

export interface CalibrationBin {
  readonly from: number;
  readonly to: number;
  readonly tests: number;
  readonly predicted: number;
  readonly happened: number;
}

export interface Backtest {
  /** Segments whose last test could be predicted from earlier ones. */
  readonly tests: number;
  readonly overall: Coverage;
  readonly families: readonly Coverage[];
  /**
   * Segments whose earlier tests alone said that they more likely than not had begun to accelerate. Chosen with the
   * last test in sight they would be those that it surprised, and any interval holds fewer of such.
   */
  readonly accelerating: Coverage;
  /** Last tests under the floor: no part of coverage, and not above the limit. */
  readonly belowFloor: number;
  /** Last tests of segments without a limit: no part of the chances. */
  readonly withoutLimit: number;
  /** Counts of the last tests in ten equal slices of their predictive distribution; flat if the model is right. */
  readonly slices: Int32Array;
  readonly bins: readonly CalibrationBin[];
  readonly expected: number;
  readonly observed: number;
  readonly brier: number;
  /** Brier score of saying the average share of everyone. */
  readonly brierOfAverage: number;
  readonly calibration: Calibration;
}

const edges = [0, 0.02, 0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 1];

/**
 * Leaves out the last test of each segment with two or more, predicts it from the earlier ones, and compares. What the
 * whole fleet teaches (temperature, spreads, shares) is taken from the full fit. Tests under the floor are left out
 * of coverage, since their value is not known, but count as not exceeding.
 */
export function backtest(fit: GrowthFit): Backtest {
  const { model } = fit;
  const { columns, events, rows, agers, agerInput, states } = model;
  const room = new AgerRoom(agerInput, agers);
  const mean = new Float64Array(ways);
  const variance = new Float64Array(ways);
  const predicted: number[] = [];
  const happened: number[] = [];
  const slices = new Int32Array(10);
  const groups = new Map<string, CoverageCount>();
  let belowFloor = 0;
  let withoutLimit = 0;
  const count = (name: string, place: number) => {
    const group = groups.get(name) ?? { tests: 0, inside90: 0, inside50: 0 };
    group.tests++;
    if (place > 0.05 && place < 0.95) group.inside90++;
    if (place > 0.25 && place < 0.75) group.inside50++;
    groups.set(name, group);
  };
  for (let s = 0; s < columns.segments.count; s++) {
    const last = events.segmentStart[s + 1]! - 1;
    if (last <= events.segmentStart[s]!) continue;
    room.without = last;
    room.solve(s);
    room.lineParts(last, mean, variance);
    const fixedPart = rows.response[last]! - agerInput.residual[last]!;
    const noise = agerInput.errorVariance + rows.extraVariance[last]!;
    const limit = Math.log(columns.segments.limitNsPerKm[s]!) + testCorrection(model, last);
    let place = 0;
    let over = 0;
    let late = 0;
    for (let way = 0; way < ways; way++) {
      const sd = Math.sqrt(variance[way]! + noise);
      const centre = fixedPart + mean[way]!;
      place += room.weight[way]! * normalCdf((rows.response[last]! - centre) / sd);
      over += room.weight[way]! * normalCdf((centre - limit) / sd);
      if (way >= firstLate) late += room.weight[way]!;
    }
    if (states.censored[last] === 0) {
      slices[Math.min(9, Math.floor(10 * place))]!++;
      count('all', place);
      count(insulationFamilies[columns.segments.insulation[s]!] ?? 'other', place);
      if (late > 0.5) count('accelerating', place);
    } else belowFloor++;
    if (!Number.isFinite(limit)) {
      withoutLimit++;
      continue;
    }
    predicted.push(over);
    happened.push(states.censored[last] === 0 && rows.response[last]! > limit ? 1 : 0);
  }
  return { ...summarise(predicted, happened, slices, groups), belowFloor, withoutLimit };
}

/** Of the ways of ageing, the first that begins late. */
const firstLate = 2;

interface CoverageCount {
  tests: number;
  inside90: number;
  inside50: number;
}

function summarise(
  predicted: number[],
  happened: number[],
  slices: Int32Array,
  groups: ReadonlyMap<string, CoverageCount>,
): Omit<Backtest, 'belowFloor' | 'withoutLimit'> {
  const expected = predicted.reduce((a, b) => a + b, 0);
  const observed = happened.reduce((a, b) => a + b, 0);
  const average = observed / Math.max(1, happened.length);
  let brier = 0;
  for (let i = 0; i < predicted.length; i++) brier += (predicted[i]! - happened[i]!) ** 2 / predicted.length;
  const coverage = (name: string): Coverage => {
    const group = groups.get(name) ?? { tests: 0, inside90: 0, inside50: 0 };
    const share = (n: number) => (group.tests > 0 ? n / group.tests : Number.NaN);
    return { name, tests: group.tests, inside90: share(group.inside90), inside50: share(group.inside50) };
  };
  return {
    tests: groups.get('all')?.tests ?? 0,
    overall: coverage('all'),
    families: insulationFamilies.filter((family) => groups.has(family)).map(coverage),
    accelerating: coverage('accelerating'),
    slices,
    bins: calibrationBins(predicted, happened),
    expected,
    observed,
    brier,
    brierOfAverage: average * (1 - average),
    calibration: fitCalibration(Float64Array.from(predicted), Uint8Array.from(happened)),
  };
}

function calibrationBins(predicted: number[], happened: number[]): CalibrationBin[] {
  return edges.slice(1).map((to, i) => {
    const from = edges[i]!;
    let tests = 0;
    let sum = 0;
    let hits = 0;
    predicted.forEach((p, k) => {
      if (p < from || (p >= to && to < 1)) return;
      tests++;
      sum += p;
      hits += happened[k]!;
    });
    return {
      from,
      to,
      tests,
      predicted: tests > 0 ? sum / tests : Number.NaN,
      happened: tests > 0 ? hits / tests : Number.NaN,
    };
  });
}

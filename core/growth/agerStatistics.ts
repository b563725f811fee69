import { mostRandom, writeRandomRow } from '../numerics/mixedModelGroup.ts';
import { type AgerInput, lateOnsetYears, lateScale, ways } from './agerParameters.ts';

/**
 * Where the sums of one segment stand from its place on, with d = level, slope and steps and W a row's precision:
 * A = Σ W z z' (d × d), c = Σ W z y (d), and for each push b of a way: Σ W b² and Σ W b y (`ways` each) and Σ W b z
 * (d for each way). y is the response less the fixed effects. They do not depend on what is known of the ways.
 */
const sumsOf = (d: number) => ({
  c: d * d,
  square: d * d + d,
  score: d * d + d + ways,
  link: d * d + d + 2 * ways,
  length: d * d + d + 2 * ways + d * ways,
});
export const sumLayouts = Array.from({ length: mostRandom + 1 }, (_, d) => sumsOf(d));
export const mostSums = sumLayouts[mostRandom]!.length;

const z = new Float64Array(mostRandom);

/** How a push of a way shows at a time: `fast` since the pivot, late ones since their onset. */
export function pushShape(way: number, time: number, pivotYears: number): number {
  if (way === 1) return time + pivotYears;
  const since = time + lateOnsetYears[way - 2]!;
  return since > 0 ? (since * Math.sqrt(since)) / lateScale[way - 2]! : 0;
}

/** Writes the sums of segment s from `at` on, with one row left out (−1 for none). */
export function sumSegment(
  input: AgerInput,
  s: number,
  pivotYears: number,
  without: number,
  sums: Float64Array,
  at: number,
): void {
  const { rows, residual, errorVariance } = input;
  const d = 2 + rows.stepCount[s]!;
  const layout = sumLayouts[d]!;
  const c = at + layout.c;
  const square = at + layout.square;
  const score = at + layout.score;
  const link = at + layout.link;
  sums.fill(0, at, at + layout.length);
  for (let row = rows.rowStart[s]!; row < rows.rowStart[s + 1]!; row++) {
    if (row === without) continue;
    const w = 1 / (errorVariance + rows.extraVariance[row]!);
    writeRandomRow(rows, row, d, z);
    const y = residual[row]!;
    for (let i = 0; i < d; i++) {
      const wz = w * z[i]!;
      if (wz === 0) continue;
      sums[c + i]! += wz * y;
      for (let j = 0; j < d; j++) sums[at + i * d + j]! += wz * z[j]!;
    }
    for (let way = 1; way < ways; way++) {
      const b = pushShape(way, z[1]!, pivotYears);
      if (b === 0) continue;
      const wb = w * b;
      sums[square + way]! += wb * b;
      sums[score + way]! += wb * y;
      for (let i = 0; i < d; i++) sums[link + way * d + i]! += wb * z[i]!;
    }
  }
}

/** Sums of every n-th segment, kept for the passes over them: those of the i-th begin at places[i]. */
export interface KeptSums {
  readonly places: Int32Array;
  readonly sums: Float64Array;
}

export function keepSums(input: AgerInput, pivotYears: number, thinning: number): KeptSums {
  const { groupCount, stepCount } = input.rows;
  const places = new Int32Array(Math.ceil(groupCount / thinning) + 1);
  let count = 0;
  for (let s = 0; s < groupCount; s += thinning) {
    places[count + 1] = places[count]! + sumLayouts[2 + stepCount[s]!]!.length;
    count++;
  }
  const sums = new Float64Array(places[count]!);
  for (let i = 0; i < count; i++) sumSegment(input, i * thinning, pivotYears, -1, sums, places[i]!);
  return { places, sums };
}

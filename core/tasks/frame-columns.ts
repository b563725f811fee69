import type { Insulation } from '../contract/shapes/trade.ts';
import type { Frame } from './frame.ts';

/** What lists are filtered and sorted by, as columns in the frame's order: quicker to walk than rows. */
export interface FrameColumns {
  /** In order of their names. */
  readonly insulations: readonly Insulation[];
  /** Index into `insulations`. */
  readonly insulation: Uint16Array;
  /** Rising. */
  readonly ratedKvs: readonly number[];
  /** Index into `ratedKvs` + 1; 0 where unknown. */
  readonly ratedKv: Uint16Array;
  readonly lengthM: Float64Array;
}

const kept = new WeakMap<Frame, FrameColumns>();

/** Made once a frame. */
export function frameColumns(frame: Frame): FrameColumns {
  let columns = kept.get(frame);
  if (!columns) {
    columns = makeColumns(frame);
    kept.set(frame, columns);
  }
  return columns;
}

function makeColumns({ rows }: Frame): FrameColumns {
  // Numbered as they come, by loops: of two hundred thousand rows a tenth of the time that walking them by functions takes.
  const insulationSeen = new Map<string, number>();
  const kvSeen = new Map<number, number>();
  const insulation = new Uint16Array(rows.length);
  const ratedKv = new Uint16Array(rows.length);
  const lengthM = new Float64Array(rows.length);
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i]!;
    insulation[i] = numberIn(insulationSeen, row.insulation);
    ratedKv[i] = row.ratedKv === null ? 0 : 1 + numberIn(kvSeen, row.ratedKv);
    lengthM[i] = row.lengthM;
  }
  const insulations = [...insulationSeen.keys()].sort() as Insulation[];
  const ratedKvs = [...kvSeen.keys()].sort((a, b) => a - b);
  const insulationAt = placesOf(insulationSeen, insulations);
  const kvAt = placesOf(kvSeen, ratedKvs);
  for (let i = 0; i < rows.length; i++) {
    insulation[i] = insulationAt[insulation[i]!]!;
    if (ratedKv[i] !== 0) ratedKv[i] = 1 + kvAt[ratedKv[i]! - 1]!;
  }
  return { insulations, insulation, ratedKvs, ratedKv, lengthM };
}

function numberIn<T>(seen: Map<T, number>, value: T): number {
  let number = seen.get(value);
  if (number === undefined) {
    number = seen.size;
    seen.set(value, number);
  }
  return number;
}

/** Where each value stands in order, by the number it was seen under. */
const placesOf = <T>(seen: ReadonlyMap<T, number>, inOrder: readonly T[]): number[] => {
  const places: number[] = [];
  inOrder.forEach((value, place) => {
    places[seen.get(value)!] = place;
  });
  return places;
};

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
  const insulations = [...new Set(rows.map((row) => row.insulation as Insulation))].sort();
  const ratedKvs = [...new Set(rows.map((row) => row.ratedKv).filter((kv) => kv !== null))].sort((a, b) => a - b);
  const insulationAt = new Map<string, number>(insulations.map((name, at) => [name, at]));
  const kvAt = new Map<number | null, number>(ratedKvs.map((kv, at) => [kv, at + 1]));
  return {
    insulations,
    insulation: Uint16Array.from(rows, (row) => insulationAt.get(row.insulation)!),
    ratedKvs,
    ratedKv: Uint16Array.from(rows, (row) => kvAt.get(row.ratedKv) ?? 0),
    lengthM: Float64Array.from(rows, (row) => row.lengthM),
  };
}

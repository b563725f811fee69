import { mergeRuns } from '../numerics/mergeRuns.ts';
import { byName } from '../store/name-order.ts';
import type { Frame } from './frame.ts';

interface NameRanks {
  readonly finding: Generator<void, Float64Array>;
  /** null until they are found. */
  ranks: Float64Array | null;
}

/** Names that are given a rank between two rests. */
const restEvery = 4096;

const kept = new WeakMap<Frame, NameRanks>();

/** Place of each segment's name in the alphabet, numbers in it by their size; found once a frame. */
export function nameRanks(frame: Frame): Float64Array {
  while (!findSomeNameRanks(frame));
  return namesOf(frame).ranks!;
}

/** Goes a little of the way to all names' places; true once they are found. */
export function findSomeNameRanks(frame: Frame): boolean {
  const names = namesOf(frame);
  if (names.ranks !== null) return true;
  const { done, value } = names.finding.next();
  if (done) names.ranks = value;
  return done ?? false;
}

function namesOf(frame: Frame): NameRanks {
  let names = kept.get(frame);
  if (!names) {
    names = { finding: findRanks(frame), ranks: null };
    kept.set(frame, names);
  }
  return names;
}

function* findRanks({ rows }: Frame): Generator<void, Float64Array> {
  const compare = (a: number, b: number) => byName(rows[a]!.name, rows[b]!.name);
  const order = Int32Array.from(rows.keys());
  yield* mergeRuns(order, compare);
  const ranks = new Float64Array(order.length);
  let rank = 0;
  for (let k = 1; k < order.length; k++) {
    if (compare(order[k - 1]!, order[k]!) !== 0) rank = k;
    ranks[order[k]!] = rank;
    if (k % restEvery === 0) yield;
  }
  return ranks;
}

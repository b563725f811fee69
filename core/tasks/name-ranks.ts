import type { Frame } from './frame.ts';

const ranksOfNames = new WeakMap<Frame, Float64Array>();

/** Place of each segment's name in the alphabet, numbers in it by their size; made once a frame. */
export function nameRanks(frame: Frame): Float64Array {
  let ranks = ranksOfNames.get(frame);
  if (!ranks) {
    const collator = new Intl.Collator('en', { numeric: true });
    const names = frame.rows.map((row) => row.name);
    const order = Int32Array.from(names.keys()).sort((a, b) => collator.compare(names[a]!, names[b]!));
    ranks = new Float64Array(names.length);
    let rank = 0;
    for (let k = 0; k < order.length; k++) {
      if (k > 0 && collator.compare(names[order[k - 1]!]!, names[order[k]!]!) !== 0) rank = k;
      ranks[order[k]!] = rank;
    }
    ranksOfNames.set(frame, ranks);
  }
  return ranks;
}

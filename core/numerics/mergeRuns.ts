/** Comparisons between two rests. */
const restEvery = 4096;

/**
 * Sorts places in place by comparison, stable, by merging what stands in order already. It rests every so many
 * comparisons, so that whoever steps through it can do other things between.
 */
export function* mergeRuns(places: Int32Array, compare: (a: number, b: number) => number): Generator<void, void> {
  let done = 0;
  const n = places.length;
  let ends: number[] = [];
  for (let k = 1; k < n; k++) {
    if (compare(places[k - 1]!, places[k]!) > 0) ends.push(k);
    if (++done % restEvery === 0) yield;
  }
  ends.push(n);
  const room = new Int32Array(n);
  while (ends.length > 1) {
    const merged: number[] = [];
    for (let run = 0; run < ends.length; run += 2) {
      const from = run === 0 ? 0 : ends[run - 1]!;
      const middle = ends[run]!;
      const to = ends[run + 1] ?? middle;
      merged.push(to);
      room.set(places.subarray(from, middle), from);
      let left = from;
      let right = middle;
      for (let at = from; left < middle; at++) {
        const takesRight = right < to && compare(room[left]!, places[right]!) > 0;
        places[at] = takesRight ? places[right++]! : room[left++]!;
        if (++done % restEvery === 0) yield;
      }
    }
    ends = merged;
  }
}

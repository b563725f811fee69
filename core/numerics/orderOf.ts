/**
 * The places in the order of their keys, `keys[place]`; equal keys in the order given, NaN last either way.
 * A typed array's own sort and a step into it for each: several times quicker than a comparison function on the
 * two hundred thousand.
 */
export function orderOf(places: ArrayLike<number>, keys: Float64Array, descending: boolean): number[] {
  const n = places.length;
  const sorted = new Float64Array(n);
  let known = 0;
  for (let k = 0; k < n; k++) {
    const key = keys[places[k]!]!;
    // Zero of either sign is one key.
    if (!Number.isNaN(key)) sorted[known++] = (descending ? -key : key) + 0;
  }
  const rising = sorted.subarray(0, known).sort();
  const taken = new Int32Array(known);
  const order: number[] = new Array(n);
  let unknown = known;
  for (let k = 0; k < n; k++) {
    const key = keys[places[k]!]!;
    if (Number.isNaN(key)) order[unknown++] = places[k]!;
    else {
      const at = firstOf(rising, (descending ? -key : key) + 0);
      order[at + taken[at]!++] = places[k]!;
    }
  }
  return order;
}

function firstOf(rising: Float64Array, key: number): number {
  let low = 0;
  let high = rising.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (rising[middle]! < key) low = middle + 1;
    else high = middle;
  }
  return low;
}

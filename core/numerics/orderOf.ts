/** Digits of a key's 64 bits, the lowest first, and how many values each can have. */
const digits = 4;
const radix = 65_536;

/**
 * The places in the order of their keys, `keys[place]`; equal keys in the order given, NaN last either way.
 * Sorted digit by digit, which compares no two keys: some milliseconds for the two hundred thousand. It rests after each
 * digit in which the keys differ, so that whoever steps through it can do other things between.
 */
export function* orderOf(
  places: ArrayLike<number>,
  keys: Float64Array,
  descending: boolean,
): Generator<void, Int32Array> {
  const { known, bits } = knownFirst(places, keys, descending);
  let turn = new Int32Array(bits.length / digits);
  for (let k = 0; k < turn.length; k++) turn[k] = k;
  let next = new Int32Array(turn.length);
  yield;
  for (let digit = 0; digit < digits; digit++) {
    const starts = startsOf(bits, digit);
    if (starts === null) continue;
    dealOut(turn, next, bits, digit, starts);
    [turn, next] = [next, turn];
    yield;
  }
  const order = known.slice();
  for (let k = 0; k < turn.length; k++) order[k] = known[turn[k]!]!;
  return order;
}

/** Puts each entry where those of its digit stand, in the turn they have; `starts` moves on with them. */
function dealOut(turn: Int32Array, next: Int32Array, bits: Uint16Array, digit: number, starts: Int32Array): void {
  for (let k = 0; k < turn.length; k++) {
    const at = turn[k]!;
    next[starts[bits[digits * at + digit]!]!++] = at;
  }
}

/** Places with a key before those without, and the bits of each key, turned so that they rise as the order does. */
function knownFirst(places: ArrayLike<number>, keys: Float64Array, descending: boolean) {
  const n = places.length;
  const known = new Int32Array(n);
  const signed = new Float64Array(n);
  let count = 0;
  for (let k = 0; k < n; k++) {
    const key = keys[places[k]!]!;
    if (Number.isNaN(key)) continue;
    known[count] = places[k]!;
    // Zero of either sign is one key.
    signed[count++] = (descending ? -key : key) + 0;
  }
  const bits = new Uint16Array(signed.buffer, 0, digits * count);
  for (let k = 0; k < count; k++) {
    const top = digits * k + digits - 1;
    if (bits[top]! < radix / 2) bits[top]! ^= radix / 2;
    else for (let digit = digits * k; digit <= top; digit++) bits[digit]! ^= radix - 1;
  }
  for (let k = 0, last = count; last < n; k++) if (Number.isNaN(keys[places[k]!]!)) known[last++] = places[k]!;
  return { known, bits };
}

/** Where the entries of each value of a digit begin; null where all have the same. */
function startsOf(bits: Uint16Array, digit: number): Int32Array | null {
  const starts = new Int32Array(radix);
  for (let at = digit; at < bits.length; at += digits) starts[bits[at]!]!++;
  if (bits.length === 0 || starts[bits[digit]!]! === bits.length / digits) return null;
  let start = 0;
  for (let value = 0; value < radix; value++) {
    const count = starts[value]!;
    starts[value] = start;
    start += count;
  }
  return starts;
}

import fc from 'fast-check';
import { expect, test } from 'vitest';
import { atOnce } from '../../core/numerics/atOnce.ts';
import { orderOf } from '../../core/numerics/orderOf.ts';

// Source: the language's own stable sort (ECMA-262, Array.prototype.sort) with a comparison function.
const compared = (places: readonly number[], keys: Float64Array, descending: boolean): number[] =>
  [...places].sort((a, b) => {
    const [x, y] = [keys[a]!, keys[b]!];
    if (Number.isNaN(x) || Number.isNaN(y)) return Number(Number.isNaN(x)) - Number(Number.isNaN(y));
    return (x < y ? -1 : x > y ? 1 : 0) * (descending ? -1 : 1);
  });

test('orders places by their keys as a stable sort does, equal keys as given, unknown ones last, in both directions', () => {
  const key = fc.oneof(fc.constantFrom(0, -0, 1, 1, 2, Number.NaN, Number.POSITIVE_INFINITY), fc.double());
  fc.assert(
    fc.property(fc.array(key, { maxLength: 60 }), fc.boolean(), fc.integer(), (list, descending, skip) => {
      const keys = Float64Array.from(list);
      const places = list.map((_, i) => i).filter((i) => (i + skip) % 4 !== 0);
      expect([...atOnce(orderOf(places, keys, descending))]).toEqual(compared(places, keys, descending));
    }),
  );
});

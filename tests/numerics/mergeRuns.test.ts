import fc from 'fast-check';
import { expect, test } from 'vitest';
import { mergeRuns } from '../../core/numerics/mergeRuns.ts';

// Source: the language's own stable sort (ECMA-262, Array.prototype.sort).
test('sorts places as a stable sort by comparison does, however often they stand in order already', () => {
  fc.assert(
    fc.property(fc.array(fc.integer({ min: 0, max: 12 }), { maxLength: 80 }), (keys) => {
      const compare = (a: number, b: number) => keys[a]! - keys[b]!;
      const places = Int32Array.from(keys.keys());
      const steps = mergeRuns(places, compare);
      while (!steps.next().done);
      expect([...places]).toEqual([...keys.keys()].sort(compare));
    }),
  );
});

test('rests within a long sort, and goes on from there', () => {
  const n = 30_000;
  const places = Int32Array.from({ length: n }, (_, k) => (k * 7919) % n);
  const steps = mergeRuns(places, (a, b) => a - b);
  let rests = 0;
  while (!steps.next().done) rests++;
  expect(rests).toBeGreaterThan(20);
  expect(places.every((place, k) => place === k)).toBe(true);
});

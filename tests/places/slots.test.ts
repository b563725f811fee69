import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type Slots, slotsAfter } from '../../renderer/parts/useSlots.ts';

const range = (from: number, count: number) => Array.from({ length: count }, (_, k) => from + k);

test('a row that stays keeps its slot, and one that comes takes the slot of one that went', () => {
  const first = slotsAfter(new Map(), range(0, 5));
  expect([...first]).toEqual([0, 1, 2, 3, 4].map((k) => [k, k]));
  const scrolled = slotsAfter(first, range(2, 5));
  expect([...scrolled]).toEqual([
    [2, 2],
    [3, 3],
    [4, 4],
    [5, 0],
    [6, 1],
  ]);
  // All new: the slots stand in the order they stood in, so that no element moves.
  expect([...slotsAfter(scrolled, range(900, 5)).values()]).toEqual([...scrolled.values()]);
});

test('however it is scrolled, every row has a slot of its own and no more slots are used than rows were ever shown', () => {
  const steps = fc.array(fc.tuple(fc.nat({ max: 60 }), fc.integer({ min: 1, max: 12 })), { maxLength: 12 });
  fc.assert(
    fc.property(steps, (walks) => {
      let slots: Slots = new Map();
      let most = 0;
      for (const [from, count] of walks) {
        const before = slots;
        const shown = range(from, count);
        slots = slotsAfter(before, shown);
        most = Math.max(most, count);
        expect([...slots.keys()]).toEqual(shown);
        expect(new Set(slots.values()).size).toBe(count);
        expect(Math.max(...slots.values())).toBeLessThan(most);
        for (const index of shown) if (before.has(index)) expect(slots.get(index)).toBe(before.get(index));
      }
    }),
  );
});

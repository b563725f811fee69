import { useRef } from 'react';

/** Which slot shows each index: one in both keeps its slot, one that came takes that of one that went. */
export type Slots = ReadonlyMap<number, number>;

/** Slots for the indices that are shown now, in their order, after those that were shown before. */
export function slotsAfter(before: Slots, shown: readonly number[]): Slots {
  const staying = new Set(shown.filter((index) => before.has(index)).map((index) => before.get(index)!));
  const free = [...before.values()].filter((slot) => !staying.has(slot));
  // The lowest that none has, once those that were left are given out.
  for (let slot = 0; free.length < shown.length - staying.size; slot++)
    if (!staying.has(slot) && !free.includes(slot)) free.push(slot);
  return new Map(shown.map((index) => [index, before.get(index) ?? free.shift()!]));
}

/** A row that comes into sight is drawn in the elements of one that left: changing them costs less than new ones. */
export function useSlots(shown: readonly number[]): Slots {
  const slots = useRef<Slots>(new Map());
  slots.current = slotsAfter(slots.current, shown);
  return slots.current;
}

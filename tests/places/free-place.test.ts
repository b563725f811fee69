import { expect, test } from 'vitest';
import { freePlace } from '../../renderer/charts/freePlace.ts';

const area = { x: 40, y: 20, width: 600, height: 240 };
const label = { width: 180, height: 15, lineY: 120 };
const sign = (x: number, y: number) => ({ x, y, reach: 7 });
const within = (place: { x: number; y: number }, taken: readonly { x: number; y: number; reach: number }[]) =>
  taken.filter(
    (t) =>
      t.x > place.x - t.reach &&
      t.x < place.x + label.width + t.reach &&
      t.y > place.y - t.reach &&
      t.y < place.y + label.height + t.reach,
  ).length;

test('a label stands at the left, on its line, where nothing is there', () => {
  expect(freePlace(area, label, [])).toEqual({ x: 44, y: 102 });
});

test('it moves along its line from readings that it would cover', () => {
  const taken = [sign(60, 110), sign(120, 104), sign(60, 128), sign(130, 130)];
  const place = freePlace(area, label, taken);
  expect(within(place, taken)).toBe(0);
  expect(place.x).toBeGreaterThan(44);
});

test('it hangs below its line where all above is taken, and never leaves the plot', () => {
  const above = Array.from({ length: 100 }, (_, k) => sign(40 + k * 6, 110));
  const place = freePlace(area, label, above);
  expect(place.y).toBe(123);
  const high = freePlace(area, { ...label, lineY: 26 }, []);
  expect(high.y).toBeGreaterThanOrEqual(area.y);
  const wide = freePlace(area, { ...label, width: 900 }, []);
  expect(wide.x).toBe(44);
});

test('where no place is free it takes the one that covers least', () => {
  const everywhere = Array.from({ length: 200 }, (_, k) => sign(40 + (k % 100) * 6, k < 100 ? 110 : 130));
  const thinned = everywhere.filter(({ x, y }) => !(y === 130 && x > 300 && x < 480));
  const place = freePlace(area, label, thinned);
  expect(place.y).toBe(123);
  expect(place.x).toBeGreaterThan(280);
});

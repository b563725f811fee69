import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { byName, inPlaceOrder } from '../../core/store/name-order.ts';
import { aCore, type TestCore } from './a-core.ts';

let t: TestCore;
beforeAll(async () => {
  t = await aCore();
  await t.ask('demo.write', { segments: 300, seed: 3 });
});
afterAll(() => t.close());

// No outside source: the order is how people count, spelled out.
test('numbers within names go by their value, letters whatever their case', () => {
  const inOrder = ['Mill 1', 'Mill 1 new', 'mill 2', 'Mill 9', 'Mill 10', 'Mill 10 2', 'Mill 10 11', 'Weir'];
  expect(inOrder.toReversed().sort(byName)).toEqual(inOrder);
});

test('rows of feeders, one feeder after another, come by substation, feeder, name and id', () => {
  const row = (place: string) => {
    const [substation, feeder, name, ownerId] = place.split('/') as [string, string, string, string];
    return { substation, feeder, name, ownerId };
  };
  const inOrder = [
    'S 2/F 1/A 2/x',
    'S 2/F 1/A 10/a',
    'S 2/F 1/A 10/b',
    'S 2/F 3/A 1/y',
    'S 2/F 12/A 1/z',
    'S 10/F 1/A 1/c',
  ];
  expect(inPlaceOrder(inOrder.toReversed().map(row))).toEqual(inOrder.map(row));
});

const rises = (names: readonly string[]): void => {
  expect(names.length).toBeGreaterThan(10);
  for (let k = 1; k < names.length; k++)
    expect([names[k - 1]!, names[k]!].sort(byName)).toEqual(names.slice(k - 1, k + 1));
};
// Sorted by letters this would hold: the fleet must have a name that the two orders place otherwise.
const isNoAlphabet = (names: readonly string[]): void => expect(names).not.toEqual([...names].sort());
const placed = (row: { substation: string; feeder: string; segment: string }) =>
  `${row.substation} | ${row.feeder} | ${row.segment}`;

// The register stood in the order of letters: 1, 10, 2.
test('the register stands in the order in which people count', async () => {
  const { rows } = await t.ask('evidence.compliance', { from: '2015-01-01', to: '2024-12-31', skip: 0, count: 1000 });
  const names = [...new Set(rows.map(placed))];
  rises(names);
  isNoAlphabet(names);
});

test('so do tests due on one day, in the list and in its CSV, and the branches of the tree', async () => {
  const csv = join(t.folder, 'due.csv');
  const { rows } = await t.ask('retest.due', { count: 1000, csv });
  const byDay = Map.groupBy(rows, (row) => row.dueOn);
  for (const day of byDay.values()) {
    const names = day.map(placed);
    for (let k = 1; k < names.length; k++) expect(byName(names[k - 1]!, names[k]!)).toBeLessThanOrEqual(0);
  }
  expect([...byDay.values()].some((day) => day.length > 1)).toBe(true);
  const written = readFileSync(csv, 'utf8').trim().split(/\r?\n/).slice(1);
  expect(written.length).toBe(rows.length);
  expect(written.every((line, k) => line.includes(rows[k]!.segment))).toBe(true);

  const { feeders } = await t.ask('ranking.feeders', {});
  const { substations } = await t.ask('ranking.choices', {});
  const nameOf = new Map(substations.map(({ id, name }) => [id, name]));
  rises(feeders.map((feeder) => `${nameOf.get(feeder.substationId)!} | ${feeder.name}`));
});

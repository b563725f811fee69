import { afterAll, beforeAll, expect, test } from 'vitest';
import type { OutputOf } from '../../core/contract/asks/index.ts';
import type { SegmentPage } from '../../core/contract/asks/segment.ts';
import type { TreeFilter } from '../../core/contract/shapes/tree-filter.ts';
import { aCore, type TestCore } from './a-core.ts';

// What passes a filter is told here a second time, from each segment's own page, the due list and the ranking.

let t: TestCore;
let pages: SegmentPage[];
let overdue: Set<string>;

const tree = (filter: TreeFilter, under: Parameters<typeof t.ask<'fleet.tree'>>[1]['under'] = null) =>
  t.ask('fleet.tree', { under, filter });
type Node = OutputOf<'fleet.tree'>['nodes'][number];
const under = (node: Node) => ({ kind: node.kind, id: node.id }) as never;

/** Ids of all segments that the filtered tree leads to, with every branch's count checked on the way. */
async function reached(filter: TreeFilter): Promise<string[]> {
  const ids: string[] = [];
  const top = await tree(filter);
  let counted = 0;
  for (const substation of top.nodes) {
    const feeders = (await tree(filter, under(substation))).nodes;
    expect(feeders.length, substation.name).toBe(substation.children);
    expect(feeders.reduce((n, feeder) => n + feeder.segments, 0)).toBe(substation.segments);
    for (const feeder of feeders) {
      const { nodes } = await tree(filter, under(feeder));
      expect(nodes.length, feeder.name).toBe(feeder.segments);
      expect(nodes.reduce((km, node) => km + node.lengthKm, 0)).toBeCloseTo(feeder.lengthKm, 9);
      ids.push(...nodes.map((node) => node.id));
    }
    counted += substation.segments;
  }
  expect(counted).toBe(top.passing);
  return ids.sort();
}

beforeAll(async () => {
  t = await aCore();
  await t.ask('demo.write', { segments: 120, seed: 3 });
  // The demo's utility has tested every cable at least once: one that is new in its duct has not been.
  const [first] = (await t.ask('ranking.feeders', {})).feeders;
  const values = { name: 'Mill Lane 3', length: '640 m', insulation: 'EPR', phases: 'ABC', rated_kv: '15' };
  await t.ask('segment.add', { feederId: first!.id, ownerId: 'ML-3', values });
  const { segments } = await t.ask('fleet.passing', { under: null, filter: { retired: true } });
  pages = [];
  for (const { id } of segments) pages.push(await t.ask('segment.page', { segmentId: id }));
  const due = await t.ask('retest.due', { state: 'overdue', count: 1000 });
  overdue = new Set(due.rows.map((row) => row.segmentId));
});
afterAll(() => t.close());

const year = (page: SegmentPage) => (page.energisedOn === null ? null : Number(page.energisedOn.slice(0, 4)));
const words: readonly (readonly [string, TreeFilter, (page: SegmentPage) => boolean])[] = [
  ['insulation', { insulation: ['PILC', 'XLPE'] }, (page) => ['PILC', 'XLPE'].includes(page.insulation)],
  ['rated class', { ratedKv: [25] }, (page) => page.ratedKv === 25],
  [
    'years in service',
    { energisedFrom: 1974, energisedTo: 1990 },
    (page) => year(page) !== null && year(page)! >= 1974 && year(page)! <= 1990,
  ],
  ['tested', { tested: true }, (page) => page.tests.length > 0],
  ['never tested', { tested: false }, (page) => page.tests.length === 0],
  ['overdue', { overdue: true }, (page) => overdue.has(page.id)],
  ['growing for sure', { growing: true }, ({ standing: s }) => s.known && s.growthPctPerYr.lo > 0],
  [
    'above the limit',
    { aboveLimit: true },
    ({ standing: s }) => s.known && s.limitNsPerKm !== null && s.levelNsPerKm.value > s.limitNsPerKm,
  ],
  ['text', { text: ' MILL ' }, (page) => `${page.name}\n${page.ownerId}`.toLowerCase().includes('mill')],
  [
    'several words together',
    { insulation: ['HMWPE', 'XLPE'], growing: true, energisedTo: 1995 },
    ({ standing: s, ...page }) =>
      ['HMWPE', 'XLPE'].includes(page.insulation) &&
      s.known &&
      s.growthPctPerYr.lo > 0 &&
      page.energisedOn !== null &&
      page.energisedOn < '1996',
  ],
];
test.each(words)('%s: every branch counts what passes, and leads to those segments only', async (_, filter, holds) => {
  const expected = pages.filter((page) => page.retiredOn === null && holds(page)).map((page) => page.id as string);
  expect(await reached(filter)).toEqual(expected.sort());
});

test('each of these words leaves some segments out and some in, so that none of them holds by chance', () => {
  const inService = pages.filter((page) => page.retiredOn === null);
  for (const [name, , holds] of words) {
    const n = inService.filter(holds).length;
    expect(n, name).toBeLessThan(inService.length);
    expect(n, name).toBeGreaterThan(0);
  }
});

test('retired segments are shown where they are asked for, and counted in the whole', async () => {
  const retired = pages.filter((page) => page.retiredOn !== null).length;
  expect(retired).toBeGreaterThan(0);
  expect((await tree({})).of).toBe(pages.length - retired);
  expect((await tree({ retired: true })).passing).toBe(pages.length);
  expect((await reached({ retired: true })).length).toBe(pages.length);
});

test('the branch of a filter lists what passes under it, as many as are asked for', async () => {
  const filter: TreeFilter = { insulation: ['PILC'] };
  const [first] = (await tree(filter)).nodes;
  const all = await t.ask('fleet.passing', { under: under(first!), filter });
  expect(all.total).toBe(first!.segments);
  expect(all.segments.length).toBe(first!.segments);
  const some = await t.ask('fleet.passing', { under: under(first!), filter, count: 1 });
  expect([some.segments.length, some.total]).toEqual([1, first!.segments]);
});

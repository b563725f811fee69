import { afterAll, beforeAll, expect, test } from 'vitest';
import type { InputOf } from '../../core/contract/asks/index.ts';
import { rankingOrders } from '../../core/contract/asks/ranking.ts';
import type { RankingRow } from '../../core/contract/shapes/standing.ts';
import type { Desk } from '../../core/tasks/desk.ts';
import type { Frame } from '../../core/tasks/frame.ts';
import { readyOrders, wholeOrder } from '../../core/tasks/ranking-orders.ts';
import type { Standings } from '../../core/tasks/standings.ts';
import { aCore, type TestCore } from './a-core.ts';

type Filter = NonNullable<InputOf<'ranking.page'>['filter']>;
type Order = (typeof rankingOrders)[number];

let t: TestCore;
beforeAll(async () => {
  t = await aCore();
  await t.ask('demo.write', { segments: 150, seed: 11 });
});
afterAll(() => t.close());

const pageOf = async (order: Order, descending: boolean, filter: Filter = {}): Promise<readonly RankingRow[]> =>
  (await t.ask('ranking.page', { order, descending, filter, count: 1000 })).rows;

/** What a row is sorted by, as the row itself shows it: null where it has no such number. */
const shown: Readonly<Record<Exclude<Order, 'name'>, (row: RankingRow) => number | null>> = {
  growth: (row) => row.growthPctPerYr?.value ?? null,
  level: (row) => row.levelNsPerKm,
  pExceed5y: (row) => row.pExceed5y,
  crossing: (row) => (row.crossing?.year == null ? null : -row.crossing.year),
  tests: (row) => row.tests,
  energised: (row) => row.energisedYear,
  length: (row) => row.lengthM,
};

async function expectEveryOrder(): Promise<void> {
  for (const order of rankingOrders)
    for (const descending of [true, false]) {
      const rows = await pageOf(order, descending);
      if (order === 'name') {
        const names = rows.map((row) => row.name);
        const risen = [...names].sort((a, b) => a.localeCompare(b, 'en', { numeric: true }));
        expect(names).toEqual(descending ? risen : risen.reverse());
        continue;
      }
      const numbers = rows.map(shown[order]);
      const known = numbers.filter((each) => each !== null);
      expect(known, order).toEqual([...known].sort((a, b) => (descending ? b - a : a - b)));
      expect(numbers.slice(known.length).every((each) => each === null)).toBe(true);
    }
}

/** Lets the core do what it put off. */
function idleOut(): number {
  let parts = 1;
  while (t.core.idle()) parts++;
  return parts;
}

test('orders made while nothing is asked are those that a page asks for', async () => {
  await pageOf('growth', true);
  idleOut();
  await expectEveryOrder();
  expect(t.core.idle()).toBe(false);
});

test('an order asked for between two steps of making it ready is the one that stays', () => {
  const n = 40;
  const numbers = Float64Array.from({ length: n }, (_, i) => (i * 7919) % 31);
  const rows = Array.from({ length: n }, (_, i) => ({
    name: `Row ${(i * 17) % n}`,
    insulation: 'EPR',
    ratedKv: i % 3 === 0 ? null : 25,
    lengthM: numbers[i]!,
  }));
  const frame = { rows } as unknown as Frame;
  for (let done = 0; done < 60; done++) {
    const standings = {
      retired: new Uint8Array(n),
      rank: new Int32Array(n).fill(1),
      growth: numbers,
      level: numbers,
      pExceed5: numbers,
      crossingYear: numbers,
      tests: numbers,
      energisedYear: numbers,
    } as unknown as Standings;
    const works: Iterator<void>[] = [];
    readyOrders(
      { whenIdle: (_name: string, work: Iterator<void>) => works.push(work) } as unknown as Desk,
      standings,
      frame,
    );
    for (let k = 0; k < done; k++) works[0]!.next();
    const asked = rankingOrders.map((by) => wholeOrder({ by, descending: true }, standings, frame));
    while (!works[0]!.next().done);
    rankingOrders.forEach((by, k) => {
      expect(wholeOrder({ by, descending: true }, standings, frame)).toBe(asked[k]);
    });
    const [growth] = [...asked[rankingOrders.indexOf('growth')]!].map((place) => numbers[place]!);
    expect(growth).toBe(30);
  }
});

test('after an edit every order is that of the new revision, made ready or not', async () => {
  const [longest] = await pageOf('length', true);
  const [first] = await pageOf('name', true);
  await t.ask('segment.edit', { segmentId: longest!.id, field: 'name', value: 'Zz last of all 9' });
  await t.ask('segment.edit', { segmentId: longest!.id, field: 'length', value: '1 m' });
  await expectEveryOrder();
  expect((await pageOf('length', false))[0]!.id).toBe(longest!.id);
  expect((await pageOf('name', false))[0]!.id).toBe(longest!.id);
  idleOut();
  await t.ask('segment.edit', { segmentId: first!.id, field: 'name', value: 'Zz last of all 10' });
  await pageOf('growth', true);
  idleOut();
  await expectEveryOrder();
  // Ten comes after nine.
  expect((await pageOf('name', false)).slice(0, 2).map((row) => row.id)).toEqual([first!.id, longest!.id]);
});

test('a filter keeps the rows that fit it, in the order of all', async () => {
  const { substations, insulations, ratedKv } = await t.ask('ranking.choices', {});
  const { feeders } = await t.ask('ranking.feeders', { substationId: substations[0]!.id });
  expect(feeders.length).toBeGreaterThan(0);
  expect(feeders.every((feeder) => feeder.substationId === substations[0]!.id)).toBe(true);
  const every = await t.ask('ranking.feeders', {});
  expect(every.feeders.filter((feeder) => feeder.substationId === substations[0]!.id)).toEqual(feeders);
  const filters: readonly (readonly [Filter, (row: RankingRow) => boolean])[] = [
    [{ insulation: insulations.slice(0, 2) }, (row) => insulations.slice(0, 2).includes(row.insulation)],
    [{ ratedKv: ratedKv.slice(0, 1) }, (row) => row.ratedKv === ratedKv[0]],
    [{ only: 'growing' }, (row) => (row.growthPctPerYr?.lo ?? 0) > 0],
    [{ only: 'exceeding' }, (row) => (row.pExceed5y ?? 0) > 0.5],
    [
      { only: 'growing', ratedKv: ratedKv.slice(0, 1) },
      (row) => (row.growthPctPerYr?.lo ?? 0) > 0 && row.ratedKv === ratedKv[0],
    ],
    [{ substationId: substations[0]!.id }, (row) => row.substation === substations[0]!.name],
    [
      { substationId: substations[0]!.id, feederId: feeders[0]!.id, insulation: insulations },
      (row) => row.substation === substations[0]!.name && row.feeder === feeders[0]!.name,
    ],
    [{ text: 'RO' }, (row) => `${row.name}\n${row.ownerId}`.toLowerCase().includes('ro')],
  ];
  for (const order of ['growth', 'length', 'name'] as const) {
    const all = await pageOf(order, true);
    for (const [filter, fits] of filters) {
      const rows = await pageOf(order, true, filter);
      expect(rows.length, JSON.stringify(filter)).toBeGreaterThan(0);
      expect(
        rows.map((row) => row.id),
        JSON.stringify(filter),
      ).toEqual(all.filter(fits).map((row) => row.id));
    }
  }
});

test('of those that cross the limit in one year the likelier to stand above it comes first, and those not within sight likewise', async () => {
  const rows = await pageOf('crossing', true);
  const chances = (some: readonly RankingRow[]) => some.map((row) => row.pExceed5y).filter((p) => p !== null);
  const unseen = chances(rows.filter((row) => row.crossing?.year == null));
  const soonest = rows[0]!.crossing!.year;
  const now = chances(rows.filter((row) => row.crossing?.year === soonest));
  for (const alike of [now, unseen]) {
    expect(new Set(alike).size).toBeGreaterThan(1);
    expect(alike).toEqual([...alike].sort((a, b) => b - a));
  }
  const risen = chances((await pageOf('crossing', false)).filter((row) => row.crossing?.year === soonest));
  expect(risen).toEqual([...now].reverse());
});

import Database from 'better-sqlite3';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { AskName, InputOf } from '../../core/contract/asks/index.ts';
import { type Core, openCore } from '../../core/index.ts';
import { onTheSpotSegments } from '../../core/tasks/standings.ts';
import { migrations } from '../../migrations/index.ts';
import { aCore, type TestCore } from './a-core.ts';

// A large fleet is ranked anew for a minute or two after every edit. Meanwhile a window goes on showing what it showed,
// and says so; whoever prints or computes never gets the ranking of before.
let writer: TestCore;
let shown: Core;
let strict: Core;
const now = '2026-06-30T12:00:00.000Z';

beforeAll(async () => {
  writer = await aCore({ now });
  await writer.ask('demo.write', { segments: onTheSpotSegments + 50, seed: 3 });
  const reader = (showsBefore: boolean) =>
    openCore(writer.file, { migrations, now: () => now, who: 'a reader', readOnly: true, showsBefore });
  shown = await reader(true);
  strict = await reader(false);
});
afterAll(() => {
  shown.close();
  strict.close();
  writer.close();
});

async function from<N extends AskName>(core: Core, name: N, input: InputOf<N>) {
  const reply = await core.send(name, input);
  if (!reply.ok) throw new Error(`${reply.problem.code}: ${reply.problem.message}`);
  return reply.value;
}
const behind = async () => (await from(shown, 'fleet.info', {})).rankingBehind;

test('an edit leaves the ranking as it was shown until it is made again', async () => {
  await expect(from(shown, 'ranking.page', {})).rejects.toThrow('not-ready');
  expect(await behind()).toBe(false);
  await writer.ask('ranking.make', {});
  const before = await from(shown, 'ranking.page', { count: 100 });
  expect(before.rows.some((row) => row.highPhase !== null)).toBe(true);
  expect(await behind()).toBe(false);

  const [edited, tested, ...others] = before.rows;
  await writer.ask('segment.edit', { segmentId: edited!.id, field: 'length', value: '5000 m', why: 'measured' });
  await writer.ask('retest.record', {
    segmentId: tested!.id,
    testedOn: '2026-06-29',
    insulationTempC: 14,
    instrumentId: null,
    crew: null,
    readings: [{ phase: 'A', voltageKv: 20, dwellMin: 15, leakage: 900, leakageUnit: 'uA', outcome: 'withstood' }],
  });
  expect(await behind()).toBe(true);
  const meanwhile = await from(shown, 'ranking.page', { count: 100 });
  const ranks = (page: typeof before) =>
    page.rows.map((row) => [row.id, row.rank, row.rankLastYear, row.growthPctPerYr, row.levelNsPerKm, row.tests]);
  expect(ranks(meanwhile)).toEqual(ranks(before));
  // What is not told by the ranking is as it is.
  expect(meanwhile.rows[0]!.lengthM).toBe(5000);
  expect(meanwhile.rows.slice(2)).toEqual(others);
  expect((await from(shown, 'fleet.tree', { under: null })).ranked).toBe(true);
  expect((await from(shown, 'segment.page', { segmentId: edited!.id })).standing).toMatchObject({ known: true });
  // What each of its tests counted for is not known before the new one has been counted.
  await expect(from(shown, 'segment.page', { segmentId: tested!.id })).rejects.toThrow('not-ready');
  // Who prints, and the command line, are given no ranking of before.
  await expect(from(strict, 'ranking.page', {})).rejects.toThrow('not-ready');
  await expect(from(shown, 'retest.brief', { segment: others[0]!.ownerId })).rejects.toThrow('not-ready');
  expect((await from(strict, 'fleet.info', {})).rankingBehind).toBe(false);

  await writer.ask('ranking.make', {});
  expect(await behind()).toBe(false);
  const after = await from(shown, 'ranking.page', { count: 100 });
  expect(after).toEqual(await from(strict, 'ranking.page', { count: 100 }));
  expect(ranks(after)).not.toEqual(ranks(before));
});

test('where segments are others there is nothing to go on showing', async () => {
  const { rows } = await from(shown, 'ranking.page', { count: 1 });
  const { feeder } = await from(shown, 'segment.page', { segmentId: rows[0]!.id });
  await writer.ask('segment.add', {
    feederId: feeder.id,
    ownerId: 'A-0',
    values: { name: 'A new one', length: '400 m', insulation: 'EPR', phases: 'ABC' },
  });
  expect(await behind()).toBe(false);
  await expect(from(shown, 'ranking.page', {})).rejects.toThrow('not-ready');
});

test('what is due is read while nothing is asked, where it is counted', async () => {
  await writer.ask('retest.make', {});
  const reader = () => openCore(writer.file, { migrations, now: () => now, who: 'a reader', readOnly: true });
  const [idle, busy] = [await reader(), await reader()];
  for (const core of [idle, busy]) await from(core, 'fleet.tree', { under: null });
  while (idle.idle());
  const answer = await from(shown, 'retest.page', { count: 20 });
  const register = { from: '2024-01-01', to: '2026-06-30', count: 20 };
  const registered = await from(shown, 'evidence.register', register);
  const file = new Database(writer.file);
  file.exec("delete from kept where name like 'tests due%'");
  file.close();
  expect(await from(idle, 'retest.page', { count: 20 })).toEqual(answer);
  expect(await from(idle, 'evidence.register', register)).toEqual(registered);
  await expect(from(busy, 'retest.page', { count: 20 })).rejects.toThrow('not-ready');
  for (const core of [idle, busy]) core.close();
});

test('a ranking given up in the middle of reading leaves nothing behind: the next is made', async () => {
  let looks = 0;
  for (const most of [0, 1, 2, 3, 4, 5, 6]) {
    looks = 0;
    const given = await writer.core.send('ranking.make', {}, { stopped: () => ++looks > most });
    expect(given).toMatchObject({ ok: false, problem: { code: 'cancelled' } });
  }
  await writer.ask('ranking.make', {});
  expect((await from(shown, 'ranking.page', { count: 1 })).rows).toHaveLength(1);
});

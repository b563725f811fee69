import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { scaleOf } from '../../core/tasks/ranking-rows.ts';
import type { Standings } from '../../core/tasks/standings.ts';
import { crosses } from '../../renderer/words/standing.ts';
import { aCore, type TestCore } from './a-core.ts';

let t: TestCore;
beforeAll(async () => {
  t = await aCore();
  await t.ask('demo.write', { segments: 120, seed: 3 });
});
afterAll(() => t.close());

test('the ranking has the columns that other programs read, a row for each ranked segment, fastest first', async () => {
  const csv = join(t.folder, 'rank.csv');
  const list = await t.ask('ranking.list', { csv });
  const lines = readFileSync(csv, 'utf8').trim().split('\n');
  expect(lines[0]).toBe(
    'rank,segment_id,growth_pct_per_yr,growth_lo,growth_hi,p_growing,level_ns_per_km,tests,p_exceed_5y,crossing_year',
  );
  const rows = lines.slice(1).map((line) => line.split(','));
  expect(rows.length).toBe(list.fit.ranked);
  expect(rows.map((row) => Number(row[0]))).toEqual(rows.map((_, k) => k + 1));
  const growth = rows.map((row) => Number(row[2]));
  expect(growth).toEqual([...growth].sort((a, b) => b - a));
  for (const row of rows) {
    expect(Number(row[3]), row[1]!).toBeLessThan(Number(row[4]));
    expect(Number(row[5])).toBeGreaterThanOrEqual(0);
    expect(Number(row[5])).toBeLessThanOrEqual(1);
    expect(Number(row[7])).toBeGreaterThan(0);
  }
});

test('the command line says of a crossing what the window says', async () => {
  const { rows } = await t.ask('ranking.list', { top: 1000 });
  const page = await t.ask('ranking.page', { count: 1000 });
  const shown = new Map(page.rows.map((row) => [row.ownerId, crosses(row.crossing, row.strip.now)]));
  expect(new Set(rows.map((row) => row.crosses)).size).toBeGreaterThan(3);
  for (const row of rows) expect(row.crosses, row.name).toBe(shown.get(row.segment));
});

test('a segment counts as left out only readings that are not in the fit: neither floors nor earlier steps', async () => {
  const { rows } = await t.ask('ranking.page', { count: 1000 });
  const said = { floor: 0, step: 0 };
  for (const { id, name } of rows.filter((row) => row.rank !== null)) {
    const { standing, tests } = await t.ask('segment.page', { segmentId: id });
    const readings = tests.flatMap((test) => test.readings);
    const aside = readings.filter(({ use }) => use === 'left out' || use === 'duplicate');
    const steps = aside.filter(({ useBecause }) => useBecause?.startsWith('a later reading of the same phase'));
    expect(standing.known && standing.leftOutReadings, name).toBe(aside.length - steps.length);
    said.floor += readings.filter(({ use }) => use === 'below the floor').length;
    said.step += steps.length;
  }
  expect(said.floor).toBeGreaterThan(0);
  expect(said.step).toBeGreaterThan(0);
});

test('every segment with a usable reading is ranked, and the others say why not', async () => {
  const list = await t.ask('ranking.list', {});
  const page = await t.ask('ranking.page', { count: 1000 });
  for (const row of page.rows) {
    if (row.rank === null) expect(row.because, row.name).toBeTruthy();
    else expect(row.growthPctPerYr, row.name).not.toBeNull();
  }
  expect(page.rows.filter((row) => row.rank !== null).length).toBe(list.fit.ranked);
  expect(page.unranked).toBe(list.unranked.length);
});

test('an as-of date hides what came later', async () => {
  const now = await t.ask('ranking.list', {});
  const then = await t.ask('ranking.list', { asOf: '2016-12-31' });
  expect(then.fit.events).toBeLessThan(now.fit.events);
  expect(then.fit.asOf).toBe('2016-12-31');
});

test('a page is sorted and filtered as asked, and segments without the number come last either way', async () => {
  for (const descending of [true, false]) {
    const { rows } = await t.ask('ranking.page', { order: 'level', descending, count: 1000 });
    const levels = rows.map((row) => row.levelNsPerKm);
    const known = levels.filter((level) => level !== null);
    expect(known).toEqual([...known].sort((a, b) => (descending ? b - a : a - b)));
    expect(levels.slice(known.length).every((level) => level === null)).toBe(true);
  }
  const only = await t.ask('ranking.page', { filter: { insulation: ['PILC'] }, count: 1000 });
  expect(only.rows.length).toBeGreaterThan(0);
  expect(only.rows.every((row) => row.insulation === 'PILC')).toBe(true);
  const growing = await t.ask('ranking.page', { filter: { only: 'growing' }, count: 1000 });
  const every = await t.ask('ranking.page', { count: 1000 });
  expect(growing.rows.length).toBe(every.rows.filter((row) => row.growthPctPerYr && row.growthPctPerYr.lo > 0).length);
  const exceeding = await t.ask('ranking.page', { filter: { only: 'exceeding' }, count: 1000 });
  expect(exceeding.rows.length).toBe(every.rows.filter((row) => (row.pExceed5y ?? 0) > 0.5).length);
  const { feeders } = await t.ask('ranking.feeders', {});
  const feeder = feeders[0]!;
  const ofFeeder = await t.ask('ranking.page', { filter: { feederId: feeder.id }, count: 1000 });
  expect(ofFeeder.rows.every((row) => row.feeder === feeder.name)).toBe(true);
  const middle = await t.ask('ranking.page', { from: 10, count: 5 });
  const whole = await t.ask('ranking.page', { count: 20 });
  expect(middle.rows.map((row) => row.id)).toEqual(whole.rows.slice(10, 15).map((row) => row.id));
});

test('the segment page agrees with the ranking and carries the cautions', async () => {
  const { rows } = await t.ask('ranking.page', { count: 3 });
  for (const row of rows) {
    const page = await t.ask('segment.page', { segmentId: row.id });
    expect(page.standing.known && page.standing.rank).toBe(row.rank);
    expect(page.standing.known && page.standing.growthPctPerYr).toEqual(row.growthPctPerYr);
    expect(page.tests.length).toBeGreaterThanOrEqual(row.tests);
    expect(page.forecastCaution).toMatch(/No field test predicts/);
    const aged = page.ageYears !== null && page.ageYears > 5;
    if (aged && ['XLPE', 'TR-XLPE', 'EPR', 'HMWPE'].includes(page.insulation))
      expect(page.directVoltageCaution, page.name).toMatch(/IEEE 400/);
  }
});

test('the tree leads from substations to every segment, and the finder finds each by four letters of its name', async () => {
  const top = await t.ask('fleet.tree', { under: null });
  let segments = 0;
  for (const substation of top.nodes) {
    const feeders = await t.ask('fleet.tree', { under: { kind: 'substation', id: substation.id as never } });
    expect(feeders.nodes.length).toBe(substation.children);
    for (const feeder of feeders.nodes)
      segments += (
        await t.ask('fleet.tree', { under: { kind: 'feeder', id: feeder.id as never }, filter: { retired: true } })
      ).nodes.length;
  }
  const info = await t.ask('fleet.info', {});
  expect(segments).toBe(info.counts.segments);
  const { rows } = await t.ask('ranking.page', { count: 10, order: 'name', descending: false });
  for (const row of rows) {
    const { hits } = await t.ask('fleet.find', { text: row.name, count: 20 });
    expect(hits[0]?.id, row.name).toBe(row.id);
    const few = await t.ask('fleet.find', { text: row.name.slice(0, 4).toUpperCase(), count: 100 });
    expect(
      few.hits.some((hit) => hit.id === row.id),
      row.name,
    ).toBe(true);
  }
});

// One wide interval took the scale to eight times the reach of nearly all, and squeezed these into an eighth of it.
test('the scale of the intervals reaches the farthest of them, but not one that lies well beyond nearly all', async () => {
  const { rows, scale } = await t.ask('ranking.page', { count: 1000 });
  const known = rows.map((row) => row.growthPctPerYr).filter((growth) => growth !== null);
  expect(known.length).toBeGreaterThan(80);
  const beyond = known.filter(({ lo, hi }) => lo < scale.lo || hi > scale.hi);
  expect(beyond.length).toBeLessThanOrEqual(0.04 * known.length);
  const inside = known.filter(({ hi }) => hi <= scale.lo + (2 / 3) * (scale.hi - scale.lo));
  expect(inside.length).toBeGreaterThan(0.9 * known.length);
  const scaleWith = (his: readonly number[]) =>
    scaleOf({
      order: Int32Array.from(his.keys()),
      growthLo: Float64Array.from(his, (hi) => hi - 10),
      growthHi: Float64Array.from(his),
    } as unknown as Standings);
  const usual = Array.from({ length: 1000 }, (_, k) => k / 50);
  expect(scaleWith([...usual, 25])).toEqual({ lo: -10, hi: 25 });
  const squeezed = scaleWith([...usual, 900]).hi;
  // 19.98 is the farthest of the usual ones.
  expect(squeezed).toBeGreaterThan(1.4 * 19.98);
  expect(squeezed).toBeLessThan(1.5 * 19.98);
});

test('a finding takes a verdict with a reason, kept in the ledger; without a reason it is refused', async () => {
  const { rows } = await t.ask('ranking.page', { count: 1, order: 'tests' });
  const page = await t.ask('segment.page', { segmentId: rows[0]!.id });
  const { voltageKv, leakageUa } = page.tests[0]!.readings[0]!;
  const slipped = join(t.folder, 'tests.csv');
  writeFileSync(
    slipped,
    `test_id,segment_id,tested_on,phase,method,purpose,voltage_kv,dwell_min,leakage,leakage_unit\nSLIP,${page.ownerId},2026-05-02,A,dc_withstand,maintenance,${voltageKv},15,${leakageUa},mA\n`,
  );
  await t.ask('fleet.import', { paths: [slipped] });
  const before = await t.ask('findings.list', {});
  expect(before.findings.length).toBeGreaterThan(0);
  const { key } = before.findings.find((finding) => finding.testOwnerId === 'SLIP')!;
  await expect(t.ask('finding.decide', { keys: [key], verdict: 'dismissed', reason: ' ' })).rejects.toThrow(
    /bad-input/,
  );
  const revision = (await t.ask('fleet.info', {})).revision;
  await t.ask('finding.decide', { keys: [key], verdict: 'dismissed', reason: 'the crew wrote mA and meant it' });
  const after = await t.ask('findings.list', {});
  expect(after.findings.find((finding) => finding.key === key)?.verdict).toEqual({
    verdict: 'dismissed',
    reason: 'the crew wrote mA and meant it',
    who: 'Ada Thornbury',
    on: '2026-06-30',
    changesNumbers: true,
  });
  expect((await t.ask('fleet.info', {})).revision).toBe(revision + 1);
  expect((await t.ask('evidence.verify', {})).intact).toBe(true);
});

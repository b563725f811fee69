import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { aCore, type TestCore } from './a-core.ts';

// No outside source: the reasons are held against what this test itself did to the invented utility.
const since = '2025-06-30';
let t: TestCore;

interface Csv {
  readonly [column: string]: string;
}
async function ranked(asOf?: string): Promise<Map<string, Csv>> {
  const csv = join(t.folder, 'rank.csv');
  await t.ask('ranking.list', { csv, ...(asOf ? { asOf } : {}) });
  return new Map(rowsOf(csv).map((row) => [row.segment_id!, row]));
}
const rowsOf = (file: string): Csv[] => parse(readFileSync(file, 'utf8'), { columns: true });
const moves = (input: object = {}) => t.ask('ranking.moves', { since, count: 2000, ...input });

beforeAll(async () => {
  t = await aCore();
  await t.ask('demo.write', { segments: 240, seed: 3 });
});
afterAll(() => t.close());

async function importTests(lines: readonly string[]): Promise<void> {
  const file = join(t.folder, 'tests.csv');
  writeFileSync(
    file,
    `test_id,segment_id,tested_on,phase,method,purpose,voltage_kv,dwell_min,leakage,leakage_unit\n${lines.join('\n')}\n`,
  );
  await t.ask('fleet.import', { paths: [file] });
}

describe('what changed in the ranking since an earlier day', () => {
  test('has the ranks and growths that the ranking of each day prints', async () => {
    const [then, now] = [await ranked(since), await ranked()];
    const { rows, scale } = await moves();
    expect(rows.length).toBeGreaterThan(3);
    expect(scale.hi).toBeGreaterThan(scale.lo);
    for (const row of rows) {
      expect(row.rankThen, row.name).toBe(then.has(row.ownerId) ? Number(then.get(row.ownerId)!.rank) : null);
      expect(row.rank, row.name).toBe(now.has(row.ownerId) ? Number(now.get(row.ownerId)!.rank) : null);
      if (row.growthThen) expect(row.growthThen.value).toBeCloseTo(Number(then.get(row.ownerId)!.growth_pct_per_yr), 4);
      expect(row.because.length, row.name).toBeGreaterThan(0);
    }
  });

  test('what the causes did adds up to the change, and its own tests explain most of it where they are the reason', async () => {
    const { rows } = await moves({ since: '2024-06-30' });
    let own = 0;
    let rest = 0;
    for (const { parts, growthThen, growthPctPerYr, reason } of rows) {
      if (!parts) continue;
      const sum = parts.correction + parts.own + parts.clock + parts.fleet;
      expect(sum).toBeCloseTo(growthPctPerYr!.value - growthThen!.value, 9);
      if (reason !== 'test') continue;
      own += Math.abs(parts.own);
      rest += Math.abs(parts.fleet);
    }
    expect(own).toBeGreaterThan(5);
    expect(rest).toBeLessThan(0.4 * own);
  });

  // Growths in the sentences stood a tenth beside those of the column: what the rest of the fleet moved was left unsaid.
  test('sentences end at the growth of the column, or say what is missing to it', async () => {
    const { rows } = await moves({ since: '2024-06-30' });
    const print = (x: number) =>
      x
        .toFixed(1)
        .replace('-', '−')
        .replace(/^−0\.0$/, '0.0');
    let told = 0;
    for (const { because, growthThen, growthPctPerYr, name } of rows) {
      const said = because.join(' ');
      const own = /go from (\S+) to (\S+) % a year/.exec(said);
      const clock = /give (\S+) % a year instead of ([^ ]+)\./.exec(said);
      if (!growthThen || !growthPctPerYr || (!own && !clock)) continue;
      told++;
      if (!said.includes('What the rest of the fleet taught'))
        expect([name, own?.[2] ?? clock![1]]).toEqual([name, print(growthPctPerYr.value)]);
      if (!said.includes('Corrections entered'))
        expect([name, clock?.[2] ?? own![1]]).toEqual([name, print(growthThen.value)]);
    }
    expect(told).toBeGreaterThan(5);
  });

  test('names a test that came in, on which day and how far from what was expected', async () => {
    const { rows } = await t.ask('ranking.page', { from: 80, count: 60 });
    for (const row of rows) {
      const page = await t.ask('segment.page', { segmentId: row.id });
      const last = page.tests[0]!;
      const [a, ...others] = last.readings;
      if (
        page.tests.length < 3 ||
        last.testedOn > since ||
        page.phases !== 'ABC' ||
        others.length !== 2 ||
        a!.belowFloor
      )
        continue;
      await importTests(
        last.readings.map(
          (reading) =>
            `HIGH,${row.ownerId},2026-03-10,${reading.phase},dc_withstand,maintenance,${reading.voltageKv},15,${4 * reading.leakageUa},uA`,
        ),
      );
      const changed = (await moves()).rows.find((each) => each.id === row.id)!;
      expect(changed.reason).toBe('test');
      expect(changed.rank!).toBeLessThan(changed.rankThen!);
      expect(changed.because[0]).toMatch(
        /^Its test of 2026-03-10 read \d+\.\d times what was expected of that day \(\+[2-6]\.\d standard deviations\)/,
      );
      expect(changed.parts!.own).toBeGreaterThan(0.5 * (changed.growthPctPerYr!.value - changed.growthThen!.value));
      const only = await moves({ reason: 'test' });
      expect(only.rows.every((each) => each.reason === 'test')).toBe(true);
      expect(only.total).toBe(only.counts.find((each) => each.reason === 'test')!.moves);
      return;
    }
    expect.unreachable('no segment with three tests and none in the period');
  });

  test('sets a corrected reading against the number that stood before its correction', async () => {
    const before = await ranked(since);
    const { rows } = await t.ask('ranking.page', { from: 30, count: 60 });
    for (const row of rows) {
      const page = await t.ask('segment.page', { segmentId: row.id });
      const last = page.tests[0]!;
      if (last.testedOn > since || last.readings.length !== 3 || last.readings.some((r) => r.belowFloor)) continue;
      const file = join(t.folder, 'correction.csv');
      writeFileSync(
        file,
        `test_id,segment_id,tested_on,phase,method,purpose,voltage_kv,dwell_min,leakage,leakage_unit\n${last.readings
          .map(
            (r) =>
              `${last.ownerId},${row.ownerId},${last.testedOn},${r.phase},${last.method},maintenance,${r.voltageKv},15,${r.leakageUa / 2},uA`,
          )
          .join('\n')}\n`,
      );
      await t.ask('fleet.import', { paths: [file] });
      const answer = await moves();
      const changed = answer.rows.find((each) => each.id === row.id)!;
      expect(changed.reason).toBe('correction');
      expect(changed.rankThen).toBe(Number(before.get(row.ownerId)!.rank));
      expect(changed.growthThen!.value).toBeCloseTo(Number(before.get(row.ownerId)!.growth_pct_per_yr), 4);
      expect(changed.parts!.correction).toBeLessThan(0);
      expect(changed.because.join(' ')).toContain(`Its test of ${last.testedOn} was corrected on 2026-06-30.`);
      expect(answer.basis).toContain('before their corrections and the verdicts');
      return;
    }
    expect.unreachable('no segment to correct');
  });

  test('tells a segment that went out of the ranking from one that moved', async () => {
    const { rows } = await t.ask('ranking.page', { from: 3, count: 1 });
    await t.ask('segment.retire', { segmentId: rows[0]!.id, retiredOn: '2026-02-01', reason: 'replaced by a spare' });
    const gone = (await moves()).rows.find((each) => each.id === rows[0]!.id)!;
    expect(gone).toMatchObject({ reason: 'gone', rank: null, growthPctPerYr: null, parts: null });
    expect(gone.because[0]).toBe('Retired on 2026-02-01.');
  });

  test('prints moves with reasons and writes them all as CSV', async () => {
    const movesCsv = join(t.folder, 'moves.csv');
    const list = await t.ask('ranking.list', { since, movesCsv, top: 3 });
    expect(list.moves!.sentence).toMatch(/^From 2025-06-30 to 2026-06-30, of \d+ segments/);
    expect(list.moved.length).toBe(3);
    const rows = rowsOf(movesCsv);
    expect(rows.length).toBe((await moves()).total);
    const printed = list.moved[0]!;
    const row = rows.find((each) => each.segment_id === printed.segment)!;
    expect(row.because).toBe(printed.because);
    expect(Number(row.rank_then || 0)).toBe(printed.rankThen ?? 0);
    const asUsual = await t.ask('ranking.list', {});
    expect(asUsual.moves).toBeNull();
    expect(asUsual.moved).toEqual([]);
  });

  test('wants an earlier day, and an approved plan where one is asked for', async () => {
    await expect(moves({ since: '2026-06-30' })).rejects.toThrow(/bad-input: Name a day before 2026-06-30/);
    expect((await moves()).approvedPlanOn).toBeNull();
    await expect(t.ask('ranking.list', { sincePlan: true })).rejects.toThrow(/bad-input: No plan was approved/);
  });

  test('is cancelled in the middle of its fits, and nothing is kept of them', async () => {
    const reply = await t.core.send('ranking.moves', { since: '2021-01-01' }, { stopped: () => true });
    expect(reply).toMatchObject({ ok: false, problem: { code: 'cancelled' } });
    expect((await moves({ since: '2021-01-01' })).since).toBe('2021-01-01');
  });
});

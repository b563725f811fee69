import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { AskName, InputOf } from '../../core/contract/asks/index.ts';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';

const folder = mkdtempSync(join(tmpdir(), 'period-'));
const file = join(folder, 'demo.fleet');
let core: Core;
let db: Database.Database;
const now = () => '2026-03-01T09:00:00.000Z';

beforeAll(async () => {
  core = await openCore(file, { migrations, now, who: 'Ada Approver', create: true });
  await got('demo.write', { segments: 120, seed: 2 });
  db = new Database(file, { readonly: true });
});
afterAll(() => {
  db.close();
  core.close();
  rmSync(folder, { recursive: true, force: true });
});

async function got<N extends AskName>(name: N, input: InputOf<N>) {
  const reply = await core.send(name, input);
  if (!reply.ok) throw new Error(`${name}: ${reply.problem.message}`);
  return reply.value;
}
const number = (sql: string, ...values: unknown[]) =>
  db
    .prepare(sql)
    .pluck()
    .get(...values) as number;
const period = { from: '2024-01-01', to: '2024-12-31' };
const inPeriod = "e.superseded_by_id is null and e.tested_on between '2024-01-01' and '2024-12-31'";

describe('compliance of the invented utility', () => {
  test('counts every test of the period once, by substation and by feeder to the same sums', async () => {
    const made = await got('evidence.compliance', { ...period, count: 1000 });
    const done = made.rows.filter((row) => row.doneOn !== null && row.doneOn >= period.from && row.doneOn <= period.to);
    const days =
      number(`select count(*) from (select distinct e.segment_id, e.tested_on from test_event e join segment s on s.id = e.segment_id
      where ${inPeriod} and e.tested_on > coalesce(s.energised_on, '')
        and exists (select 1 from test_event p where p.segment_id = e.segment_id and p.tested_on < e.tested_on
          union all select 1 where s.energised_on < e.tested_on))`);
    expect(done).toHaveLength(days);
    for (const groups of [made.bySubstation, made.byFeeder])
      for (const key of ['due', 'onTime', 'early', 'late', 'missing', 'excused', 'open'] as const)
        expect(groups.reduce((sum, group) => sum + group.counts[key], 0)).toBe(made.total[key]);
    expect(made.total.due).toBe(made.rowsTotal);
    expect(made.rules).toMatchObject([{ version: 0, set: false }]);
    expect(made.caution).toMatch(/IEEE 400/);
  });

  test('follows the owner’s rule from the day it is in force, and an excuse from the moment it is given', async () => {
    const before = await got('evidence.compliance', { ...period, status: 'missing' });
    const first = before.rows[0]!;
    await got('excuse.add', { segmentId: first.segmentId, dueOn: first.dueOn, reason: 'river crossing under water' });
    const after = await got('evidence.compliance', { ...period, status: 'excused' });
    expect(after.rows).toMatchObject([
      { segment: first.segment, excuse: { reason: 'river crossing under water', by: 'Ada Approver', at: now() } },
    ]);
    expect(after.total.missing).toBe(before.total.missing - 1);
    const rule = { kind: 'retest interval' as const, cases: [], otherwiseMonths: 600, earlyDays: 0, graceDays: 0 };
    const words = 'Every segment every fifty years.';
    await got('policy.setRetest', { rule, words, source: 'the board', inForceFrom: '2024-07-01', reason: 'less work' });
    const ruled = await got('evidence.compliance', { ...period, count: 1000 });
    expect(new Set(ruled.rows.filter((row) => row.dueOn < '2024-07-01').map((row) => row.rule))).toEqual(
      new Set(['our default, edition 1']),
    );
    // A test done before the rule was in force stays judged by the rule of its day.
    const later = ruled.rows.filter((row) => row.dueOn >= '2024-07-01' && (row.doneOn ?? '9999') >= '2024-07-01');
    expect(later.length).toBeGreaterThan(0);
    expect(new Set(later.map((row) => row.rule))).not.toContain('our default, edition 1');
    const versions = (await got('policy.list', {})).versions;
    expect(versions.map((one) => [one.version, one.set, one.by])).toEqual([
      [0, false, null],
      [1, true, 'Ada Approver'],
    ]);
    const csv = join(folder, 'compliance.csv');
    await got('evidence.compliance', { ...period, csv });
    expect(parse(readFileSync(csv), { columns: true })).toHaveLength(ruled.rowsTotal);
  });
});

describe('calibration in the invented utility', () => {
  test('finds the summer in which an instrument was out of calibration, and every test it touches', async () => {
    const whole = { from: '2000-01-01', to: '2030-12-31' };
    const made = await got('evidence.calibration', whole);
    expect(made.lapses.length).toBeGreaterThan(0);
    const out = new Set(made.lapses.flatMap((lapse) => lapse.tests.map((one) => one.ownerId)));
    // The same by SQL: the latest certificate up to the day has run out, and no other still holds.
    const bySql = db
      .prepare(
        `select distinct e.owner_id from test_event e join reading r on r.test_event_id = e.id
         where e.superseded_by_id is null
           and exists (select 1 from calibration c where c.instrument_id = r.instrument_id and c.calibrated_on <= e.tested_on)
           and not exists (select 1 from calibration c where c.instrument_id = r.instrument_id
             and c.calibrated_on <= e.tested_on and coalesce(c.due_on, date(c.calibrated_on, '+12 months')) >= e.tested_on)`,
      )
      .pluck()
      .all();
    expect([...out].sort()).toEqual([...new Set(bySql)].sort());
    expect(made.counts.outOfCalibration).toBe(out.size);
    const { inCalibration, outOfCalibration, unknown } = made.counts;
    expect(inCalibration + outOfCalibration + unknown).toBe(
      number('select count(*) from test_event where superseded_by_id is null'),
    );
  });
});

describe('the ranking without what was made out of calibration', () => {
  test('leaves out just those tests, and changes what they touch', async () => {
    const lapsed = (await got('evidence.calibration', { from: '2000-01-01', to: '2026-03-01' })).counts
      .outOfCalibration;
    const made = await got('calibration.without', { asOf: '2026-03-01' });
    expect(made.tests).toBe(lapsed);
    expect(made.segments.length).toBeGreaterThan(0);
    expect(
      made.segments.some((one) => one.now && one.without && one.now.growthPctPerYr !== one.without.growthPctPerYr),
    ).toBe(true);
  });
});

describe('completeness', () => {
  test('counts for each field the tests that lack it, with who asks for it', async () => {
    const made = await got('evidence.completeness', period);
    expect(made.tests).toBe(number(`select count(*) from test_event e where ${inPeriod}`));
    const lacking = (column: string) =>
      number(
        `select count(*) from test_event e where ${inPeriod} and exists (select 1 from reading r where r.test_event_id = e.id and r.${column} is null)`,
      );
    const field = (held: string) => made.fields.find((one) => one.held.startsWith(held))!;
    expect(field('insulation temperature').missing).toBe(lacking('insulation_temp_c'));
    expect(field('relative humidity').missing).toBe(lacking('humidity_pct'));
    expect(field('dwell of every reading').missing).toBe(lacking('dwell_min'));
    expect(field('crew').missing).toBe(lacking('crew'));
    expect(made.fields.every((one) => one.source.length > 5)).toBe(true);
    expect(made.notHeld.map((one) => one.field)).toContain('outage or permit number');
  });
});

describe('a sample', () => {
  test('has only tests of the period, and as many as there are at most', async () => {
    const made = await got('evidence.sample', { ...period, count: 10_000, seed: 'audit' });
    expect(made.tests).toHaveLength(made.population);
    expect(made.tests.every((one) => one.testedOn.startsWith('2024-'))).toBe(true);
    expect(await core.send('evidence.sample', { from: '2025-01-02', to: '2025-01-01', seed: 'a' })).toMatchObject({
      ok: false,
      problem: { code: 'bad-input', where: 'to' },
    });
  });
});

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import readXlsx from 'read-excel-file/node';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { closeFleet, openFleet } from '../../core/store/open.ts';
import type { PlanTable } from '../../core/store/tables.ts';
import { resultKept } from '../../core/tasks/plan-kept.ts';
import { migrations } from '../../migrations/index.ts';
import { aCore, type TestCore } from './a-core.ts';

let t: TestCore;
beforeAll(async () => {
  t = await aCore();
  await t.ask('demo.write', { segments: 120, seed: 3 });
});
afterAll(() => t.close());

const question = { budget: 900_000, years: 3 };

test('a plan keeps within its budget, and its files carry the same works', async () => {
  const at = (name: string) => join(t.folder, name);
  const plan = await t.ask('plan.make', { ...question, csv: at('p.csv'), xlsx: at('p.xlsx'), pdf: at('p.pdf') });
  expect(plan.items.length).toBeGreaterThan(0);
  for (const year of plan.byYear) expect(year.spent).toBeLessThanOrEqual(year.budget + year.carriedIn + 0.01);
  const lines = readFileSync(at('p.csv'), 'utf8').trim().split('\n');
  expect(lines[0]).toMatch(/^year,segment_id,action,cost,benefit_pv/);
  expect(lines.length - 1).toBe(plan.items.length);
  const cost = lines.slice(1).reduce((sum, line) => sum + Number(line.split(',')[3]), 0);
  expect(cost).toBeCloseTo(plan.spent, 0);
  const sheets = await readXlsx(at('p.xlsx'));
  expect(sheets.find((sheet) => sheet.sheet === 'Projects')!.data.length - 1).toBe(plan.items.length);
  expect(readFileSync(at('p.pdf')).subarray(0, 8).toString()).toBe('%PDF-1.7');
});

test('the same question of the same fleet has the same answer; pinning a work to another year never betters it', async () => {
  const plan = await t.ask('plan.make', question);
  const again = await t.ask('plan.make', question);
  expect(again.asked).toBe(plan.asked);
  expect(again.items).toEqual(plan.items);
  const item = plan.items[0]!;
  const other = item.year === 2027 ? 2029 : 2027;
  const moved = await t.ask('plan.price', {
    before: question,
    after: { ...question, wishes: [{ kind: 'pin', segment: item.segment, year: other }] },
  });
  expect(moved.after.items.find((one) => one.segment === item.segment)?.year).toBe(other);
  const slack = plan.gap.known ? plan.objectivePv * plan.gap.amount * 2 : 0;
  expect(moved.price.known && moved.price.amount).toBeGreaterThanOrEqual(-slack - 1);
});

test('the forecast expects as many failures of each year as the plan does with nothing done', async () => {
  const plan = await t.ask('plan.make', question);
  const { fleetByYear } = await t.ask('forecast.list', { years: 3 });
  expect(plan.byYear).toHaveLength(3);
  expect(fleetByYear.map(({ year, expectedFailures }) => [year, expectedFailures])).toEqual(
    plan.byYear.map(({ year, failuresBefore }) => [year, Number(failuresBefore.mean.toPrecision(3))]),
  );
});

test('an infeasible wish names what makes it so', async () => {
  const plan = await t.ask('plan.make', question);
  const dear = [...plan.items].sort((a, b) => b.cost - a.cost).slice(0, 3);
  const wishes = dear.map((item) => ({ kind: 'must' as const, segment: item.segment, fromYear: 2027, toYear: 2027 }));
  const tight = await t.ask('plan.make', { budget: 1000, years: 2, carryOver: false, wishes });
  expect(tight.status).toBe('infeasible');
  expect(tight.conflicts[0]!.message).toMatch(/budget|2027/i);
});

test('a kept plan can be approved once, by one who may, and is locked then', async () => {
  const made = await t.ask('plan.make', question);
  const { id } = await t.ask('plan.save', { asked: made.asked, name: 'Board, June' });
  const kept = await t.ask('plan.get', { id });
  expect(kept.result.items).toEqual(made.items);
  expect(kept.plan).toMatchObject({ name: 'Board, June', keptBy: 'Ada Thornbury', state: 'draft', stale: false });
  // Keeping another plan and approving this one are no change of the fleet.
  const again = await t.ask('plan.make', question);
  await t.ask('plan.save', { asked: again.asked, name: 'Board, again' });
  await t.ask('plan.approve', { id, reason: 'agreed by the board' });
  await expect(t.ask('plan.approve', { id, reason: 'once more' })).rejects.toThrow(/not-allowed.*locked/);
  const list = await t.ask('plan.list', {});
  const ours = (plans: typeof list.plans) => plans.find((plan) => plan.id === id);
  expect(ours(list.plans)).toMatchObject({ state: 'approved', approvedBy: 'Ada Thornbury', stale: false });
  expect((await t.ask('evidence.verify', {})).intact).toBe(true);
  // Costs set afterwards do not change what was approved: its file is printed as it was made.
  await t.ask('plan.setCost', { name: 'replacementPerSplice', value: 99_000, source: 'a test' });
  expect(ours((await t.ask('plan.list', {})).plans)).toMatchObject({ stale: true });
  const file = await t.ask('plan.file', { asked: made.asked, question: made.question, format: 'csv' });
  expect(file.content.trim().split('\n').length - 1).toBe(made.items.length);
  const spent = file.content
    .trim()
    .split('\n')
    .slice(1)
    .reduce((sum, line) => sum + Number(line.split(',')[3]), 0);
  expect(spent).toBeCloseTo(made.spent, 0);
  const other = { ...made.question, budget: 123_456 };
  await expect(t.ask('plan.file', { asked: 'f'.repeat(64), question: other, format: 'csv' })).rejects.toThrow(
    /moved-on/,
  );
});

test('a cost that the owner sets changes the plan’s consequences and says where it comes from', async () => {
  const before = await t.ask('plan.costs', {});
  expect(before.costs.every((cost) => cost.source.length > 0)).toBe(true);
  await t.ask('plan.setCost', { name: 'repairPerFailure', value: 44_000, source: 'own invoices 2025' });
  const after = await t.ask('plan.costs', {});
  expect(after.costs.find((cost) => cost.name === 'repairPerFailure')).toMatchObject({
    value: 44_000,
    set: true,
    source: 'own invoices 2025',
  });
  const { rows } = await t.ask('ranking.page', { count: 1 });
  const consequence = await t.ask('plan.consequence', { segmentId: rows[0]!.id });
  expect(consequence.parts[0]).toEqual({ name: 'repair', amount: { known: true, value: 44_000 } });
  await expect(t.ask('plan.setCost', { name: 'spliceFailureShare', value: 3, source: 'none' })).rejects.toThrow(
    /cannot be 3/,
  );
});

test('benefit, cost and what cable is still worth make up the net, work by work and in sum', async () => {
  const plan = await t.ask('plan.make', question);
  for (const item of plan.items) {
    expect(item.benefitPv - item.costPv + item.residualPv).toBeCloseTo(item.netPv, 4);
    const parts = item.waiting;
    if (item.year === plan.byYear.at(-1)!.year) expect(parts).toBeNull();
    else expect(parts!.riskKept - parts!.interestSaved - parts!.residualGained).toBeCloseTo(item.costOfWaiting!, 4);
  }
  const sum = (of: (item: (typeof plan.items)[number]) => number) =>
    plan.items.reduce((all, item) => all + of(item), 0);
  expect(sum((item) => item.residualPv)).toBeCloseTo(plan.residualPv, 2);
  expect(sum((item) => item.netPv)).toBeCloseTo(plan.benefitPv - plan.costPv + plan.residualPv, 2);
  const paying = plan.items.filter((item) => item.netPv > 0).length;
  expect(plan.sentence).toContain(`${paying} of the works`);
});

test('a kept plan is printed with the costs and the currency it was made with, whatever is set later', async () => {
  const figureOf = async (asked: string, name: string): Promise<number> => {
    const { content } = await t.ask('plan.file', { asked, question: made.question, format: 'xlsx' });
    const sheets = await readXlsx(Buffer.from(content, 'base64'));
    const rows = sheets.find((sheet) => sheet.sheet === 'Figures')!.data;
    return rows.find((row) => row[0] === name)![1] as number;
  };
  await t.ask('plan.setCost', { name: 'mobilisation', value: 12_000, source: 'contract of 2026' });
  const made = await t.ask('plan.make', { ...question, budget: 800_000 });
  const { id } = await t.ask('plan.save', { asked: made.asked, name: 'Before the new contract' });
  await t.ask('plan.setCost', { name: 'mobilisation', value: 19_000, source: 'contract of 2027' });
  await t.ask('plan.setCurrency', { currency: 'EUR', source: 'the treasurer' });
  expect(await figureOf(made.asked, 'setting up on a feeder, once a year')).toBe(12_000);
  const kept = await t.ask('plan.get', { id });
  expect(kept.result.costs.find((cost) => cost.name === 'mobilisation')).toMatchObject({ value: 12_000, set: true });
  expect(kept.result.currency).toBeNull();
  // A plan kept before its costs were kept with it: the ledger tells how they stood at its revision.
  const { costs, currency, residualPv, ...early } = kept.result;
  const items = early.items.map(({ costPv: _, residualPv: __, waiting: ___, ...item }) => item);
  const row = { result: JSON.stringify({ ...early, items }) } as PlanTable;
  const fleet = await openFleet(t.file, { migrations, readOnly: true });
  const read = resultKept(fleet, row);
  closeFleet(fleet);
  expect(read.costs).toEqual(costs);
  expect(read.currency).toBe(currency);
  expect(read.residualPv).toBeCloseTo(residualPv, 2);
  expect(read.items.map((item) => item.costPv)).toEqual(made.items.map((item) => expect.closeTo(item.costPv, 4)));
});

test('the currency is named once, by one line of the ledger, and stands in every file', async () => {
  expect((await t.ask('plan.costs', {})).currency).toBe('EUR');
  const made = await t.ask('plan.make', question);
  const file = async (format: 'csv' | 'xlsx') =>
    (await t.ask('plan.file', { asked: made.asked, question: made.question, format })).content;
  const [head, first] = (await file('csv')).split('\n').map((line) => line.trim().split(','));
  expect(head!.slice(0, 5)).toEqual(['year', 'segment_id', 'action', 'cost', 'benefit_pv']);
  expect(first![head!.indexOf('currency')]).toBe('EUR');
  const works = (await readXlsx(Buffer.from(await file('xlsx'), 'base64'))).find(
    (sheet) => sheet.sheet === 'Projects',
  )!;
  expect(works.data[0]).toContain('Cost, EUR');
  const before = (await t.ask('ledger.page', { count: 1 })).entries[0]!;
  await t.ask('plan.setCurrency', { currency: null, source: 'undone' });
  const after = (await t.ask('ledger.page', { count: 1 })).entries[0]!;
  expect([after.line - before.line, after.what]).toEqual([1, 'set currency']);
  expect((await t.ask('plan.costs', {})).currency).toBeNull();
  expect((await t.ask('evidence.verify', {})).intact).toBe(true);
});

test('under other terms the plan is made anew: more money never removes less risk, and the board’s paper carries the table', async () => {
  const plan = await t.ask('plan.make', question);
  const paper = async () => {
    const { content } = await t.ask('plan.file', { asked: plan.asked, question: plan.question, format: 'pdf' });
    return Buffer.from(content, 'base64').length;
  };
  const without = await paper();
  const { rows } = await t.ask('plan.whatIf', { question: plan.question });
  const [asked, less, more, ...others] = rows;
  expect(asked).toMatchObject({ words: 'as asked', works: plan.items.length, spent: plan.spent });
  expect(others.map((row) => row.words.replaceAll('\u00a0', ' '))).toEqual([
    'discounted at 3 %',
    'discounted at 7 %',
    'failure rates rise 2 % a year faster',
  ]);
  // Each plan is within half a per cent of the best one.
  expect(less!.riskRemovedPv).toBeLessThanOrEqual(asked!.riskRemovedPv * 1.005);
  expect(asked!.riskRemovedPv).toBeLessThanOrEqual(more!.riskRemovedPv * 1.005);
  expect(less!.spent).toBeLessThanOrEqual(0.8 * question.budget * question.years);
  for (const row of rows) expect(row.failures).toBeGreaterThan(0);
  expect(others[2]!.failures).toBeGreaterThan(asked!.failures);
  expect(await paper()).toBeGreaterThan(without);
});

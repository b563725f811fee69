import { expect, test } from 'vitest';
import { aCore } from './a-core.ts';

/**
 * Mill Lane 8 of the invented utility rose fourteenfold, its section was replaced, and it was then read twice within
 * three months at a ninth of the level. The model called that a growth of −34 % a year: a late push with a minus sign.
 */
test('a section that was replaced does not read as a cable that heals', async () => {
  const t = await aCore({ now: '2026-11-25T12:00:00.000Z' });
  await t.ask('demo.write', {});
  const { rows } = await t.ask('ranking.page', { filter: { text: 'Mill Lane 8' } });
  const page = await t.ask('segment.page', { segmentId: rows[0]!.id });
  expect(page.interventions.some((done) => done.kind === 'section_replaced')).toBe(true);
  const levels = page.tests.map((one) => one.nsPerKmAt20C!).reverse();
  expect(Math.max(...levels)).toBeGreaterThan(5 * levels.at(-1)!);
  expect(rows[0]!.growthPctPerYr!.value).toBeGreaterThan(0);
  t.close();
});

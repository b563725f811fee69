import { describe, expect, test } from 'vitest';
import { makePlan } from '../../core/plan/plan.ts';
import { randomFleet } from './fleet.ts';

// The full size, 2,000 candidates × 10 years within 60 s, is measured by tests/bench/plan.bench.ts; this is a fifth.
describe('a plan of 400 candidates over 10 years', () => {
  for (const [objective, carryOverMax] of [
    ['net-benefit', 0],
    ['risk-removed', Infinity],
  ] as const) {
    test(`for ${objective} is within 1 % of the best and not under the greedy plan`, async () => {
      const fleet = randomFleet({
        seed: 17,
        count: 400,
        feeders: 30,
        years: 10,
        horizonYears: 30,
        budgetShare: 0.015,
        carryOverMax,
      });
      const s = fleet.segments;
      const inputs = {
        ...fleet,
        segments: { ...s, failureProbability: s.failureProbability.map((p) => 1 - (1 - p) ** 20) },
      };
      const plan = await makePlan(inputs, { objective, gapTarget: 0.01 });
      expect(plan.candidates).toBeGreaterThan(300);
      if (!plan.gap.known || !plan.greedyPv.known) throw new Error('both are known without wishes');
      expect(plan.gap.amount).toBeLessThanOrEqual(0.01);
      expect(plan.objectivePv).toBeGreaterThanOrEqual(plan.greedyPv.amount);
      expect(plan.status).toBe('within-gap');
    });
  }

  test('lets in options that its first relaxation left out: opened with 20 candidates it proves the same', async () => {
    const fleet = randomFleet({ seed: 18, count: 150, feeders: 12, years: 6, horizonYears: 30, budgetShare: 0.02 });
    const wide = await makePlan(fleet, { gapTarget: 0.005 });
    const narrow = await makePlan(fleet, { gapTarget: 0.005, candidates: 20 });
    if (!wide.boundPv.known || !narrow.boundPv.known) throw new Error('both have a bound');
    expect(narrow.objectivePv).toBeLessThanOrEqual(wide.boundPv.amount * (1 + 1e-9));
    expect(wide.objectivePv).toBeLessThanOrEqual(narrow.boundPv.amount * (1 + 1e-9));
    expect(narrow.gap.known && narrow.gap.amount).toBeLessThanOrEqual(0.005);
  });
});

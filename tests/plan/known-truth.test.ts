import { describe, expect, test } from 'vitest';
import { BASELINES, baselineWork } from '../../core/plan/baselines.ts';
import { brokenConstraints } from '../../core/plan/checker.ts';
import { makePlan } from '../../core/plan/plan.ts';
import { avoidedCost, knownFleet } from './known-truth.ts';

// Source: fleets simulated here, whose true hazards the plan does not see. Every plan and rule has the same money, and
// for this comparison the plan may only replace whole segments, as the rules do.
describe('on fleets with known truth and the same budget', () => {
  for (const [seed, budgetShare] of [
    [1, 0.01],
    [2, 0.02],
    [3, 0.03],
  ] as const) {
    test(`fleet ${seed}: the plan avoids more true failure cost than age, worst reading or worst growth first`, async () => {
      const fleet = knownFleet(seed, 300, budgetShare);
      const plan = await makePlan(fleet.inputs, { objective: 'risk-removed', actions: ['replace'], gapTarget: 0.01 });
      const avoided = avoidedCost(
        fleet,
        plan.items.map(({ segment, year, kind }) => ({ segment, year, action: kind })),
      );
      const figures = BASELINES.map((rule) => {
        const work = baselineWork(fleet.inputs, rule);
        expect(brokenConstraints(fleet.inputs, work)).toEqual([]);
        return { rule, avoided: avoidedCost(fleet, work) };
      });
      console.log(
        `fleet ${seed}, ${100 * budgetShare} % of the fleet a year: plan avoids ${Math.round(avoided)}; ` +
          figures
            .map(({ rule, avoided: other }) => `${rule} ${Math.round(other)} (plan × ${(avoided / other).toFixed(2)})`)
            .join(', '),
      );
      for (const { rule, avoided: other } of figures) expect(avoided, rule).toBeGreaterThan(1.1 * other);
    });
  }
});

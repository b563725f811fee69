import { describe, expect, test } from 'vitest';
import { normalCdf, normalPdf } from '../../core/numerics/normal.ts';
import { seededRandom } from '../../core/numerics/random.ts';
import { makePlan } from '../../core/plan/plan.ts';
import {
  expectedBestLognormal,
  preposteriorSd,
  type TestWorth,
  testsWorthDoing,
  unitNormalLoss,
  valueOfTestNormal,
  worthOfTests,
} from '../../core/plan/value-of-test.ts';
import { randomFleet } from './fleet.ts';

/** Mean of f(Z) for a standard normal Z by the trapezoid rule. */
function meanOver(f: (z: number) => number): number {
  const steps = 200_000;
  let sum = 0;
  for (let k = 0; k <= steps; k++) {
    const z = -12 + (24 * k) / steps;
    sum += f(z) * normalPdf(z) * (k === 0 || k === steps ? 0.5 : 1);
  }
  return (sum * 24) / steps;
}

describe('the value of one more test', () => {
  test('rests on the unit normal loss of the tables: 0.0026 at 2.42, and 7.47456e-25 at 10', () => {
    // Source: a printed table row (z 2.42: 0.0026) and R, dnorm(x) − x·pnorm(x, lower.tail = FALSE) at 10, both in the
    // answer to "How to determine the standard normal loss function L(z)" (generacodice.com/en/articolo/13434649).
    expect(Number(unitNormalLoss(2.42).toFixed(4))).toBe(0.0026);
    expect(unitNormalLoss(0)).toBeCloseTo(1 / Math.sqrt(2 * Math.PI), 14);
    expect(unitNormalLoss(10) / 7.47456e-25).toBeCloseTo(1, 3);
    for (const z of [-3, -0.5, 0.7, 2])
      expect(unitNormalLoss(z)).toBeCloseTo(
        meanOver((t) => Math.max(0, t - z)),
        8,
      );
    expect(unitNormalLoss(12.0001) / unitNormalLoss(11.9999)).toBeCloseTo(Math.exp(-0.0002 * 12.16), 2);
  });

  test('is the mean of the best decision over the readings less the best now, as integrated by rule', () => {
    for (const [gain, sd] of [
      [5, 8],
      [-3, 2],
      [0, 1],
    ] as const) {
      const integrated = meanOver((z) => Math.max(0, gain + sd * z)) - Math.max(0, gain);
      expect(valueOfTestNormal(gain, sd)).toBeCloseTo(integrated, 6);
    }
    for (const [benefit, cost, sd] of [
      [100, 80, 0.5],
      [100, 300, 1],
      [50, 50, 0.2],
    ] as const) {
      const integrated = meanOver((z) => Math.max(0, benefit * Math.exp(sd * z - (sd * sd) / 2) - cost));
      expect(expectedBestLognormal(benefit, cost, sd)).toBeCloseTo(integrated, 3);
    }
  });

  test('agrees with a simulation of the reading and of the decision after it', () => {
    const random = seededRandom(4);
    const [prior, error, benefit, cost] = [0.8, 0.5, 100, 140];
    let total = 0;
    const runs = 200_000;
    for (let k = 0; k < runs; k++) {
      const truth = prior * random.normal() - (prior * prior) / 2;
      const reading = truth + error * random.normal();
      const weight = prior ** 2 / (prior ** 2 + error ** 2);
      const mean = -(prior ** 2) / 2 + weight * (reading + prior ** 2 / 2);
      const expected = benefit * Math.exp(mean + (prior ** 2 * (1 - weight)) / 2);
      if (expected > cost) total += benefit * Math.exp(truth) - cost;
    }
    const closed = expectedBestLognormal(benefit, cost, preposteriorSd(prior, error));
    expect(Math.abs(total / runs - closed)).toBeLessThan(0.02 * closed);
  });

  test('is nothing where the reading cannot change the decision, and grows with what is not known', () => {
    expect(valueOfTestNormal(10, 0)).toBe(0);
    expect(preposteriorSd(0, 1)).toBe(0);
    expect(preposteriorSd(0.6, 0)).toBe(0.6);
    let before = 0;
    for (const sd of [0.1, 0.3, 0.9]) {
      const value = expectedBestLognormal(100, 120, sd);
      expect(value).toBeGreaterThan(before);
      before = value;
    }
    expect(normalCdf(0)).toBe(0.5);
  });

  test('is told for every segment of a plan, never below 0, and unknown where the model did not say how sure it is', async () => {
    const inputs = randomFleet({ seed: 8, count: 200, feeders: 15, years: 5, horizonYears: 30, budgetShare: 0.01 });
    inputs.segments.lnHazardSd[0] = Number.NaN;
    const plan = await makePlan(inputs, { gapTarget: 0.03 });
    const tests = worthOfTests(inputs, plan);
    expect(tests).toHaveLength(200);
    expect(tests[0]!.value.known).toBe(false);
    const amounts = tests.slice(1).map((t) => (t.value.known ? t.value.amount : Number.NaN));
    expect(Math.min(...amounts)).toBeGreaterThanOrEqual(0);
    expect(amounts.filter((value) => value > 1750).length).toBeGreaterThan(5);
    const linear = worthOfTests(inputs, plan, { form: 'normal' });
    expect(linear.some((t) => t.value.known && t.value.amount > 0)).toBe(true);
  });

  test('fills the crew days with the best set of tests: equal to trying every set', () => {
    const random = seededRandom(12);
    for (let round = 0; round < 20; round++) {
      const tests: TestWorth[] = Array.from({ length: 10 }, (_, segment) => ({
        segment,
        value: { known: true, amount: Math.round(5000 * random.uniform()) },
        cost: 1000,
        crewDays: 0.25 * (1 + random.integer(5)),
        about: null,
      }));
      const gain = (t: TestWorth) => (t.value.known ? t.value.amount - t.cost : 0);
      let best = 0;
      for (let set = 0; set < 1024; set++) {
        const chosen = tests.filter((_, k) => (set >> k) & 1);
        if (chosen.reduce((sum, t) => sum + t.crewDays, 0) <= 2.5)
          best = Math.max(
            best,
            chosen.reduce((sum, t) => sum + gain(t), 0),
          );
      }
      const list = testsWorthDoing(tests, 2.5);
      expect(list.reduce((sum, t) => sum + t.crewDays, 0)).toBeLessThanOrEqual(2.5);
      expect(list.reduce((sum, t) => sum + gain(t), 0)).toBe(best);
      for (const t of list) expect(gain(t)).toBeGreaterThan(0);
    }
  });
});

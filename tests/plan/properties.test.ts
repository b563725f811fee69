import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { brokenConstraints } from '../../core/plan/checker.ts';
import type { PlanInputs } from '../../core/plan/inputs.ts';
import { makePlan, type Plan } from '../../core/plan/plan.ts';
import { comparePlans, pin, priceOfWish, withChange } from '../../core/plan/what-if.ts';
import { randomFleet } from './fleet.ts';

const workOf = (plan: Plan) => plan.items.map(({ segment, year, kind }) => ({ segment, year, action: kind }));

const fleets = fc.record({
  seed: fc.integer({ min: 1, max: 1_000_000 }),
  count: fc.integer({ min: 5, max: 60 }),
  feeders: fc.integer({ min: 1, max: 8 }),
  years: fc.integer({ min: 1, max: 6 }),
  horizonYears: fc.integer({ min: 10, max: 35 }),
  budgetShare: fc.double({ min: 0.02, max: 0.2, noNaN: true }),
  carryOverMax: fc.constantFrom(0, 40_000, Infinity),
});
const runs = { numRuns: 25, seed: 5 };

describe('every plan', () => {
  test('passes the independent checker and its money adds up year by year', async () => {
    let works = 0;
    await fc.assert(
      fc.asyncProperty(fleets, fc.boolean(), async (shape, riskOnly) => {
        const inputs = randomFleet(shape);
        const plan = await makePlan(inputs, { objective: riskOnly ? 'risk-removed' : 'net-benefit', gapTarget: 0.05 });
        expect(brokenConstraints(inputs, workOf(plan))).toEqual([]);
        works += plan.items.length;
        let carried = 0;
        for (const year of plan.byYear) {
          expect(year.carriedIn).toBe(carried);
          expect(Math.round((year.budget + year.carriedIn - year.spent - year.carried - year.lapsed) * 100)).toBe(0);
          expect(year.carried).toBeLessThanOrEqual(inputs.carryOverMax);
          expect(year.lapsed).toBeGreaterThanOrEqual(0);
          const items = plan.items.filter((item) => item.year === year.year);
          expect(Math.round(items.reduce((sum, item) => sum + item.cost, 0) * 100)).toBe(Math.round(year.spent * 100));
          expect(year.riskRemoved + year.riskLeft).toBeCloseTo(year.riskBefore, 6);
          carried = year.carried;
        }
      }),
      runs,
    );
    expect(works).toBeGreaterThan(100);
  });

  test('is never under the greedy one and never above its bound', async () => {
    await fc.assert(
      fc.asyncProperty(fleets, async (shape) => {
        const plan = await makePlan(randomFleet(shape), { gapTarget: 0.01 });
        if (!plan.greedyPv.known || !plan.boundPv.known) throw new Error('a fleet without musts has both');
        expect(plan.objectivePv).toBeGreaterThanOrEqual(plan.greedyPv.amount);
        expect(plan.objectivePv).toBeLessThanOrEqual(plan.boundPv.amount + 1e-6 * Math.abs(plan.boundPv.amount));
      }),
      runs,
    );
  });

  test('is worth no less with more money in any year', async () => {
    await fc.assert(
      fc.asyncProperty(fleets, fc.double({ min: 1, max: 2, noNaN: true }), async (shape, factor) => {
        const inputs = randomFleet({ ...shape, count: Math.min(shape.count, 20) });
        const less = await makePlan(inputs, { gapTarget: 0 });
        const more = await makePlan(withChange(inputs, { budgetFactor: factor }), { gapTarget: 0 });
        expect(less.status).toBe('optimal');
        expect(more.status).toBe('optimal');
        expect(more.objectivePv).toBeGreaterThanOrEqual(less.objectivePv - 1e-9 * Math.abs(less.objectivePv));
      }),
      { ...runs, numRuns: 15 },
    );
  });

  test('is the same when it is made again', async () => {
    const inputs = randomFleet({ seed: 3, count: 150, feeders: 12, years: 6, horizonYears: 30, budgetShare: 0.02 });
    expect(await makePlan(inputs)).toEqual(await makePlan(inputs));
  });
});

describe('wishes', () => {
  const base = randomFleet({ seed: 11, count: 40, feeders: 5, years: 4, horizonYears: 30, budgetShare: 0.05 });
  const withWishes = (wishes: PlanInputs['wishes']) => withChange(base, { wishes });

  test('that cost more than a year has name the year and the exact amount missing', async () => {
    const dear = [...base.segments.ordinal].sort((a, b) => lengthOf(b) - lengthOf(a)).slice(0, 6);
    const inputs = withWishes(dear.map((segment) => pin(segment, 2028, 'replace')));
    const plan = await makePlan(inputs);
    // Counted here by hand: own costs, one mobilisation a feeder, less the budget of 2028.
    const rows = dear.map((segment) => base.segments.ordinal.indexOf(segment));
    const own = rows.reduce((sum, i) => {
      const perM =
        base.segments.installation[i] === 0
          ? base.costs.replacementPerM.duct
          : base.costs.replacementPerM.direct_buried;
      return sum + base.segments.lengthM[i]! * perM + base.segments.splices[i]! * base.costs.replacementPerSplice;
    }, 0);
    const feeders = new Set(rows.map((i) => base.segments.feeder[i]));
    const missing = own + feeders.size * base.costs.mobilisation - base.budget[1]!;
    expect(missing).toBeGreaterThan(0);
    expect(plan.status).toBe('infeasible');
    expect(plan.items).toEqual([]);
    expect(plan.conflicts).toHaveLength(1);
    expect(plan.conflicts[0]).toMatchObject({ constraint: 'budget', year: 2028 });
    expect(plan.conflicts[0]!.shortBy).toBeCloseTo(missing, 2);
    expect([...plan.conflicts[0]!.segments].sort()).toEqual([...dear].sort());
    expect(plan.conflicts[0]!.message).toContain('2028');
  });

  function lengthOf(segment: number): number {
    return base.segments.lengthM[base.segments.ordinal.indexOf(segment)]!;
  }

  test('that need more crews than a year has name the year and the kilometres', async () => {
    const segment = base.segments.ordinal[0]!;
    const inputs = {
      ...withWishes([pin(segment, 2027, 'replace')]),
      budget: new Float64Array(4).fill(1e7),
      crewKm: new Float64Array(4).fill(lengthOf(segment) / 1000 - 0.1),
    };
    const plan = await makePlan(inputs);
    expect(plan.conflicts).toHaveLength(1);
    expect(plan.conflicts[0]).toMatchObject({ constraint: 'crew-km', year: 2027, segments: [segment] });
    expect(plan.conflicts[0]!.shortBy).toBeCloseTo(0.1, 6);
  });

  test('that leave a segment no year name the segment', async () => {
    const segment = base.segments.ordinal[3]!;
    const plan = await makePlan(
      withWishes([
        { kind: 'must', segment },
        { kind: 'must-not', segment },
      ]),
    );
    expect(plan.status).toBe('infeasible');
    expect(plan.conflicts).toMatchObject([{ constraint: 'years', segments: [segment] }]);
  });

  test('have a price: what moving one work takes from the plan, never below its lower bound', async () => {
    const before = await makePlan(base, { gapTarget: 0 });
    expect(before.items.length).toBeGreaterThan(3);
    const item = before.items[0]!;
    const moved = await priceOfWish(base, before, pin(item.segment, 2030), { gapTarget: 0 });
    const stay = await priceOfWish(base, before, pin(item.segment, item.year), { gapTarget: 0 });
    if (!moved.price.known || !moved.lo.known || !stay.price.known) throw new Error('both wishes can be granted');
    expect(moved.price.amount).toBeGreaterThan(0);
    expect(moved.lo.amount).toBeLessThanOrEqual(moved.price.amount + 1e-6);
    expect(Math.abs(stay.price.amount)).toBeLessThan(1e-6 * before.objectivePv);
    expect(moved.plan.items.find(({ segment }) => segment === item.segment)?.year).toBe(2030);
    const lines = comparePlans([
      { name: 'best', plan: before },
      { name: 'moved', plan: moved.plan },
    ]);
    expect(lines[0]!.objectivePv).toBeGreaterThan(lines[1]!.objectivePv);
    expect(lines[0]!.riskRemovedPv + lines[0]!.riskLeftPv).toBeCloseTo(before.riskPvBefore, 3);
  });
});

describe('the checker', () => {
  test('finds each kind of broken constraint', () => {
    const base = randomFleet({ seed: 21, count: 6, feeders: 2, years: 3, horizonYears: 20, budgetShare: 0.2 });
    const [a, b] = [base.segments.ordinal[0]!, base.segments.ordinal[1]!];
    const breaks = (inputs: Partial<PlanInputs>, work: Parameters<typeof brokenConstraints>[1]) =>
      brokenConstraints({ ...base, budget: new Float64Array(3).fill(1e7), ...inputs }, work).join(' ');
    const one = { segment: a, year: 2027, action: 'replace' } as const;
    expect(breaks({}, [one])).toBe('');
    expect(breaks({}, [one, { ...one, year: 2028 }])).toContain('more than one work');
    expect(breaks({}, [{ ...one, year: 2031 }])).toContain('outside the plan');
    expect(breaks({}, [{ ...one, segment: -5 }])).toContain('not among the inputs');
    expect(breaks({ budget: new Float64Array(3) }, [one])).toContain('more than its budget');
    expect(breaks({ crewKm: new Float64Array(3) }, [one])).toContain('crew kilometres');
    expect(breaks({ wishes: [{ kind: 'must', segment: b }] }, [one])).toContain('must be done');
    expect(breaks({ wishes: [{ kind: 'must-not', segment: a, toYear: 2027 }] }, [one])).toContain('closed to it');
    expect(breaks({ wishes: [pin(a, 2028)] }, [one])).toContain('not where it is pinned');
    expect(breaks({ wishes: [pin(a, 2027, 'splice_renewal')] }, [one])).toContain('another action');
    const segments = { ...base.segments, splices: new Int32Array(6) };
    expect(breaks({ segments }, [{ ...one, action: 'splice_renewal' }])).toContain('no splice');
  });
});

describe('stopping', () => {
  test('between stages keeps the best plan so far and says so', async () => {
    const inputs = randomFleet({ seed: 31, count: 80, feeders: 6, years: 5, horizonYears: 30, budgetShare: 0.02 });
    const stages: string[] = [];
    const plan = await makePlan(
      inputs,
      {},
      { onStage: ({ name }) => stages.push(name), shouldStop: () => stages.includes('greedy') },
    );
    expect(stages).toEqual(['greedy', 'done']);
    expect(plan.status).toBe('stopped');
    expect(plan.items.length).toBeGreaterThan(0);
    // Even then a bound is told, from the price of money alone.
    if (!plan.gap.known) throw new Error('a bound is known from the first stage on');
    expect(plan.gap.amount).toBeGreaterThan(0);
    expect(plan.gap.amount).toBeLessThan(0.6);
    expect(brokenConstraints(inputs, workOf(plan))).toEqual([]);
  });

  test('inside the exact search keeps the best plan and the bound it had', async () => {
    const inputs = randomFleet({ seed: 32, count: 120, feeders: 4, years: 6, horizonYears: 25, budgetShare: 0.01 });
    let searching = false;
    const hooks = {
      onStage: ({ name }: { name: string }) => {
        if (name === 'search') searching = true;
      },
      shouldStop: () => searching,
    };
    const plan = await makePlan(inputs, { objective: 'risk-removed', gapTarget: 0 }, hooks);
    expect(searching).toBe(true);
    expect(plan.status).toBe('stopped');
    expect(plan.gap.known && plan.gap.amount).toBeGreaterThan(0);
    expect(brokenConstraints(inputs, workOf(plan))).toEqual([]);
  });
});

describe('a changed question', () => {
  const inputs = randomFleet({ seed: 41, count: 30, feeders: 4, years: 4, horizonYears: 20, budgetShare: 0.05 });

  test('scales the hazard, not the probability, and leaves the given inputs alone', () => {
    const before = inputs.segments.failureProbability.slice();
    const changed = withChange(inputs, { hazardFactor: 3, hazardGrowthPerYear: 0.1, horizonYears: 15 });
    for (const [i, j] of [
      [0, 0],
      [7, 9],
      [29, 14],
    ] as const) {
      const p = before[i * 20 + j]!;
      expect(changed.segments.failureProbability[i * 15 + j]!).toBeCloseTo(1 - (1 - p) ** (3 * 1.1 ** j), 12);
    }
    expect(inputs.segments.failureProbability).toEqual(before);
    expect(() => withChange(inputs, { horizonYears: 21 })).toThrow(RangeError);
  });

  test('with faster growth leaves more risk and makes a plan worth more', async () => {
    const now = await makePlan(inputs, { gapTarget: 0 });
    const faster = await makePlan(withChange(inputs, { hazardGrowthPerYear: 0.05 }), { gapTarget: 0 });
    expect(faster.riskPvBefore).toBeGreaterThan(now.riskPvBefore);
    expect(faster.objectivePv).toBeGreaterThan(now.objectivePv);
  });

  test('that does not fit together is refused with what is wrong', async () => {
    await expect(makePlan({ ...inputs, years: 0 })).rejects.toThrow('years');
    await expect(makePlan({ ...inputs, budget: new Float64Array(2) })).rejects.toThrow('budget');
    await expect(makePlan({ ...inputs, wishes: [pin(-1, 2027)] })).rejects.toThrow('segment -1');
    const broken = { ...inputs.segments, failureProbability: inputs.segments.failureProbability.map(() => Number.NaN) };
    await expect(makePlan({ ...inputs, segments: broken })).rejects.toThrow('failureProbability');
  });
});

import { describe, expect, test } from 'vitest';
import { ACTION, ACTIONS } from '../../core/plan/actions.ts';
import { consequenceOf, interruptionOf, saidiMinutes, saifi } from '../../core/plan/consequence.ts';
import { COST_SOURCES, DEFAULT_COSTS } from '../../core/plan/defaults.ts';
import { INSULATIONS } from '../../core/plan/inputs.ts';
import { makePlan } from '../../core/plan/plan.ts';
import { costOfWaiting, netPv, worthOf } from '../../core/plan/risk.ts';
import { columns, inputsOf, randomFleet } from './fleet.ts';

describe('the consequence of one failure', () => {
  const s = columns(3, 5);
  s.customers.set([120, 80, Number.NaN]);
  s.peakLoadKva.set([400, Number.NaN, 250]);
  s.alternateSupply.set([0, 1, 0]);
  s.criticalLoad.set([1, 0, 1]);
  const costs = { ...DEFAULT_COSTS, perCustomerHour: 25, interruptionBasis: 'both' as const };

  test('is repair, customers × hours × price, energy, and what a critical customer adds, each by itself', () => {
    const of = consequenceOf(s, 0, costs);
    // By hand: 120 × 8 h × 25; 400 kVA × 0.5 × 8 h × 20; twice their sum again for the critical customer.
    expect(of.repair).toEqual({ known: true, amount: 20_000 });
    expect(of.customers).toEqual({ known: true, amount: 24_000 });
    expect(of.energy).toEqual({ known: true, amount: 32_000 });
    expect(of.critical).toEqual({ known: true, amount: 112_000 });
    expect(of).toMatchObject({ total: 188_000, complete: true });
  });

  test('counts the shorter restoration where another supply exists, and says what is not recorded', () => {
    const of = consequenceOf(s, 1, costs);
    expect(of.customers).toEqual({ known: true, amount: 80 * 1.5 * 25 });
    expect(of.energy).toEqual({ known: false, because: 'peak load is not recorded' });
    expect(of.complete).toBe(false);
    expect(consequenceOf(s, 2, costs).customers).toEqual({
      known: false,
      because: 'number of customers is not recorded',
    });
    expect(consequenceOf(s, 2, costs).critical.known).toBe(false);
  });

  test('has a source or "owner to set" beside every default', () => {
    expect(Object.keys(COST_SOURCES).sort()).toEqual(Object.keys(DEFAULT_COSTS).sort());
    for (const source of Object.values(COST_SOURCES)) expect(source).toMatch(/owner to set|source/);
  });

  test('counts CI and CMI and divides by customers served, as IEEE Std 1366 defines SAIFI and SAIDI', () => {
    expect(interruptionOf(s, 0, costs)).toEqual({
      customersInterrupted: { known: true, amount: 120 },
      customerMinutes: { known: true, amount: 120 * 480 },
    });
    // Source of the figures: a utility's published January 2018 table (pgvcl.com, SoP 011): 224,651 customer
    // interruptions of 137,874 customers print as SAIFI 1.63; 203,860 of 137,879 as 1.48.
    for (const [interrupted, served, printed] of [
      [224_651, 137_874, 1.63],
      [203_860, 137_879, 1.48],
    ] as const) {
      const index = saifi(interrupted, served);
      expect(index.known && Number(index.amount.toFixed(2))).toBe(printed);
    }
    expect(saidiMinutes(57_600, 1000)).toEqual({ known: true, amount: 57.6 });
    expect(saidiMinutes(57_600, 0).known).toBe(false);
  });
});

describe('the worth of an action', () => {
  const fleet = randomFleet({ seed: 77, count: 30, feeders: 4, years: 5, horizonYears: 25, budgetShare: 0.1 });
  const worth = worthOf(fleet, true);

  test('equals the year by year sum of probability × consequence × discount, for every action and year', () => {
    let compared = 0;
    for (let i = 0; i < 30; i++) {
      for (const kind of ACTIONS) {
        if (ACTION[kind].bar(fleet.segments, i) !== null) {
          expect(netPv(worth, 5, kind, i, 0)).toBeNaN();
          continue;
        }
        for (let y = 0; y < 5; y++) {
          let sum = 0;
          for (let j = y; j < 25; j++) {
            const p = fleet.segments.failureProbability[i * 25 + j]!;
            const km = fleet.segments.lengthM[i]! / 1000;
            const after =
              kind === 'replace'
                ? 1 - Math.exp(-0.002 * km)
                : kind === 'fluid_injection'
                  ? j < y + 20
                    ? 0.35 * p
                    : p
                  : p * (1 - 0.4 * 0.7);
            sum += ((p - after) * worth.consequence[i]!) / 1.05 ** (j + 1);
          }
          expect(worth.benefitPv[kind][i * 5 + y]!).toBeCloseTo(sum, 4);
          compared++;
        }
      }
    }
    expect(compared).toBeGreaterThan(200);
  });

  test('falls from one year to the next by exactly the cost of waiting', () => {
    for (let i = 0; i < 30; i++) {
      for (let y = 0; y < 4; y++) {
        const waiting = costOfWaiting(worth, 5, 'replace', i, y);
        const step = netPv(worth, 5, 'replace', i, y) - netPv(worth, 5, 'replace', i, y + 1);
        expect(waiting.total).toBeCloseTo(step, 6);
        expect(waiting.interestSaved).toBeGreaterThan(0);
      }
    }
  });

  test('bars fluid from paper, PVC and tree-retardant cable, from solid or filled conductors', () => {
    const s = columns(INSULATIONS.length, 1);
    INSULATIONS.forEach((_, code) => {
      s.insulation[code] = code;
    });
    const barred = () => INSULATIONS.filter((_, i) => ACTION.fluid_injection.bar(s, i) !== null);
    expect(barred()).toEqual(INSULATIONS);
    s.fillable.fill(1);
    expect(barred()).toEqual(['PILC', 'TR-XLPE', 'PVC', 'other']);
  });
});

describe('neighbours', () => {
  test('shares one mobilisation among neighbours of a feeder and calls them so', async () => {
    const s = columns(3, 20);
    s.failureProbability.fill(0.9);
    s.feeder.set([7, 7, 8]);
    const plan = await makePlan(inputsOf(s, 1, 20, 2e6), { actions: ['replace'] });
    expect(plan.items.map((item) => [item.feeder, item.action, item.mobilisationShare])).toEqual([
      [7, 'replace_with_neighbours', 7500],
      [7, 'replace_with_neighbours', 7500],
      [8, 'replace', 15_000],
    ]);
    expect(plan.spent).toBe(3 * 330_000 + 2 * 15_000);
  });
});

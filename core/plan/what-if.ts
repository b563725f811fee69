import type { ActionKind } from './actions.ts';
import type { PlanInputs, PlanOptions, SegmentColumns, Wish } from './inputs.ts';
import { type Known, known, unknown } from './known.ts';
import type { Expected } from './outlook.ts';
import { makePlan, type Plan, type PlanRunHooks } from './plan.ts';

/** A change of the question, to see what it does to the plan. What is left out stays as it is. */
export interface Change {
  /** Each year's budget is multiplied by this. */
  readonly budgetFactor?: number;
  readonly budget?: Float64Array;
  readonly discountRate?: number;
  /** A shorter horizon; it cannot be longer than the probabilities reach. */
  readonly horizonYears?: number;
  /** Growth scenario: hazards rise by this share a year faster than forecast; −0.02 for 2 % slower. */
  readonly hazardGrowthPerYear?: number;
  readonly hazardFactor?: number;
  readonly wishes?: readonly Wish[];
}

/** The inputs after a change; the given ones stay untouched. */
export function withChange(inputs: PlanInputs, change: Change): PlanInputs {
  const horizonYears = change.horizonYears ?? inputs.horizonYears;
  if (horizonYears > inputs.horizonYears)
    throw new RangeError('plan change: the horizon cannot reach past the forecast');
  const factor = change.hazardFactor ?? 1;
  const growth = 1 + (change.hazardGrowthPerYear ?? 0);
  const scaled = (column: Float64Array): Float64Array => {
    const result = new Float64Array(inputs.segments.count * horizonYears);
    for (let i = 0; i < inputs.segments.count; i++) {
      for (let j = 0; j < horizonYears; j++) {
        // Scenarios act on the hazard −ln(1 − p), so that a probability stays one.
        const hazard = -Math.log1p(-column[i * inputs.horizonYears + j]!);
        result[i * horizonYears + j] = -Math.expm1(-hazard * factor * growth ** j);
      }
    }
    return result;
  };
  const same = factor === 1 && growth === 1 && horizonYears === inputs.horizonYears;
  const { segments } = inputs;
  const changed: SegmentColumns = same
    ? segments
    : {
        ...segments,
        failureProbability: scaled(segments.failureProbability),
        failureProbabilityLo: scaled(segments.failureProbabilityLo),
        failureProbabilityHi: scaled(segments.failureProbabilityHi),
      };
  const budget = change.budget ?? inputs.budget;
  return {
    ...inputs,
    horizonYears,
    segments: changed,
    budget: change.budgetFactor === undefined ? budget : budget.map((money) => money * change.budgetFactor!),
    discountRate: change.discountRate ?? inputs.discountRate,
    wishes: change.wishes ?? inputs.wishes,
  };
}

/** Price of a change of wishes: how much worth it takes from the plan, and how far that can be trusted. */
export interface Price {
  readonly plan: Plan;
  /** Objective before − after; negative where the change betters a plan that was not the best. Unknown if infeasible. */
  readonly price: Known;
  /** Bounds of the true price, from the bounds of both plans. */
  readonly lo: Known;
  readonly hi: Known;
}

/** Plans again with one more wish and tells its price. `move` a work by pinning it to another year. */
export async function priceOfWish(
  inputs: PlanInputs,
  before: Plan,
  wish: Wish,
  options: PlanOptions = {},
  hooks: PlanRunHooks = {},
): Promise<Price> {
  const others =
    wish.kind === 'pin' ? inputs.wishes.filter((w) => w.kind !== 'pin' || w.segment !== wish.segment) : inputs.wishes;
  const plan = await makePlan(withChange(inputs, { wishes: [...others, wish] }), options, hooks);
  if (plan.status === 'infeasible') {
    const because = unknown(plan.conflicts[0]?.message ?? 'no plan grants the wish');
    return { plan, price: because, lo: because, hi: because };
  }
  const difference = (a: Known, b: Known): Known =>
    a.known && b.known ? known(a.amount - b.amount) : unknown('a bound is missing');
  return {
    plan,
    price: known(before.objectivePv - plan.objectivePv),
    lo: difference(known(before.objectivePv), plan.boundPv),
    hi: difference(before.boundPv, known(plan.objectivePv)),
  };
}

/** Pins a work to a year (null: leaves the segment alone). */
export const pin = (segment: number, year: number | null, action?: ActionKind): Wish =>
  action ? { kind: 'pin', segment, year, action } : { kind: 'pin', segment, year };

/** One plan's line in a comparison of plans. */
export interface PlanLine {
  readonly name: string;
  readonly spent: number;
  readonly costPv: number;
  readonly riskRemovedPv: number;
  readonly riskLeftPv: number;
  readonly objectivePv: number;
  readonly failures: readonly { readonly year: number; readonly expected: Expected }[];
  readonly customerMinutes: number;
  readonly customersInterrupted: number;
  /** Mean over the plan years; unknown where customers served is not set. */
  readonly saidiMinutes: Known;
  readonly saifi: Known;
}

/** Plans side by side, over the plan years. */
export function comparePlans(plans: readonly { readonly name: string; readonly plan: Plan }[]): PlanLine[] {
  return plans.map(({ name, plan }) => {
    const sum = (of: (year: Plan['byYear'][number]) => number) =>
      plan.byYear.reduce((total, year) => total + of(year), 0);
    const mean = (of: (year: Plan['byYear'][number]) => Known): Known => {
      let total = 0;
      for (const year of plan.byYear) {
        const one = of(year);
        if (!one.known) return one;
        total += one.amount;
      }
      return known(total / plan.byYear.length);
    };
    return {
      name,
      spent: plan.spent,
      costPv: plan.costPv,
      riskRemovedPv: plan.benefitPv,
      riskLeftPv: plan.riskPvLeft,
      objectivePv: plan.objectivePv,
      failures: plan.byYear.map(({ year, failures }) => ({ year, expected: failures })),
      customerMinutes: sum((year) => year.customerMinutes),
      customersInterrupted: sum((year) => year.customersInterrupted),
      saidiMinutes: mean((year) => year.saidiMinutes),
      saifi: mean((year) => year.saifi),
    };
  });
}

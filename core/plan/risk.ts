import { ACTION, type ActionKind } from './actions.ts';
import { consequenceOf } from './consequence.ts';
import { discountFactors, residualShare } from './discount.ts';
import type { PlanInputs } from './inputs.ts';

/** Discounted worth of each action on each segment in each plan year. Rows `segment * years + year`. */
export interface Worth {
  /** Money of one failure of each segment. */
  readonly consequence: Float64Array;
  /** Present value of risk over the horizon if nothing is done. */
  readonly riskPv: Float64Array;
  /** Present value of the risk that the action removes when done in the year; NaN where the action is barred. */
  readonly benefitPv: Readonly<Record<ActionKind, Float64Array>>;
  /** Cost today's money, without mobilisation; NaN where barred. A number a segment. */
  readonly cost: Readonly<Record<ActionKind, Float64Array>>;
  /** Present value of what replacement cable is still worth at the horizon, per unit of cost, by year of the work. */
  readonly residualPvPerCost: Float64Array;
  /** Discount factor of each year of the horizon. */
  readonly discount: Float64Array;
}

/** Probability that new cable of `lengthM` fails in the year of its `age` (0 is its first). */
export const newCableFailure = (inputs: PlanInputs, lengthM: number, age: number): number =>
  -Math.expm1(-inputs.newCable.failuresPerKmYear[age]! * (lengthM / 1000));

/**
 * Hazard of segment `i` in horizon year `j` when `action` was done in plan year `y` (`y` null: nothing is done).
 * Work acts from the year in which it is done. Units: probability of a failure in the year.
 */
export function failureWith(inputs: PlanInputs, i: number, j: number, action: ActionKind | null, y: number): number {
  const { segments, costs } = inputs;
  const p = segments.failureProbability[i * inputs.horizonYears + j]!;
  if (action === null || j < y) return p;
  if (action === 'replace') return newCableFailure(inputs, segments.lengthM[i]!, j - y);
  if (action === 'fluid_injection') return j < y + costs.injectionEffectYears ? p * costs.injectionHazardFactor : p;
  return p * (1 - costs.spliceFailureShare * (1 - costs.renewalHazardFactor));
}

/**
 * Expected annual risk cost is probability × consequence. The benefit of an action in year y is the present value of
 * risk from y on without it, less that with it. Flows stand at the end of their year.
 */
export function worthOf(inputs: PlanInputs, residualValue: boolean): Worth {
  const { segments, horizonYears: horizon, years, costs } = inputs;
  const n = segments.count;
  const discount = discountFactors(inputs.discountRate, horizon);
  const consequence = new Float64Array(n);
  const riskPv = new Float64Array(n);
  const table = () => new Float64Array(n * years).fill(Number.NaN);
  const benefitPv = { replace: table(), fluid_injection: table(), splice_renewal: table() };
  const perSegment = () => new Float64Array(n).fill(Number.NaN);
  const cost = { replace: perSegment(), fluid_injection: perSegment(), splice_renewal: perSegment() };
  const riskFrom = new Float64Array(horizon + 1);
  const newRiskBefore = new Float64Array(horizon + 1);
  const spliceEffect = costs.spliceFailureShare * (1 - costs.renewalHazardFactor);
  for (let i = 0; i < n; i++) {
    const money = consequenceOf(segments, i, costs).total;
    consequence[i] = money;
    const lengthM = segments.lengthM[i]!;
    for (let j = horizon - 1; j >= 0; j--) {
      riskFrom[j] = riskFrom[j + 1]! + discount[j]! * segments.failureProbability[i * horizon + j]! * money;
    }
    for (let age = 0; age < horizon; age++) {
      newRiskBefore[age + 1] = newRiskBefore[age]! + discount[age]! * newCableFailure(inputs, lengthM, age) * money;
    }
    riskPv[i] = riskFrom[0]!;
    const mayInject = ACTION.fluid_injection.bar(segments, i) === null;
    const mayRenew = ACTION.splice_renewal.bar(segments, i) === null;
    cost.replace[i] = ACTION.replace.cost(segments, i, costs);
    if (mayInject) cost.fluid_injection[i] = ACTION.fluid_injection.cost(segments, i, costs);
    if (mayRenew) cost.splice_renewal[i] = ACTION.splice_renewal.cost(segments, i, costs);
    for (let y = 0; y < years; y++) {
      // A new cable's stream begins at age 0 in year y, so its present value is that of year 0 brought y years later.
      const later = (1 + inputs.discountRate) ** -y;
      benefitPv.replace[i * years + y] = riskFrom[y]! - later * newRiskBefore[horizon - y]!;
      if (mayInject) {
        const end = Math.min(horizon, y + costs.injectionEffectYears);
        benefitPv.fluid_injection[i * years + y] = (1 - costs.injectionHazardFactor) * (riskFrom[y]! - riskFrom[end]!);
      }
      if (mayRenew) benefitPv.splice_renewal[i * years + y] = spliceEffect * riskFrom[y]!;
    }
  }
  const residualPvPerCost = new Float64Array(years);
  if (residualValue) {
    for (let y = 0; y < years; y++) {
      residualPvPerCost[y] = residualShare(horizon - y, inputs.newCable.lifeYears) * discount[horizon - 1]!;
    }
  }
  return { consequence, riskPv, benefitPv, cost, residualPvPerCost, discount };
}

/** Net present value of `action` on row `i` in plan year `y`, without mobilisation; NaN where barred. */
export function netPv(worth: Worth, years: number, action: ActionKind, i: number, y: number): number {
  const cost = worth.cost[action][i]!;
  const residual = action === 'replace' ? worth.residualPvPerCost[y]! : 0;
  return worth.benefitPv[action][i * years + y]! - cost * (worth.discount[y]! - residual);
}

/** What waiting from plan year `y` to the next costs, and why, in present value. */
export interface WaitingCost {
  /** Risk that the delay leaves in place: benefit(y) − benefit(y + 1). */
  readonly riskKept: number;
  /** Interest saved by spending a year later. */
  readonly interestSaved: number;
  /** Residual value gained because the cable is a year younger at the horizon. */
  readonly residualGained: number;
  /** riskKept − interestSaved − residualGained; negative where waiting pays. */
  readonly total: number;
}

/** Cost of waiting one more year with `action` on row `i`; `y + 1` must be a plan year. */
export function costOfWaiting(worth: Worth, years: number, action: ActionKind, i: number, y: number): WaitingCost {
  const cost = worth.cost[action][i]!;
  const benefit = worth.benefitPv[action];
  const riskKept = benefit[i * years + y]! - benefit[i * years + y + 1]!;
  const interestSaved = cost * (worth.discount[y]! - worth.discount[y + 1]!);
  const residualGained =
    action === 'replace' ? cost * (worth.residualPvPerCost[y + 1]! - worth.residualPvPerCost[y]!) : 0;
  return { riskKept, interestSaved, residualGained, total: riskKept - interestSaved - residualGained };
}

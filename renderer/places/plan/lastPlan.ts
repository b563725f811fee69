import type { KeptPlan, PlanResult } from '../../../core/contract/shapes/plan.ts';

/** The last plan made or opened in this window, so that a look at another place does not lose it. */
let last: PlanResult | null = null;

export const lastPlan = (): PlanResult | null => last;

const keptAs = new WeakMap<PlanResult, KeptPlan['id']>();

/** The kept plan that a result was opened from or kept as. */
export const keptAsOf = (result: PlanResult): KeptPlan['id'] | null => keptAs.get(result) ?? null;

export const rememberKept = (result: PlanResult, id: KeptPlan['id']): void => {
  keptAs.set(result, id);
};

export const rememberPlan = (result: PlanResult | null): void => {
  last = result;
};

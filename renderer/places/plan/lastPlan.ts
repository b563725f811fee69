import type { PlanResult } from '../../../core/contract/shapes/plan.ts';

/** The last plan made or opened in this window, so that a look at another place does not lose it. */
let last: PlanResult | null = null;

export const lastPlan = (): PlanResult | null => last;

export const rememberPlan = (result: PlanResult | null): void => {
  last = result;
};

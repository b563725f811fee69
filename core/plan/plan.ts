import type { Plan } from './answer.ts';
import { checkInputs } from './check-inputs.ts';
import { describePlan } from './describe.ts';
import { conflicts } from './infeasible.ts';
import type { PlanInputs, PlanOptions } from './inputs.ts';
import { buildProblem } from './problem.ts';
import { worthOf } from './risk.ts';
import { type PlanHooks, select } from './select.ts';
import { loadSolver } from './solver.ts';

export type { LeftOut, Plan, PlanItem, PlanYear } from './answer.ts';

export interface PlanRunHooks extends PlanHooks {
  /** Milliseconds from any origin, for the time limit over all stages. Without it each solve has its own limit. */
  readonly nowMs?: () => number;
}

/**
 * Makes a capital plan. Throws RangeError where the inputs do not fit together; an infeasible set of wishes is an
 * answer with status 'infeasible' and its conflicts. The solve blocks its thread between the calls of the hooks.
 */
export async function makePlan(inputs: PlanInputs, options: PlanOptions = {}, hooks: PlanRunHooks = {}): Promise<Plan> {
  checkInputs(inputs);
  const solver = await loadSolver();
  const startMs = hooks.nowMs?.() ?? 0;
  const elapsedS = () => ((hooks.nowMs?.() ?? startMs) - startMs) / 1000;
  const worth = worthOf(inputs, options.residualValue ?? true);
  const problem = buildProblem(inputs, worth, options);
  const limits = {
    gapTarget: options.gapTarget ?? 0.005,
    nodeLimit: options.nodeLimit ?? 1000,
    timeLimitS: options.timeLimitS ?? 55,
    candidates: options.candidates ?? 2500,
  };
  const selection = select(solver, problem, limits, hooks, elapsedS);
  const against = selection.status === 'infeasible' ? conflicts(solver, inputs, problem, limits.timeLimitS) : [];
  return describePlan(inputs, options, worth, problem, selection, against);
}

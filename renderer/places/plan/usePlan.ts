import { useState } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import type { PlanResult, PlanWish } from '../../../core/contract/shapes/plan.ts';
import { ask } from '../../client/index.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { lastPlan, rememberPlan } from './lastPlan.ts';

export type Question = PlanResult['question'];
export type Priced = OutputOf<'plan.price'>;

/** A move that was tried: what it costs, and the plan with it. */
export interface Trial {
  readonly wish: PlanWish;
  readonly priced: Priced;
}

export type PlanStage =
  | { readonly at: 'asking' }
  | {
      readonly at: 'working';
      readonly what: 'planning' | 'pricing';
      readonly stop: AbortController;
      readonly before: PlanResult | null;
    }
  | { readonly at: 'made'; readonly result: PlanResult; readonly trial: Trial | null }
  | { readonly at: 'failed'; readonly error: unknown; readonly before: PlanResult | null };

/** Makes plans and tries moves, one at a time, each with a way to stop it. */
export function usePlan() {
  const [stage, setStage] = useState<PlanStage>(() => {
    const kept = lastPlan();
    return kept ? { at: 'made', result: kept, trial: null } : { at: 'asking' };
  });
  const before = stage.at === 'made' ? stage.result : stage.at === 'asking' ? null : stage.before;
  const show = (result: PlanResult): void => {
    rememberPlan(result);
    setStage({ at: 'made', result, trial: null });
  };
  const work = async (
    what: 'planning' | 'pricing',
    run: (signal: AbortSignal) => Promise<PlanStage>,
  ): Promise<void> => {
    const stop = new AbortController();
    setStage({ at: 'working', what, stop, before });
    try {
      const next = await run(stop.signal);
      if (next.at === 'made') rememberPlan(next.result);
      setStage(next);
    } catch (error) {
      if (asProblem(error).code !== 'cancelled') setStage({ at: 'failed', error, before });
      else setStage(before ? { at: 'made', result: before, trial: null } : { at: 'asking' });
    }
  };
  const make = (question: Question): Promise<void> =>
    work('planning', async (signal) => ({
      at: 'made',
      result: await ask('plan.make', question, { signal }),
      trial: null,
    }));
  const attempt = (wish: PlanWish): Promise<void> =>
    work('pricing', async (signal) => {
      const question = before!.question;
      const others = question.wishes.filter((each) => each.segment !== wish.segment);
      const priced = await ask(
        'plan.price',
        { before: question, after: { ...question, wishes: [...others, wish] } },
        { signal },
      );
      return { at: 'made', result: before!, trial: { wish, priced } };
    });
  return { stage, before, make, attempt, show };
}

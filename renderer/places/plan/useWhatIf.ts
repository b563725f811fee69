import { useState } from 'react';
import type { WhatIfRow } from '../../../core/contract/asks/plan.ts';
import type { PlanResult } from '../../../core/contract/shapes/plan.ts';
import { ask } from '../../client/index.ts';
import { asProblem } from '../../parts/asProblem.ts';

export type WhatIfStage =
  | { readonly at: 'asking' }
  | { readonly at: 'working'; readonly stop: AbortController }
  | { readonly at: 'made'; readonly rows: readonly WhatIfRow[] }
  | { readonly at: 'failed'; readonly error: unknown };

/** Works out a plan under changed terms, on request, with a way to stop it. */
export function useWhatIf({ question }: PlanResult) {
  const [stage, setStage] = useState<WhatIfStage>({ at: 'asking' });
  const begin = async (): Promise<void> => {
    const stop = new AbortController();
    setStage({ at: 'working', stop });
    try {
      const { rows } = await ask('plan.whatIf', { question }, { signal: stop.signal });
      setStage({ at: 'made', rows });
    } catch (error) {
      setStage(asProblem(error).code === 'cancelled' ? { at: 'asking' } : { at: 'failed', error });
    }
  };
  return { stage, begin };
}

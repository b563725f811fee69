import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { Failed } from '../../parts/states.tsx';
import { moveMaking, planMaking, planRemaking } from '../../words/planForms.ts';
import { useAsk } from '../asking.ts';
import { PlanSheet } from './PlanSheet.tsx';
import { PlanWorking } from './PlanWorking.tsx';
import { TermsForm } from './TermsForm.tsx';
import { type PlanStage, usePlan } from './usePlan.ts';

const workingWords = ({ what, before }: Extract<PlanStage, { at: 'working' }>): string =>
  what === 'pricing' ? moveMaking : before ? planRemaking : planMaking;

/** Terms above, the plan below. */
export function MakePlan({ info }: { readonly info: OutputOf<'fleet.info'> }) {
  const { stage, before, make, attempt, show } = usePlan();
  const costs = useAsk('plan.costs', {});
  const shown = stage.at === 'made' ? stage.result : before;
  return (
    <>
      <div className="plan-terms">
        <TermsForm
          today={info.today}
          busy={stage.at === 'working'}
          currency={costs.data?.currency ?? null}
          shown={shown?.question ?? null}
          onMake={(question) => void make({ ...question, wishes: shown?.question.wishes ?? [] })}
        />
        {stage.at === 'failed' && <Failed error={stage.error} />}
        {stage.at === 'working' && <PlanWorking words={workingWords(stage)} onStop={() => stage.stop.abort()} />}
      </div>
      {shown && (
        <PlanSheet
          result={shown}
          former={stage.at === 'working' && stage.what === 'planning'}
          trial={stage.at === 'made' ? stage.trial : null}
          busy={stage.at === 'working'}
          readOnly={info.readOnly}
          onTry={(wish) => void attempt(wish)}
          onShow={show}
          onWishes={(wishes) => void make({ ...shown.question, wishes: [...wishes] })}
        />
      )}
    </>
  );
}

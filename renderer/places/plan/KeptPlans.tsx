import { useState } from 'react';
import type { KeptPlan } from '../../../core/contract/shapes/plan.ts';
import { ask } from '../../client/index.ts';
import { asProblem } from '../../parts/asProblem.ts';
import { Empty, Failed, Waiting } from '../../parts/states.tsx';
import { say } from '../../parts/toast.ts';
import { moment } from '../../words/evidence.ts';
import { keptPlansHeads } from '../../words/heads.ts';
import { whole } from '../../words/numbers.ts';
import { approvedWords, inCurrency } from '../../words/plan.ts';
import { useAsk } from '../asking.ts';
import { go, hrefOf } from '../route.ts';
import { ApproveDialog } from './ApproveDialog.tsx';
import { ComparePlans } from './ComparePlans.tsx';
import { rememberKept, rememberPlan } from './lastPlan.ts';
import { takeTerms } from './terms.ts';

/** Plans that were kept: open one, approve one, lay some side by side. */
export function KeptPlans({ readOnly }: { readonly readOnly: boolean }) {
  const asked = useAsk('plan.list', {});
  const [ticked, setTicked] = useState<readonly KeptPlan['id'][]>([]);
  const [approving, setApproving] = useState<KeptPlan | null>(null);
  if (asked.isError) return <Failed error={asked.error} again={() => void asked.refetch()} />;
  if (!asked.data) return <Waiting />;
  const { plans } = asked.data;
  if (plans.length === 0)
    return (
      <div className="plan-part">
        <Empty title="No plan is kept yet">
          <p>
            A plan that was <a href={hrefOf('plan')}>made</a> can be kept under a name, laid beside others, and
            approved; an approved plan is locked.
          </p>
        </Empty>
      </div>
    );
  const tick = (id: KeptPlan['id']): void =>
    setTicked(ticked.includes(id) ? ticked.filter((each) => each !== id) : [...ticked, id].slice(-6));
  return (
    <div className="plan-part">
      <table className="ledger kept">
        <thead>
          <tr>
            <th scope="col" className="left">
              {keptPlansHeads.compare}
            </th>
            <th scope="col" className="left">
              {keptPlansHeads.plan}
            </th>
            <th scope="col" className="left">
              {keptPlansHeads.madeUtc}
            </th>
            <th scope="col">{keptPlansHeads.projects}</th>
            <th scope="col">{keptPlansHeads.spent}</th>
            <th scope="col" className="left">
              {keptPlansHeads.state}
            </th>
          </tr>
        </thead>
        <tbody>
          {plans.map((plan) => (
            <tr key={plan.id}>
              <td className="left">
                <input
                  type="checkbox"
                  aria-label={`Compare ${plan.name}`}
                  checked={ticked.includes(plan.id)}
                  onChange={() => tick(plan.id)}
                />
              </td>
              <td className="left">
                <button type="button" className="word" onClick={() => void open(plan.id)}>
                  {plan.name}
                </button>
                {plan.stale && <span className="second"> · the fleet has changed since</span>}
              </td>
              <td className="left nowrap">{moment(plan.madeAt)}</td>
              <td>{whole(plan.items)}</td>
              <td>{inCurrency(plan.spent, plan.currency)}</td>
              <td className="left">
                {plan.state === 'approved' ? (
                  approvedWords(plan)
                ) : (
                  <>
                    draft
                    {!readOnly && (
                      <>
                        {' · '}
                        <button type="button" className="word" onClick={() => setApproving(plan)}>
                          approve…
                        </button>
                      </>
                    )}
                  </>
                )}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {ticked.length >= 2 && <ComparePlans ids={ticked} />}
      {approving && <ApproveDialog plan={approving} onClose={() => setApproving(null)} />}
    </div>
  );
}

async function open(id: KeptPlan['id']): Promise<void> {
  try {
    const { result } = await ask('plan.get', { id });
    rememberPlan(result);
    rememberKept(result, id);
    takeTerms(result.question);
    go('plan');
  } catch (error) {
    say(asProblem(error).message);
  }
}

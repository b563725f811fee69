import type { KeptPlan } from '../../../core/contract/shapes/plan.ts';
import { keptWords, movedWords } from '../../words/plan.ts';
import { useAsk } from '../asking.ts';

/** The name a plan is kept under, its state, and whether the fleet is still the one it was made from. */
export function KeptAs({ id }: { readonly id: KeptPlan['id'] }) {
  const plan = useAsk('plan.list', {}).data?.plans.find((each) => each.id === id);
  if (!plan) return null;
  return (
    <p className="kept-as">
      <span className="strong">“{plan.name}”</span> {keptWords(plan)} {movedWords(plan)}
    </p>
  );
}

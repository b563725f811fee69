import { useSyncExternalStore } from 'react';
import { works } from '../../client/index.ts';
import { moveMaking, planMaking } from '../../words/planForms.ts';

/** The plan being made, in its place. */
export function PlanWorking({ what, onStop }: { readonly what: 'planning' | 'pricing'; readonly onStop: () => void }) {
  const list = useSyncExternalStore(works.subscribe, works.list);
  const work = list.find((each) => each.name.startsWith('plan.') && each.state === 'running');
  return (
    <p role="status" className="second plan-working">
      {work?.words ?? (what === 'planning' ? planMaking : moveMaking)}{' '}
      <button type="button" className="word" onClick={onStop}>
        Cancel
      </button>
    </p>
  );
}

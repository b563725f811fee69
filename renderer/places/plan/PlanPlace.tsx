import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { SectionNav } from '../../parts/SectionNav.tsx';
import { hrefOf } from '../route.ts';
import { Costs } from './Costs.tsx';
import { KeptPlans } from './KeptPlans.tsx';
import { MakePlan } from './MakePlan.tsx';
import { RetestFirst } from './RetestFirst.tsx';
import './plan.css';

const sections = [
  { id: 'plan', name: 'The plan', href: hrefOf('plan') },
  { id: 'tests', name: 'Retest first', href: hrefOf('plan', 'tests') },
  { id: 'kept', name: 'Kept plans', href: hrefOf('plan', 'kept') },
  { id: 'costs', name: 'Costs', href: hrefOf('plan', 'costs') },
] as const;

interface Props {
  readonly info: OutputOf<'fleet.info'>;
  readonly section: string | null;
}

/** What to do in which year under a budget, and what waiting costs. */
export function PlanPlace({ info, section }: Props) {
  const here = sections.find((each) => each.id === section)?.id ?? 'plan';
  return (
    <div className="sheet-scroll">
      <article className="sheet plan">
        <div className="plan-top">
          <div className="place-head">
            <h1>Plan</h1>
          </div>
          <SectionNav label="Parts of the plan" sections={sections} here={here} />
        </div>
        {here === 'plan' && <MakePlan info={info} />}
        {here === 'tests' && <RetestFirst />}
        {here === 'kept' && <KeptPlans readOnly={info.readOnly} />}
        {here === 'costs' && <Costs readOnly={info.readOnly} />}
      </article>
    </div>
  );
}

import { Empty } from '../../parts/states.tsx';
import { hrefOf } from '../route.ts';

export function PlanPlace() {
  return (
    <div className="sheet-scroll">
      <article className="sheet sheet-plain">
        <h1>Plan</h1>
        <Empty title="No plan can be made here yet">
          <p>
            A plan will spread a yearly budget over the segments whose risk it lowers most, and say what waiting costs.
            Until then the <a href={hrefOf('ranking')}>ranking</a> says where leakage grows fastest.
          </p>
        </Empty>
      </article>
    </div>
  );
}

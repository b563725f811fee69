import type { KeptPlan } from '../../../core/contract/shapes/plan.ts';
import { Failed, Waiting } from '../../parts/states.tsx';
import { comparePlansHeads } from '../../words/heads.ts';
import { whole } from '../../words/numbers.ts';
import { expectedWords, money } from '../../words/plan.ts';
import { useAsk } from '../asking.ts';

/** Kept plans side by side, a column a plan. */
export function ComparePlans({ ids }: { readonly ids: readonly KeptPlan['id'][] }) {
  const asked = useAsk('plan.compare', { ids: [...ids] }, { keep: true });
  if (asked.isError) return <Failed error={asked.error} />;
  if (!asked.data) return <Waiting />;
  const { plans } = asked.data;
  const years = [...new Set(plans.flatMap((plan) => plan.failures.map((each) => each.year)))].sort((a, b) => a - b);
  type Line = (typeof plans)[number];
  const row = (name: string, cell: (plan: Line) => string) => (
    <tr key={name}>
      <td className="left second">{name}</td>
      {plans.map((plan, at) => (
        <td key={ids[at]}>{cell(plan)}</td>
      ))}
    </tr>
  );
  return (
    <section aria-label="Side by side">
      <div className="section-head">
        <h2>Side by side</h2>
      </div>
      <table className="ledger">
        <thead>
          <tr>
            <th scope="col" className="left">
              {comparePlansHeads.presentValues}
            </th>
            {plans.map((plan, at) => (
              <th scope="col" key={ids[at]}>
                {plan.name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {row('Currency', (plan) => plan.currency ?? 'none named')}
          {row('Spent', (plan) => money(plan.spent))}
          {row('Cost, present value', (plan) => money(plan.costPv))}
          {row('Risk removed', (plan) => money(plan.riskRemovedPv))}
          {row('Risk left', (plan) => money(plan.riskLeftPv))}
          {row('Benefit net of cost', (plan) => money(plan.netPv))}
          {row('Customer minutes', (plan) => whole(plan.customerMinutes))}
          {years.map((year) =>
            row(`Failures in ${year}`, (plan) => {
              const found = plan.failures.find((each) => each.year === year);
              return found ? expectedWords(found.expected) : '–';
            }),
          )}
        </tbody>
      </table>
    </section>
  );
}

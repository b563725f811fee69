import type { PlanResult } from '../../../core/contract/shapes/plan.ts';
import { Failed } from '../../parts/states.tsx';
import { whatIfHeads } from '../../words/heads.ts';
import { fixed, whole } from '../../words/numbers.ts';
import { money, moneyIn, whatIfHelp } from '../../words/plan.ts';
import { whatIfMaking } from '../../words/planForms.ts';
import { PlanWorking } from './PlanWorking.tsx';
import { useWhatIf } from './useWhatIf.ts';

/** The plan under changed terms, worked out when it is asked for: each line is a plan of its own. */
export function WhatIf({ result }: { readonly result: PlanResult }) {
  const { stage, begin } = useWhatIf(result);
  return (
    <section aria-label="If things were otherwise" className="what-if">
      <h2>If things were otherwise</h2>
      <p className="caption">
        {whatIfHelp} {stage.at === 'made' ? `${moneyIn(result.currency)}.` : ''}
      </p>
      {stage.at === 'asking' && (
        <p className="actions no-print">
          <button type="button" className="button" onClick={() => void begin()}>
            Work it out
          </button>
        </p>
      )}
      {stage.at === 'working' && <PlanWorking words={whatIfMaking} onStop={() => stage.stop.abort()} />}
      {stage.at === 'failed' && <Failed error={stage.error} again={() => void begin()} />}
      {stage.at === 'made' && (
        <table className="ledger">
          <thead>
            <tr>
              <th scope="col" className="left">
                {whatIfHeads.terms}
              </th>
              <th scope="col">{whatIfHeads.projects}</th>
              <th scope="col">{whatIfHeads.payForThemselves}</th>
              <th scope="col">{whatIfHeads.spent}</th>
              <th scope="col">{whatIfHeads.riskRemoved}</th>
              <th scope="col">{whatIfHeads.riskLeft}</th>
              <th scope="col">{whatIfHeads.net}</th>
              <th scope="col">{whatIfHeads.failuresExpected}</th>
            </tr>
          </thead>
          <tbody>
            {stage.rows.map((row) => (
              <tr key={row.words}>
                <td className="left">{row.words}</td>
                <td>{whole(row.works)}</td>
                <td>{whole(row.paying)}</td>
                <td>{money(row.spent)}</td>
                <td>{money(row.riskRemovedPv)}</td>
                <td>{money(row.riskLeftPv)}</td>
                <td>{money(row.netPv)}</td>
                <td>{fixed(row.failures, 1)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </section>
  );
}

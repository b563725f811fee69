import type { PlanResult } from '../../../core/contract/shapes/plan.ts';
import { leftOutHeads } from '../../words/heads.ts';
import { whole } from '../../words/numbers.ts';
import { actionNames, money, moneyIn } from '../../words/plan.ts';
import { hrefOf } from '../route.ts';

/** What the plan leaves out, dearest first, with the price of leaving it. */
export function LeftOut({ result }: { readonly result: PlanResult }) {
  if (result.leftOut.length === 0) return null;
  return (
    <section aria-label="Left out">
      <div className="section-head">
        <h2>Left out</h2>
        <p className="caption">
          {result.leftOutTotal > result.leftOut.length
            ? `The dearest to leave, ${whole(result.leftOut.length)} of ${whole(result.leftOutTotal)}.`
            : `${whole(result.leftOutTotal)} in all.`}{' '}
          {moneyIn(result.currency)}; the price of leaving is present value, net of cost.
        </p>
      </div>
      <table className="ledger">
        <thead>
          <tr>
            <th scope="col" className="left">
              {leftOutHeads.segment}
            </th>
            <th scope="col" className="left">
              {leftOutHeads.feeder}
            </th>
            <th scope="col" className="left">
              {leftOutHeads.bestThingToDo}
            </th>
            <th scope="col">{leftOutHeads.bestYear}</th>
            <th scope="col">{leftOutHeads.cost}</th>
            <th scope="col">{leftOutHeads.priceOfLeavingIt}</th>
          </tr>
        </thead>
        <tbody>
          {result.leftOut.map((row) => (
            <tr key={row.segmentId}>
              <td className="left">
                <a href={hrefOf('fleet', row.segmentId)}>{row.name}</a>
              </td>
              <td className="left second">{row.feeder}</td>
              <td className="left second">{actionNames[row.bestAction]}</td>
              <td>{row.bestYear}</td>
              <td>{money(row.cost)}</td>
              <td>{money(row.priceOfLeaving)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

import type { PlanResult } from '../../../core/contract/shapes/plan.ts';
import { fixed, measured, whole } from '../../words/numbers.ts';
import { expectedWords, money, moneyIn, moneyShort, riskOfWait } from '../../words/plan.ts';

/** The plan's years in numbers. */
export function YearsTable({ result }: { readonly result: PlanResult }) {
  return (
    <section aria-label="The years in numbers" className="years-table">
      <div className="section-head">
        <p className="caption">
          The years in numbers. {moneyIn(result.currency)}. Failures are expected counts with their 90 % interval. A
          year’s wait: the risk that stays if all projects of the year are done a year later, in present value.
        </p>
      </div>
      <table className="ledger">
        <thead>
          <tr>
            <th scope="col" className="left">
              Year
            </th>
            <th scope="col">Budget</th>
            <th scope="col">Spent</th>
            <th scope="col">Carried on</th>
            <th scope="col">Crew km</th>
            <th scope="col">Risk, no plan</th>
            <th scope="col">Risk left</th>
            <th scope="col">A year’s wait</th>
            <th scope="col">Failures, no plan</th>
            <th scope="col">Failures, plan</th>
            <th scope="col">Customer minutes</th>
            <th scope="col">SAIDI, min</th>
            <th scope="col">SAIFI</th>
          </tr>
        </thead>
        <tbody>
          {result.byYear.map((year) => (
            <tr key={year.year}>
              <td className="left">{year.year}</td>
              <td>{moneyShort(year.budget)}</td>
              <td>{moneyShort(year.spent)}</td>
              <td>{money(year.carried)}</td>
              <td>{fixed(year.crewKm, 1)}</td>
              <td>{money(year.riskBefore)}</td>
              <td>{money(year.riskLeft)}</td>
              <td>{riskOfWait(result, year.year)}</td>
              <td className="nowrap">{expectedWords(year.failuresBefore)}</td>
              <td className="nowrap">{expectedWords(year.failures)}</td>
              <td>{whole(year.customerMinutes)}</td>
              <td title={year.saidiMinutes.known ? '' : year.saidiMinutes.because}>
                {year.saidiMinutes.known ? measured(year.saidiMinutes.amount) : '–'}
              </td>
              <td title={year.saifi.known ? '' : year.saifi.because}>
                {year.saifi.known ? measured(year.saifi.amount) : '–'}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

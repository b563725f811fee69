import type { PlanResult } from '../../../core/contract/shapes/plan.ts';
import { yearsTableHeads } from '../../words/heads.ts';
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
              {yearsTableHeads.year}
            </th>
            <th scope="col">{yearsTableHeads.budget}</th>
            <th scope="col">{yearsTableHeads.spent}</th>
            <th scope="col">{yearsTableHeads.carriedOn}</th>
            <th scope="col">{yearsTableHeads.crewKm}</th>
            <th scope="col">{yearsTableHeads.riskNoPlan}</th>
            <th scope="col">{yearsTableHeads.riskLeft}</th>
            <th scope="col">{yearsTableHeads.waitOfAYear}</th>
            <th scope="col">{yearsTableHeads.failuresNoPlan}</th>
            <th scope="col">{yearsTableHeads.failuresPlan}</th>
            <th scope="col">{yearsTableHeads.customerMinutes}</th>
            <th scope="col">{yearsTableHeads.saidiMin}</th>
            <th scope="col">{yearsTableHeads.saifi}</th>
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

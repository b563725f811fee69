import type { PlanItemRow, PlanResult } from '../../../core/contract/shapes/plan.ts';
import { actionNames, money, moneyShort, nameUnder, yearColumns } from '../../words/plan.ts';

interface Props {
  readonly result: PlanResult;
  readonly onChoose: (item: PlanItemRow) => void;
}

/** The years as columns of a ledger. The rule under a year is its money, filled as far as the projects spend it. */
export function PlanYears({ result, onChoose }: Props) {
  const columns = yearColumns(result);
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolled region must be reachable by keyboard
    <section className="plan-years" aria-label="The plan by year" tabIndex={0}>
      {columns.map((column, at) => {
        const year = result.byYear[at]!;
        const funds = year.budget + year.carriedIn;
        return (
          <div className="plan-year" key={column.year}>
            <div className="plan-year-head">
              <h2>{column.year}</h2>
              <svg
                className="plan-rule"
                width="100%"
                height="9"
                role="img"
                aria-label={`${money(year.spent)} of ${money(funds)} spent`}
              >
                <rect className="plan-money" width="100%" height="9" />
                <rect
                  className="plan-spent"
                  width={`${funds > 0 ? Math.min(100, (year.spent / funds) * 100) : 0}%`}
                  height="9"
                />
              </svg>
              <p className="caption plan-sum">
                {moneyShort(year.spent)} of {moneyShort(funds)}
              </p>
            </div>
            {column.groups.map((group) => (
              <div key={group.feeder} className={group.tied ? 'plan-group tied' : 'plan-group'}>
                {group.tied && <p className="caption plan-feeder">{group.feeder}</p>}
                {group.items.map((item) => (
                  <button
                    type="button"
                    key={item.segmentId}
                    className="plan-item"
                    aria-label={`${item.name}, ${actionNames[item.action]}, ${money(item.cost)}`}
                    title={`${item.name}: ${actionNames[item.action]}, feeder ${item.feeder}`}
                    onClick={() => onChoose(item)}
                  >
                    <span className="plan-name">
                      {item.forced ? '› ' : ''}
                      {group.tied ? nameUnder(item.name, group.feeder) : item.name}
                    </span>
                    <span className="plan-cost">{moneyShort(item.cost)}</span>
                    {item.action !== 'replace' && item.action !== 'replace_with_neighbours' && (
                      <span className="plan-action">{actionNames[item.action]}</span>
                    )}
                  </button>
                ))}
              </div>
            ))}
            {column.groups.length === 0 && <p className="caption">nothing</p>}
          </div>
        );
      })}
    </section>
  );
}

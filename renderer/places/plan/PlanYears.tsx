import { type DragEvent, useId, useMemo, useState } from 'react';
import type { PlanItemRow, PlanResult, PlanWish } from '../../../core/contract/shapes/plan.ts';
import {
  actionNames,
  boardHelp,
  money,
  moneyShort,
  nameUnder,
  restWords,
  type YearColumn,
  yearColumns,
} from '../../words/plan.ts';
import { useUnits } from '../settings.ts';
import { onBoardKey } from './boardKeys.ts';

interface Props {
  readonly result: PlanResult;
  readonly busy: boolean;
  readonly onChoose: (item: PlanItemRow) => void;
  readonly onList: (year: number) => void;
  readonly onTry: (wish: PlanWish) => void;
}

/**
 * The years as columns of a ledger. The rule under a year is its money, filled as far as the projects spend it. One tab
 * stop; arrows walk the projects.
 */
export function PlanYears({ result, busy, onChoose, onList, onTry }: Props) {
  const columns = useMemo(() => yearColumns(result), [result]);
  const [stop, setStop] = useState<string | null>(null);
  const [over, setOver] = useState<number | null>(null);
  const help = useId();
  const first = columns.find((column) => column.items.length > 0)?.groups[0]?.items[0]?.segment;
  const here = columns.some((column) => column.groups.some((group) => group.items.some((i) => i.segment === stop)))
    ? stop
    : first;
  const move = (segment: string, year: number): void => {
    const item = result.items.find((each) => each.segment === segment);
    const open = result.byYear.some((each) => each.year === year);
    if (!busy && item && open && item.year !== year) onTry({ kind: 'pin', segment, year });
  };
  const dropped = (event: DragEvent, year: number): void => {
    event.preventDefault();
    setOver(null);
    move(event.dataTransfer.getData('text/plain'), year);
  };
  return (
    <>
      {/* biome-ignore lint/a11y/useSemanticElements: a fieldset is a form's; this is a group of columns */}
      <div
        className="plan-years"
        role="group"
        aria-label="The plan by year"
        aria-describedby={help}
        onKeyDown={(event) =>
          onBoardKey(event, '.plan-year', (button, by) => {
            const { segment } = button.dataset;
            const item = result.items.find((each) => each.segment === segment);
            if (item) move(item.segment, item.year + by);
          })
        }
      >
        {columns.map((column, at) => (
          // biome-ignore lint/a11y/noStaticElementInteractions: the keys do what dragging does
          <div
            className="plan-year"
            key={column.year}
            data-over={over === column.year || undefined}
            onDragOver={(event) => {
              event.preventDefault();
              setOver(column.year);
            }}
            onDragLeave={() => setOver(null)}
            onDrop={(event) => dropped(event, column.year)}
          >
            <YearHead year={result.byYear[at]!} />
            {column.groups.map((group) => (
              <div key={group.feeder} className={group.tied ? 'plan-group tied' : 'plan-group'}>
                <p className="caption plan-feeder" title={group.feeder}>
                  {group.feeder}
                </p>
                {group.items.map((item) => (
                  <button
                    type="button"
                    key={item.segmentId}
                    className="plan-item"
                    draggable
                    data-segment={item.segment}
                    tabIndex={item.segment === here ? 0 : -1}
                    aria-label={`${item.name}, ${moneyShort(item.cost)}, ${actionNames[item.action]}`}
                    title={`${item.name}: ${actionNames[item.action]}, feeder ${item.feeder}`}
                    onFocus={() => setStop(item.segment)}
                    onDragStart={(event) => event.dataTransfer.setData('text/plain', item.segment)}
                    onClick={() => onChoose(item)}
                  >
                    <span className="plan-name">
                      {item.forced && <span aria-hidden="true">› </span>}
                      {nameUnder(item.name, group.feeder)}
                    </span>{' '}
                    <span className="plan-cost">{moneyShort(item.cost)}</span>{' '}
                    {item.action !== 'replace' && item.action !== 'replace_with_neighbours' && (
                      <span className="plan-action">{actionNames[item.action]}</span>
                    )}
                  </button>
                ))}
              </div>
            ))}
            {column.items.length === 0 && <p className="caption">nothing</p>}
            {column.rest.length > 0 && <Rest column={column} onList={onList} />}
          </div>
        ))}
      </div>
      <p className="caption plan-help no-print" id={help}>
        {boardHelp}
      </p>
    </>
  );
}

function YearHead({ year }: { readonly year: PlanResult['byYear'][number] }) {
  const funds = year.budget + year.carriedIn;
  return (
    <div className="plan-year-head">
      <h2>{year.year}</h2>
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
        <span>{moneyShort(year.spent)}</span> <span>of {moneyShort(funds)}</span>
      </p>
    </div>
  );
}

function Rest({ column, onList }: { readonly column: YearColumn; readonly onList: (year: number) => void }) {
  const words = restWords(column.rest, useUnits());
  return (
    <p className="plan-rest">
      <button
        type="button"
        className="word"
        aria-label={`${column.year}: ${words.more}, ${words.length}, ${words.cost}`}
        onClick={() => onList(column.year)}
      >
        {words.more}
      </button>
      <span className="caption">{words.length}</span>
      <span className="caption">{words.cost}</span>
    </p>
  );
}

import { useState } from 'react';
import type { PlanItemRow, PlanResult, PlanWish } from '../../../core/contract/shapes/plan.ts';
import { Modal } from '../../parts/Modal.tsx';
import { nb } from '../../words/numbers.ts';
import { actionNames, money, moneyIn, waitingWords, yardsticks } from '../../words/plan.ts';
import { lengthWords } from '../../words/units.ts';
import { useAsk } from '../asking.ts';
import { hrefOf } from '../route.ts';
import { useUnits } from '../settings.ts';

interface Props {
  readonly item: PlanItemRow;
  readonly result: PlanResult;
  readonly onTry: (wish: PlanWish) => void;
  readonly onClose: () => void;
}

/** One project: why it is there, and what else could be tried with it. */
export function ItemSheet({ item, result, onTry, onClose }: Props) {
  const units = useUnits();
  const [year, setYear] = useState(item.year);
  const consequence = useAsk('plan.consequence', { segmentId: item.segmentId });
  return (
    <Modal title={`${item.name}, ${item.year}`} open onClose={onClose}>
      <p className="second">
        To {actionNames[item.action]}, {lengthWords(item.lengthM, units)}, feeder {item.feeder}.{' '}
        {moneyIn(result.currency)}.
      </p>
      <table className="ledger reckoning">
        <tbody>
          <Sum name="Cost, with its share of setting up" amount={item.cost} />
          <Sum name="Risk it removes, present value" amount={item.benefitPv} />
          <Sum name="less its cost, present value" amount={-item.costPv} />
          {item.residualPv > 0 && (
            <Sum name="plus what the new cable is worth at the horizon" amount={item.residualPv} />
          )}
          <Sum name="Net, present value" amount={item.netPv} total />
          {consequence.data && (
            <Sum
              name={`One failure would cost${consequence.data.complete ? '' : ', parts of it unknown'}`}
              amount={consequence.data.total}
            />
          )}
        </tbody>
      </table>
      <p className="item-parts" role="note" aria-label="If it waits a year">
        <span className="second">If it waits a year: </span>
        {waitingWords(item)}.
      </p>
      {consequence.data && (
        <p className="caption item-parts">
          One failure:{' '}
          {consequence.data.parts
            .map((part) => `${part.name}${nb}${part.amount.known ? money(part.amount.value) : part.amount.because}`)
            .join(' · ')}
        </p>
      )}
      <p className="caption item-parts">{yardsticks(result.question.objective)}</p>
      <p className="item-move">
        <label>
          Move it to{' '}
          <select className="field" value={year} onChange={(event) => setYear(Number(event.target.value))}>
            {result.byYear.map((each) => (
              <option key={each.year}>{each.year}</option>
            ))}
          </select>
        </label>{' '}
        · <a href={hrefOf('fleet', item.segmentId)}>the page of {item.name}</a>
      </p>
      <div className="modal-acts">
        <button
          type="button"
          className="button first"
          disabled={year === item.year && item.forced === 'pin'}
          onClick={() => onTry({ kind: 'pin', segment: item.segment, year })}
        >
          See what {year === item.year ? 'keeping it here' : 'the move'} costs
        </button>
        <button
          type="button"
          className="button"
          onClick={() => onTry({ kind: 'pin', segment: item.segment, year: null })}
        >
          See what leaving it costs
        </button>
      </div>
    </Modal>
  );
}

interface SumProps {
  readonly name: string;
  readonly amount: number;
  readonly total?: boolean;
}

/** A line of the reckoning; the total stands under a rule. */
function Sum({ name, amount, total = false }: SumProps) {
  return (
    <tr className={total ? 'total' : undefined}>
      <td className="left second">{name}</td>
      <td>{money(amount)}</td>
    </tr>
  );
}

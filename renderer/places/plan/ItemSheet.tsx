import { useState } from 'react';
import type { PlanItemRow, PlanResult, PlanWish } from '../../../core/contract/shapes/plan.ts';
import { Modal } from '../../parts/Modal.tsx';
import { actionNames, inCurrency, money, waitingWords, yardsticks } from '../../words/plan.ts';
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
      <table className="ledger">
        <tbody>
          <Fact
            name="What"
            value={`${actionNames[item.action]}, ${lengthWords(item.lengthM, units)}, feeder ${item.feeder}`}
          />
          <Fact name="Cost, with its share of setting up" value={inCurrency(item.cost, result.currency)} />
          <Fact name="Risk it removes, present value" value={money(item.benefitPv)} />
          <Fact name="less its cost, present value" value={money(item.costPv)} />
          {item.residualPv > 0 && (
            <Fact name="plus what the cable is worth at the horizon" value={money(item.residualPv)} />
          )}
          <Fact name="Net" value={money(item.netPv)} />
          <Fact name="If it waits a year" value={waitingWords(item)} />
          {consequence.data && (
            <Fact
              name="One failure would cost"
              value={`${money(consequence.data.total)}${consequence.data.complete ? '' : ', parts of it unknown'}`}
            />
          )}
        </tbody>
      </table>
      {consequence.data && (
        <p className="caption item-parts">
          {consequence.data.parts
            .map((part) => `${part.name}: ${part.amount.known ? money(part.amount.value) : part.amount.because}`)
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
        </label>
      </p>
      <div className="modal-acts">
        <button
          type="button"
          className="button first"
          disabled={year === item.year && item.forced === 'pin'}
          onClick={() => onTry({ kind: 'pin', segment: item.segment, year })}
        >
          See what {year === item.year ? 'fixing it here' : 'the move'} costs
        </button>
        <button
          type="button"
          className="button"
          onClick={() => onTry({ kind: 'pin', segment: item.segment, year: null })}
        >
          See what leaving it costs
        </button>
      </div>
      <p className="caption item-foot">
        <a href={hrefOf('fleet', item.segmentId)}>The page of {item.name}</a>
      </p>
    </Modal>
  );
}

function Fact({ name, value }: { readonly name: string; readonly value: string }) {
  return (
    <tr>
      <td className="left second">{name}</td>
      <td className="left">{value}</td>
    </tr>
  );
}

import { useMemo, useState } from 'react';
import type { PlanItemRow, PlanResult } from '../../../core/contract/shapes/plan.ts';
import { Modal } from '../../parts/Modal.tsx';
import { type Column, VirtualTable } from '../../parts/VirtualTable.tsx';
import { yearListHeads } from '../../words/heads.ts';
import { actionNames, money, moneyIn, yearWords } from '../../words/plan.ts';
import { lengthWords } from '../../words/units.ts';
import { useUnits } from '../settings.ts';

type Order = 'name' | 'feeder' | 'action' | 'length' | 'cost' | 'benefit' | 'net';

const figureOf: Readonly<Record<Order, (item: PlanItemRow) => string | number>> = {
  name: (item) => item.name,
  feeder: (item) => item.feeder,
  action: (item) => actionNames[item.action],
  length: (item) => item.lengthM,
  cost: (item) => item.cost,
  benefit: (item) => item.benefitPv,
  net: (item) => item.netPv,
};

interface Props {
  readonly result: PlanResult;
  readonly year: number;
  readonly onChoose: (item: PlanItemRow) => void;
  readonly onClose: () => void;
}

/** Every project of one year, in any order. */
export function YearList({ result, year, onChoose, onClose }: Props) {
  const units = useUnits();
  const [sort, setSort] = useState<{ order: Order; descending: boolean }>({ order: 'benefit', descending: true });
  const [active, setActive] = useState(0);
  const items = useMemo(() => result.items.filter((item) => item.year === year), [result, year]);
  const rows = useMemo(() => {
    const of = figureOf[sort.order];
    const up = (a: PlanItemRow, b: PlanItemRow): number => {
      const [x, y] = [of(a), of(b)];
      return typeof x === 'number' && typeof y === 'number'
        ? x - y
        : String(x).localeCompare(String(y), 'en', { numeric: true });
    };
    return [...items].sort((a, b) => (sort.descending ? -up(a, b) : up(a, b)));
  }, [items, sort]);
  const columns: Column<PlanItemRow, Order>[] = [
    {
      key: 'name',
      head: yearListHeads.segment,
      track: 'minmax(112px, 1.2fr)',
      left: true,
      order: 'name',
      cell: (item) => (item.forced ? `› ${item.name}` : item.name),
    },
    {
      key: 'feeder',
      head: yearListHeads.feeder,
      track: 'minmax(96px, 1fr)',
      left: true,
      order: 'feeder',
      cell: (i) => i.feeder,
    },
    {
      key: 'action',
      head: yearListHeads.whatIsDone,
      track: 'minmax(178px, 1fr)',
      left: true,
      order: 'action',
      cell: (item) => actionNames[item.action],
    },
    {
      key: 'length',
      head: yearListHeads.workOn,
      track: '76px',
      order: 'length',
      cell: (i) => lengthWords(i.lengthM, units),
    },
    { key: 'cost', head: yearListHeads.cost, track: '88px', order: 'cost', cell: (item) => money(item.cost) },
    {
      key: 'benefit',
      head: yearListHeads.riskRemoved,
      track: '100px',
      order: 'benefit',
      cell: (item) => money(item.benefitPv),
    },
    { key: 'net', head: yearListHeads.net, track: '88px', order: 'net', cell: (item) => money(item.netPv) },
  ];
  return (
    <Modal title={`All projects of ${year}`} open onClose={onClose} wide>
      <p className="second">
        {yearWords(items, units)}. {moneyIn(result.currency)}; risk removed and net are present values.
      </p>
      <div className="year-list">
        <VirtualTable
          label={`Projects of ${year}`}
          columns={columns}
          total={rows.length}
          rowAt={(index) => rows[index]}
          keyOf={(item) => item.segmentId}
          sort={sort}
          onSort={(order) => {
            const words = order === 'name' || order === 'feeder' || order === 'action';
            setSort({ order, descending: sort.order === order ? !sort.descending : !words });
            setActive(0);
          }}
          active={active}
          onActive={setActive}
          onOpen={onChoose}
        />
      </div>
      <div className="modal-acts">
        <button type="button" className="button" onClick={onClose}>
          Close
        </button>
      </div>
    </Modal>
  );
}

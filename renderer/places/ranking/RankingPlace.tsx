import { useCallback, useEffect, useMemo, useState } from 'react';
import type { RankingFilter } from '../../../core/contract/asks/ranking.ts';
import { Empty, Failed, Waiting } from '../../parts/states.tsx';
import { useWidth } from '../../parts/useWidth.ts';
import { VirtualTable } from '../../parts/VirtualTable.tsx';
import { columnsNote, headWords, rankingWords, risesAsRead } from '../../words/ranking.ts';
import { addChosen, turnChosen, useChosen } from '../chosen.ts';
import { ChosenBar } from '../fleet/ChosenBar.tsx';
import { go, hrefOf } from '../route.ts';
import { useSettings } from '../settings.ts';
import { Changed } from './Changed.tsx';
import { Compare } from './Compare.tsx';
import { rankingColumns } from './columns.tsx';
import { leaveView, leftView, openFromView } from './leftView.ts';
import { Method } from './Method.tsx';
import { RankingActs, sortedBy } from './RankingActs.tsx';
import { RankingFilters } from './RankingFilters.tsx';
import { askRanking, type RankingView, useRankingRows } from './useRankingRows.ts';
import './ranking.css';

interface Props {
  /** Which fleet, to keep its views apart. */
  readonly fleet: string;
  /** Two segments to lay side by side, their ids with a plus between; 'method'; or 'since', with a day behind a dash. */
  readonly compared: string | null;
}

/** As wide as the table stands beside the margins of the sheet; taken wrongly it would be laid out twice at first. */
const tableWidth = (): number => innerWidth - (innerWidth > 1100 ? 106 : 62);

/** The growth ranking: every segment on one scale. */
export function RankingPlace({ fleet, compared }: Props) {
  const pair = compared?.split('+') ?? [];
  if (compared === 'method') return <Method />;
  if (compared?.startsWith('since')) return <Changed since={compared.slice('since-'.length) || null} />;
  return pair.length === 2 ? <Compare ids={[pair[0]!, pair[1]!]} /> : <Ranking fleet={fleet} />;
}

function Ranking({ fleet }: { readonly fleet: string }) {
  const { hiddenColumns } = useSettings();
  const chosen = useChosen();
  const marked = useMemo(() => new Set(chosen.keys()), [chosen]);
  const [left] = useState(() => leftView(fleet));
  const [view, setView] = useState<RankingView>(left);
  const { sort, filter } = view;
  const [active, setActive] = useState(left.active);
  useEffect(() => leaveView(fleet, { sort, filter, active }), [fleet, sort, filter, active]);
  const show = useCallback((next: RankingView): void => {
    void askRanking(next);
    setView(next);
  }, []);
  const narrow = useCallback((next: RankingFilter) => show({ sort, filter: next }), [show, sort]);
  const readAhead = useCallback((next: RankingFilter) => askRanking({ sort, filter: next }), [sort]);
  const [place, width] = useWidth<HTMLDivElement>(tableWidth(), 'ranking');
  const { first, total, rowAt, onSight } = useRankingRows(view);
  const strip = first.data?.rows[0]?.strip;
  const years = strip ? strip.to - strip.from + 1 : 30;
  const { lo, hi } = first.data?.scale ?? { lo: -5, hi: 25 };
  const columns = useMemo(
    () =>
      rankingColumns({ width, scale: { lo, hi }, years, marked }).filter(
        (column) => !hiddenColumns.includes(column.key),
      ),
    [width, lo, hi, years, marked, hiddenColumns],
  );
  return (
    <article className="sheet ranking">
      <div className="ranking-head">
        <h1>{rankingWords.title}</h1>
        <span className="second">{first.data ? headWords(first.data) : ''}</span>
        <RankingFilters filter={filter} onFilter={narrow} readAhead={readAhead} />
        <RankingActs
          fleet={fleet}
          sort={sort}
          filter={filter}
          hiddenColumns={hiddenColumns}
          width={width}
          onShow={show}
        />
      </div>
      <div className="ranking-table" ref={place}>
        {first.isError ? (
          <Failed error={first.error} again={() => void first.refetch()} />
        ) : !first.data ? (
          <Waiting words={rankingWords.waiting} />
        ) : total === 0 ? (
          <Nothing filtered={Object.keys(filter).length > 0} onClear={() => narrow({})} />
        ) : (
          <VirtualTable
            label={rankingWords.title}
            columns={columns}
            total={total}
            rowAt={rowAt}
            keyOf={(row) => row.id}
            onSight={onSight}
            sort={{ order: sort.order, descending: sort.descending !== risesAsRead.has(sort.order) }}
            onSort={(next) => show({ sort: sortedBy(next, sort), filter })}
            active={active}
            startAt={left.active}
            onActive={setActive}
            takesFocus={left.opened}
            onOpen={(row) => {
              openFromView(fleet);
              go('fleet', row.id);
            }}
            onMark={(row) => turnChosen([row])}
            onSpan={addChosen}
            markedKeys={marked}
          />
        )}
      </div>
      <ChosenBar />
      {total > 0 && <p className="caption ranking-note">{columnsNote({ lo, hi })}</p>}
    </article>
  );
}

function Nothing({ filtered, onClear }: { readonly filtered: boolean; readonly onClear: () => void }) {
  return filtered ? (
    <Empty title={rankingWords.noneFits}>
      <p>
        <button type="button" className="word" onClick={onClear}>
          {rankingWords.showEvery}
        </button>
      </p>
    </Empty>
  ) : (
    <Empty title={rankingWords.nothing}>
      <p>
        {rankingWords.needs} <a href={hrefOf('import')}>{rankingWords.importThem}</a>.
      </p>
    </Empty>
  );
}

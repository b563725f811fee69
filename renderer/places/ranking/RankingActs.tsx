import { memo } from 'react';
import type { InputOf } from '../../../core/contract/asks/index.ts';
import type { RankingColumn, RankingFilter } from '../../../core/contract/asks/ranking.ts';
import { ask } from '../../client/index.ts';
import { WordFilter } from '../../parts/WordFilter.tsx';
import { actWords, headFirst, orderNames, paperChoices, paperName, printedWords } from '../../words/ranking.ts';
import { save } from '../acts.ts';
import { hrefOf } from '../route.ts';
import { change } from '../settings.ts';
import { columnChoices, columnsToChoose } from './columns.tsx';
import type { SavedView } from './savedViews.ts';
import type { Order, RankingView, Sort } from './useRankingRows.ts';
import { Views } from './Views.tsx';

type Paper = NonNullable<InputOf<'ranking.print'>['paper']>;
const papers = paperChoices.map((id) => ({ id, name: paperName(id) }));
const orders = Object.entries(orderNames).map(([id, name]) => ({ id, name }));
const columnIds = columnChoices.map(({ id }) => id);

/** The order that a person gets who asks for this one: its head first, and turned round where it is there already. */
export const sortedBy = (order: Order, now: Sort): Sort => ({
  order,
  descending: order === now.order ? !now.descending : headFirst[order],
});

interface Props {
  readonly fleet: string;
  readonly sort: Sort;
  readonly filter: RankingFilter;
  readonly hiddenColumns: readonly string[];
  /** Of the table, px. */
  readonly width: number;
  readonly onShow: (view: RankingView) => void;
}

/** What can be done with the view that is shown, as words at the right of its head. */
export const RankingActs = memo(function RankingActs(props: Props) {
  const { fleet, sort, filter, hiddenColumns, width, onShow } = props;
  const leftOut: RankingColumn[] = columnIds.filter((id) => hiddenColumns.includes(id));
  const savePdf = (paper: Paper): Promise<void> =>
    save(
      'ranking.pdf',
      'file',
      (pdf) => ask('ranking.print', { pdf, paper, ...sort, filter, without: leftOut }),
      printedWords,
    );
  const show = (view: SavedView): void => {
    onShow(view);
    if (view.hiddenColumns) change({ hiddenColumns: view.hiddenColumns });
  };
  return (
    <span className="ranking-acts second">
      {actWords.orderBy}{' '}
      <WordFilter
        label={actWords.order}
        words={orderNames[sort.order]}
        choices={orders}
        chosen={[sort.order]}
        onChoose={([next]) => next && onShow({ sort: sortedBy(next as Order, sort), filter })}
      />{' '}
      · <Views fleet={fleet} filter={filter} sort={sort} hiddenColumns={hiddenColumns} onView={show} /> ·{' '}
      <WordFilter
        label={actWords.columns}
        words={actWords.columnsWord}
        many
        choices={columnsToChoose(width)}
        chosen={columnIds.filter((id) => !hiddenColumns.includes(id))}
        onChoose={(ids) => change({ hiddenColumns: columnIds.filter((id) => !ids.includes(id)) })}
      />{' '}
      · <a href={hrefOf('ranking', 'since')}>{actWords.changed}</a> ·{' '}
      <a href={hrefOf('ranking', 'method')}>{actWords.trust}</a> ·{' '}
      <WordFilter
        label={actWords.print}
        words={actWords.printWord}
        choices={papers}
        chosen={[]}
        onChoose={([paper]) => paper && void savePdf(paper as Paper)}
      />{' '}
      ·{' '}
      <button type="button" className="word" onClick={() => void saveCsv()}>
        {actWords.csv}
      </button>
    </span>
  );
});

const saveCsv = (): Promise<void> =>
  save('ranking.csv', 'file', (csv) => ask('ranking.list', { csv }), actWords.csvWritten);

import type { InputOf } from '../../../core/contract/asks/index.ts';
import type { RankingFilter } from '../../../core/contract/asks/ranking.ts';
import { asking, queries } from '../asking.ts';
import { stretch, useStretches } from '../stretches.ts';

export type Order = NonNullable<InputOf<'ranking.page'>['order']>;

export interface Sort {
  readonly order: Order;
  readonly descending: boolean;
}

/** A list of the ranking: its order, and what it leaves out. */
export interface RankingView {
  readonly sort: Sort;
  readonly filter: RankingFilter;
}

const page = ({ sort, filter }: RankingView, from: number) => ({ from, count: stretch, ...sort, filter });

/** The rows of the ranking in this order, under this filter. */
export const useRankingRows = (view: RankingView) =>
  useStretches({
    name: 'ranking.page',
    input: (from) => page(view, from),
    rows: (answer) => answer.rows,
    total: (answer) => answer.total,
  });

/** Asks for the first rows of a view as it is chosen, or before: the host finds them while the window draws the choice. */
export const askRanking = (view: RankingView): Promise<void> =>
  queries.prefetchQuery(asking('ranking.page', page(view, 0)));

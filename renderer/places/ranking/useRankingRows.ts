import type { InputOf } from '../../../core/contract/asks/index.ts';
import type { RankingFilter } from '../../../core/contract/asks/ranking.ts';
import { stretch, useStretches } from '../stretches.ts';

export type Order = NonNullable<InputOf<'ranking.page'>['order']>;

export interface Sort {
  readonly order: Order;
  readonly descending: boolean;
}

/** The rows of the ranking in this order, under this filter. */
export const useRankingRows = (sort: Sort, filter: RankingFilter) =>
  useStretches({
    name: 'ranking.page',
    input: (from) => ({ from, count: stretch, ...sort, filter }),
    rows: (answer) => answer.rows,
    total: (answer) => answer.total,
  });

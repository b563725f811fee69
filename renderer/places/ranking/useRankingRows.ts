import { useQueries } from '@tanstack/react-query';
import { useCallback, useState } from 'react';
import type { InputOf } from '../../../core/contract/asks/index.ts';
import type { RankingFilter } from '../../../core/contract/asks/ranking.ts';
import type { RankingRow } from '../../../core/contract/shapes/standing.ts';
import { asking, useAsk } from '../asking.ts';

export type Order = NonNullable<InputOf<'ranking.page'>['order']>;

export interface Sort {
  readonly order: Order;
  readonly descending: boolean;
}

const stretch = 100;

/** The ranking by stretches of a hundred rows: those in sight are asked for, those seen are kept. */
export function useRankingRows(sort: Sort, filter: RankingFilter) {
  const [sight, setSight] = useState({ from: 0, to: 0 });
  const input = (at: number): InputOf<'ranking.page'> => ({ from: at * stretch, count: stretch, ...sort, filter });
  const first = useAsk('ranking.page', input(0), { keep: true });
  const total = first.data?.total ?? 0;
  const wanted: number[] = [];
  for (let at = Math.max(1, Math.floor(sight.from / stretch)); at * stretch <= Math.min(sight.to, total - 1); at++)
    wanted.push(at);
  const more = useQueries({ queries: wanted.map((at) => asking('ranking.page', input(at))) });
  const stretches = new Map<number, readonly RankingRow[]>();
  if (first.data) stretches.set(0, first.data.rows);
  wanted.forEach((at, index) => {
    const rows = more[index]?.data?.rows;
    if (rows) stretches.set(at, rows);
  });
  const rowAt = (index: number): RankingRow | undefined =>
    stretches.get(Math.floor(index / stretch))?.[index % stretch];
  const onSight = useCallback(
    (from: number, to: number) =>
      setSight((now) => {
        const [a, b] = [Math.floor(from / stretch), Math.floor(to / stretch)];
        return Math.floor(now.from / stretch) === a && Math.floor(now.to / stretch) === b ? now : { from, to };
      }),
    [],
  );
  return { first, total, rowAt, onSight };
}

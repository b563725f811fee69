import type { RankingFilter } from '../../../core/contract/asks/ranking.ts';
import type { Sort } from './useRankingRows.ts';

/** The ranking as it was left for a segment's page, to come back to. */
export interface LeftView {
  readonly sort: Sort;
  readonly filter: RankingFilter;
  readonly active: number;
}

const fresh: LeftView = { sort: { order: 'growth', descending: true }, filter: {}, active: 0 };
const left = new Map<string, LeftView>();

export const leftView = (fleet: string): LeftView => left.get(fleet) ?? fresh;

export const leaveView = (fleet: string, view: LeftView): void => void left.set(fleet, view);

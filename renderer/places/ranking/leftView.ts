import type { RankingView } from './useRankingRows.ts';

/** The ranking as it was left for a segment's page, to come back to. */
export interface LeftView extends RankingView {
  readonly active: number;
  /** It was left by opening a row. */
  readonly opened: boolean;
}

const fresh: LeftView = { sort: { order: 'growth', descending: true }, filter: {}, active: 0, opened: false };
const left = new Map<string, LeftView>();

export const leftView = (fleet: string): LeftView => left.get(fleet) ?? fresh;

export const leaveView = (fleet: string, view: Omit<LeftView, 'opened'>): void =>
  void left.set(fleet, { ...view, opened: false });

export const openFromView = (fleet: string): void => void left.set(fleet, { ...leftView(fleet), opened: true });

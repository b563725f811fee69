import { useSyncExternalStore } from 'react';
import type { RankingView } from './useRankingRows.ts';

/** A view of the ranking that a person named: its filter, its order and the columns it leaves out. */
export interface SavedView extends RankingView {
  readonly name: string;
  readonly hiddenColumns?: readonly string[];
}

/** Views are kept for each fleet, since they name its substations and feeders. */
const keyOf = (fleet: string): string => `cable-yearbook-views ${fleet}`;

const read = new Map<string, readonly SavedView[]>();
const listeners = new Set<() => void>();

function viewsOf(fleet: string): readonly SavedView[] {
  const known = read.get(fleet);
  if (known) return known;
  let views: readonly SavedView[] = [];
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(keyOf(fleet)) ?? '[]');
    if (Array.isArray(kept)) views = kept as SavedView[];
  } catch {
    // What cannot be read is as good as nothing; saving a view writes it anew.
  }
  read.set(fleet, views);
  return views;
}

function keep(fleet: string, views: readonly SavedView[]): void {
  read.set(fleet, views);
  localStorage.setItem(keyOf(fleet), JSON.stringify(views));
  for (const listener of listeners) listener();
}

export const saveView = (fleet: string, view: SavedView): void =>
  keep(fleet, [...viewsOf(fleet).filter((each) => each.name !== view.name), view]);

export const dropView = (fleet: string, name: string): void =>
  keep(
    fleet,
    viewsOf(fleet).filter((each) => each.name !== name),
  );

export const useSavedViews = (fleet: string): readonly SavedView[] =>
  useSyncExternalStore(
    (listener) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    () => viewsOf(fleet),
  );

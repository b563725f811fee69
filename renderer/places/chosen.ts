import { useSyncExternalStore } from 'react';
import { host } from '../client/index.ts';

/** A segment that was chosen for something to be done with it and others. */
export interface Chosen {
  readonly id: string;
  readonly name: string;
}

/** Segments chosen in the tree or in the ranking, in the order they were chosen; kept while the window lives. */
let chosen: ReadonlyMap<string, Chosen> = new Map();
const listeners = new Set<() => void>();

function set(next: ReadonlyMap<string, Chosen>): void {
  chosen = next;
  for (const listener of listeners) listener();
}

/** As many as one ask takes. */
export const mostChosen = 5000;

export const addChosen = (some: readonly Chosen[]): void =>
  set(new Map([...chosen, ...some.map(({ id, name }) => [id, { id, name }] as const)].slice(0, mostChosen)));

/** All of them in, or where all are in already, all out. */
export function turnChosen(some: readonly Chosen[]): void {
  if (some.every(({ id }) => chosen.has(id))) {
    const out = new Set(some.map(({ id }) => id));
    set(new Map([...chosen].filter(([id]) => !out.has(id))));
  } else addChosen(some);
}

export const dropChosen = (): void => set(new Map());

// Another fleet has other segments.
host.onFleet(dropChosen);

export const useChosen = (): ReadonlyMap<string, Chosen> =>
  useSyncExternalStore(
    (listener) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    () => chosen,
  );

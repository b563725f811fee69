import { useSyncExternalStore } from 'react';

export const places = ['fleet', 'ranking', 'plan', 'retests', 'evidence', 'import'] as const;
export type Place = (typeof places)[number];

/** Where the window stands: a place, and what is open there: `#/fleet/0197…`. */
export interface Route {
  readonly place: Place;
  readonly id: string | null;
}

function parse(hash: string): Route {
  const [, place, id] = hash.replace(/^#/, '').split('/');
  const known = places.find((each) => each === place) ?? 'fleet';
  return { place: known, id: id ? decodeURIComponent(id) : null };
}

let route = parse(location.hash);
const listeners = new Set<() => void>();
addEventListener('hashchange', () => {
  route = parse(location.hash);
  for (const listener of listeners) listener();
});

export const hrefOf = (place: Place, id: string | null = null): string =>
  `#/${place}${id === null ? '' : `/${encodeURIComponent(id)}`}`;

export function go(place: Place, id: string | null = null): void {
  location.hash = hrefOf(place, id).slice(1);
}

export const useRoute = (): Route =>
  useSyncExternalStore(
    (listener) => {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    () => route,
  );

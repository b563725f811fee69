import { useSyncExternalStore } from 'react';

export const places = ['fleet', 'ranking', 'plan', 'retests', 'evidence', 'import'] as const;
export type Place = (typeof places)[number];

/** Where the window stands: a place, what is open there, and how it is narrowed: `#/fleet/0197…?insulation=PILC`. */
export interface Route {
  readonly place: Place;
  readonly id: string | null;
  /** What stands behind the question mark; '' without one. */
  readonly query: string;
}

function parse(hash: string): Route {
  const [path, query] = hash.replace(/^#/, '').split('?');
  const [, place, id] = path!.split('/');
  const known = places.find((each) => each === place) ?? 'fleet';
  return { place: known, id: id ? decodeURIComponent(id) : null, query: query ?? '' };
}

let route = parse(location.hash);
/** How each place was narrowed when it was last seen. */
const narrowed = new Map<Place, string>([[route.place, route.query]]);
const listeners = new Set<() => void>();
let read = location.hash;
function follow(): void {
  if (location.hash === read) return;
  read = location.hash;
  route = parse(read);
  narrowed.set(route.place, route.query);
  for (const listener of listeners) listener();
}
addEventListener('hashchange', follow);

/** Changes the address, and the window with it: a browser tells of it later, sometimes after the next frame. */
export function turnTo(hash: string): void {
  location.hash = hash.slice(1);
  follow();
}

export const hrefOf = (place: Place, id: string | null = null, query = ''): string =>
  `#/${place}${id === null ? '' : `/${encodeURIComponent(id)}`}${query === '' ? '' : `?${query}`}`;

export function go(place: Place, id: string | null = null, query = ''): void {
  turnTo(hrefOf(place, id, query));
}

/** A place as it was last narrowed. */
export const hrefOfPlace = (place: Place): string => hrefOf(place, null, narrowed.get(place));

/** The same place narrowed otherwise. `typing` takes the address's place in the history instead of adding to it. */
export function narrow(query: string, typing = false): void {
  const to = hrefOf(route.place, route.id, query);
  if (typing) location.replace(to);
  else turnTo(to);
}

const subscribe = (listener: () => void): (() => void) => {
  listeners.add(listener);
  return () => listeners.delete(listener);
};

export const useRoute = (): Route => useSyncExternalStore(subscribe, () => route);

/** How the place is narrowed, for parts to which it is the same what is open there. */
export const useRouteQuery = (): string => useSyncExternalStore(subscribe, () => route.query);

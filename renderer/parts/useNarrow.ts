import { useSyncExternalStore } from 'react';

const queries = new Map<number, MediaQueryList>();

function queryOf(below: number): MediaQueryList {
  const query = queries.get(below) ?? matchMedia(`(max-width: ${below - 1}px)`);
  queries.set(below, query);
  return query;
}

/** True where there is no room for a margin: in a window under so many pixels. */
export const useNarrow = (below = 1200): boolean => {
  const query = queryOf(below);
  return useSyncExternalStore(
    (listener) => {
      query.addEventListener('change', listener);
      return () => query.removeEventListener('change', listener);
    },
    () => query.matches,
  );
};

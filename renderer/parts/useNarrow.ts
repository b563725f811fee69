import { useSyncExternalStore } from 'react';

const query = matchMedia('(max-width: 1199px)');

/** True where there is no room for a margin. */
export const useNarrow = (): boolean =>
  useSyncExternalStore(
    (listener) => {
      query.addEventListener('change', listener);
      return () => query.removeEventListener('change', listener);
    },
    () => query.matches,
  );

import { useEffect } from 'react';
import { host, type MenuWord } from '../../client/index.ts';
import { undoLast } from '../../parts/toast.ts';
import { go, places } from '../route.ts';
import { focusFinder } from './finderFocus.ts';
import { openDemo, openFleet } from './fleetActs.ts';

/** Does what the native menu of the window says. */
export function useMenuWords(onShortcuts: () => void, onNew: () => void): void {
  useEffect(
    () =>
      host.onMenu((word: MenuWord) => {
        if (word === 'open') void openFleet(null, false);
        else if (word === 'open-read-only') void openFleet(null, true);
        else if (word === 'demo') void openDemo();
        else if (word === 'import') go('import');
        else if (word === 'find') focusFinder();
        else if (word === 'shortcuts') onShortcuts();
        else if (word === 'new') onNew();
        else if (word === 'undo') undoLast();
        else if (word.startsWith('place:')) go(places.find((place) => word === `place:${place}`) ?? 'fleet');
      }),
    [onShortcuts, onNew],
  );
}

import { useLayoutEffect } from 'react';
import { undoLast } from '../../parts/toast.ts';
import { typing } from '../../parts/typing.ts';
import { hrefOfPlace, places, turnTo } from '../route.ts';
import { focusFinder } from './finderFocus.ts';

/** Keys that work wherever the focus is. */
export function useKeys(open: boolean, onShortcuts: () => void): void {
  // From the moment that the window stands: a key that is pressed at once is heard.
  useLayoutEffect(() => {
    const onKey = (event: KeyboardEvent): void => {
      if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 'k') {
        event.preventDefault();
        focusFinder();
      } else if (event.key === '?' && !typing(event.target)) {
        event.preventDefault();
        onShortcuts();
      } else if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 'z' && !typing(event.target)) {
        if (undoLast()) event.preventDefault();
      } else if (open && event.altKey && /^[1-6]$/.test(event.key)) {
        event.preventDefault();
        turnTo(hrefOfPlace(places[Number(event.key) - 1]!));
      }
    };
    addEventListener('keydown', onKey);
    return () => removeEventListener('keydown', onKey);
  }, [open, onShortcuts]);
}

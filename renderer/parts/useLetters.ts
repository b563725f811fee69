import { useLayoutEffect, useRef } from 'react';
import { typing } from './typing.ts';

/** Single letters that do something on this page; silent while a field has the focus or a sheet lies on the page. */
export function useLetters(letters: Readonly<Record<string, () => void>>): void {
  const latest = useRef(letters);
  latest.current = letters;
  // From the moment that the page stands: a letter that is typed at once is heard.
  useLayoutEffect(() => {
    const onKey = (event: KeyboardEvent): void => {
      if (event.ctrlKey || event.metaKey || event.altKey || typing(event.target)) return;
      if (document.querySelector('[role=dialog]')) return;
      const act = latest.current[event.key.toLowerCase()];
      if (!act) return;
      event.preventDefault();
      act();
    };
    addEventListener('keydown', onKey);
    return () => removeEventListener('keydown', onKey);
  }, []);
}

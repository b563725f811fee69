import { type KeyboardEvent, useRef } from 'react';

/**
 * Letters typed in quick succession become a word to look for; the same letter again means the next one.
 * Gives a handler that returns true where it took the key.
 */
export function useTypeahead(find: (text: string, repeat: boolean) => void): (event: KeyboardEvent) => boolean {
  const typed = useRef({ text: '', at: 0 });
  return (event) => {
    if (event.key.length !== 1 || event.ctrlKey || event.metaKey || event.altKey || event.key === '?') return false;
    const letter = event.key.toLowerCase();
    const fresh = event.timeStamp - typed.current.at > 800;
    const repeat = fresh || typed.current.text === letter;
    const text = repeat ? letter : typed.current.text + letter;
    typed.current = { text, at: event.timeStamp };
    find(text, repeat);
    return true;
  };
}

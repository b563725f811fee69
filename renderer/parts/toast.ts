/** A passing word, with a way back where there is one. */
export interface Toast {
  readonly key: number;
  readonly words: string;
  readonly undo: (() => void) | null;
}

let toast: Toast | null = null;
let next = 1;
let timer: ReturnType<typeof setTimeout> | undefined;
let held = false;
const listeners = new Set<() => void>();
const set = (value: Toast | null): void => {
  toast = value;
  for (const listener of listeners) listener();
};

/** Says something at the foot of the window; a word that can be undone stays longer. */
export function say(words: string, undo: (() => void) | null = null): void {
  set({ key: next++, words, undo });
  wear();
}

/** Lets the word pass in its time, unless somebody is at it. */
function wear(): void {
  clearTimeout(timer);
  if (toast && !held) timer = setTimeout(() => set(null), toast.undo ? 12_000 : 6_000);
}

/** Keeps the word while the pointer or the focus is on it; its time begins anew once they have left. */
export function hold(on: boolean): void {
  held = on;
  wear();
}

export const hush = (): void => {
  clearTimeout(timer);
  held = false;
  set(null);
};

/** Takes back what the passing word offers to take back. False: there was nothing. */
export function undoLast(): boolean {
  if (!toast?.undo) return false;
  toast.undo();
  hush();
  return true;
}

export const toasts = {
  now: (): Toast | null => toast,
  subscribe: (listener: () => void): (() => void) => {
    listeners.add(listener);
    return () => listeners.delete(listener);
  },
};

import type { KeyboardEvent } from 'react';

const steps: Readonly<Record<string, readonly [columns: number, rows: number]>> = {
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
};

/**
 * Walks the buttons of a board of columns by arrows, Home and End. Shift with ← or → asks for the column beside the
 * focused button's own. An empty column is passed over.
 */
export function onBoardKey(
  event: KeyboardEvent<HTMLElement>,
  columnSelector: string,
  onShift: (button: HTMLButtonElement, columns: -1 | 1) => void,
): void {
  const here = (event.target as Element).closest('button');
  const own = here?.closest(columnSelector);
  if (!here || !own || event.altKey || event.ctrlKey || event.metaKey) return;
  const columns = [...event.currentTarget.querySelectorAll(columnSelector)];
  const buttons = (column: Element): HTMLButtonElement[] => [...column.querySelectorAll('button')];
  const column = columns.indexOf(own);
  const row = buttons(own).indexOf(here);
  let next: HTMLButtonElement | undefined;
  if (event.key === 'Home') next = buttons(own)[0];
  else if (event.key === 'End') next = buttons(own).at(-1);
  else {
    const step = steps[event.key];
    if (!step) return;
    if (event.shiftKey) {
      if (step[0] === 0) return;
      event.preventDefault();
      onShift(here, step[0] > 0 ? 1 : -1);
      return;
    }
    if (step[0] === 0) next = buttons(own)[row + step[1]];
    for (let at = column + step[0]; step[0] !== 0 && columns[at] && !next; at += step[0]) {
      const there = buttons(columns[at]!);
      next = there[Math.min(row, there.length - 1)];
    }
  }
  event.preventDefault();
  next?.focus();
  next?.scrollIntoView({ block: 'nearest', inline: 'nearest' });
}

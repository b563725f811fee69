import { type KeyboardEvent, type MouseEvent, memo, type ReactNode, useRef, useState } from 'react';
import { useRowWindow } from './useRowWindow.ts';
import { useTypeahead } from './useTypeahead.ts';
import './tree.css';

/**
 * A row of a tree as it stands now: only open branches have their children in the list. A row that has not changed is
 * the same object as before, and is not drawn again.
 */
export interface TreeRow {
  readonly id: string;
  readonly level: number;
  /** 1-based place among its siblings, and how many they are. */
  readonly pos: number;
  readonly size: number;
  /** The row above it in the tree, null at the top. */
  readonly parentId: string | null;
  /** null: a leaf. */
  readonly open: boolean | null;
  readonly name: string;
  /** What a screen reader says of it. */
  readonly spoken: string;
}

interface Props<R extends TreeRow> {
  readonly rows: readonly R[];
  readonly label: string;
  readonly activeId: string | null;
  /** The leaf whose page is shown. */
  readonly currentId: string | null;
  readonly onActive: (row: R) => void;
  readonly onOpen: (row: R) => void;
  readonly onToggle: (row: R, open: boolean) => void;
  readonly chosen: ReadonlySet<string>;
  /** Space or a click with Ctrl: one row, which may be a branch. With Shift: the rows from there to here. */
  readonly onChoose: (rows: readonly R[], how: 'turn' | 'add') => void;
  /** Keys that the tree leaves to its place; true: taken. */
  readonly onKey: (event: KeyboardEvent) => boolean;
  /** What a row shows; the same function as long as it shows the same. */
  readonly children: (row: R) => ReactNode;
}

const rowHeight = 27;

/**
 * A tree with one tab stop. Arrows walk and open, * opens a branch's neighbours, Home and End jump, letters find, Enter
 * opens the page; Space chooses, Shift with arrows or a click chooses a span.
 */
export function Tree<R extends TreeRow>({
  rows,
  label,
  activeId,
  currentId,
  onActive,
  onOpen,
  onToggle,
  chosen,
  onChoose,
  onKey,
  children,
}: Props<R>) {
  const pane = useRef<HTMLDivElement>(null);
  const { from, to, fitting, aim } = useRowWindow(pane, rows.length, rowHeight);
  const active = Math.max(
    0,
    rows.findIndex((row) => row.id === activeId),
  );
  const current = currentId === null ? -1 : rows.findIndex((row) => row.id === currentId);
  const [shown, setShown] = useState<string | null>(null);
  if (current >= 0 && shown !== currentId) {
    setShown(currentId);
    aim(current);
  }
  // Where a span began: the last row that was chosen or walked to without Shift.
  const anchor = useRef<string | null>(null);

  const go = (index: number): void => {
    const at = Math.max(0, Math.min(rows.length - 1, index));
    const row = rows[at];
    if (!row) return;
    onActive(row);
    aim(at);
  };
  const typed = useTypeahead((text, repeat) => {
    const from = repeat ? active + 1 : active;
    for (let step = 0; step < rows.length; step++) {
      const at = (from + step) % rows.length;
      if (rows[at]!.name.toLowerCase().startsWith(text)) return go(at);
    }
  });
  const page = Math.max(1, fitting - 1);
  const span = (to: number): void => {
    const from = rows.findIndex((row) => row.id === anchor.current);
    const [low, high] = [Math.min(from < 0 ? active : from, to), Math.max(from < 0 ? active : from, to)];
    if (from < 0) anchor.current = rows[active]?.id ?? null;
    onChoose(
      rows.slice(low, high + 1).filter((row) => row.open === null),
      'add',
    );
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    const row = rows[active];
    if (onKey(event)) {
      event.preventDefault();
      return;
    }
    if (!row) return;
    if (event.shiftKey && (event.key === 'ArrowDown' || event.key === 'ArrowUp')) {
      const to = Math.max(0, Math.min(rows.length - 1, active + (event.key === 'ArrowDown' ? 1 : -1)));
      span(to);
      go(to);
      event.preventDefault();
      return;
    }
    if (event.key !== 'Shift') anchor.current = null;
    if (event.key === 'ArrowDown') go(active + 1);
    else if (event.key === 'ArrowUp') go(active - 1);
    else if (event.key === 'Home') go(0);
    else if (event.key === 'End') go(rows.length - 1);
    else if (event.key === 'PageDown') go(active + page);
    else if (event.key === 'PageUp') go(active - page);
    else if (event.key === 'ArrowRight') {
      if (row.open === false) onToggle(row, true);
      else if (rows[active + 1]?.parentId === row.id) go(active + 1);
    } else if (event.key === 'ArrowLeft') {
      if (row.open) onToggle(row, false);
      else if (row.parentId !== null) go(rows.findIndex((each) => each.id === row.parentId));
    } else if (event.key === 'Enter') {
      if (row.open === null) onOpen(row);
      else onToggle(row, !row.open);
    } else if (event.key === ' ') {
      anchor.current = row.id;
      onChoose([row], 'turn');
    } else if (event.key === '*') {
      for (const each of rows) if (each.parentId === row.parentId && each.open === false) onToggle(each, true);
    } else if (!typed(event)) return;
    event.preventDefault();
  };
  const onClick = (event: MouseEvent): void => {
    const element = (event.target as Element).closest<HTMLElement>('[role=treeitem]');
    const index = rows.findIndex((row) => idOf(row) === element?.id);
    const row = rows[index];
    if (!row) return;
    onActive(row);
    if (event.shiftKey) {
      span(index);
      return;
    }
    anchor.current = row.id;
    if (event.ctrlKey || event.metaKey) onChoose([row], 'turn');
    else if (row.open === null) onOpen(row);
    else onToggle(row, !row.open);
  };
  const activeRow = rows[active];
  return (
    <div
      ref={pane}
      className="tree"
      role="tree"
      aria-label={label}
      aria-multiselectable="true"
      tabIndex={0}
      {...(activeRow && active >= from && active < to ? { 'aria-activedescendant': idOf(activeRow) } : {})}
      onKeyDown={onKeyDown}
      onClick={onClick}
    >
      <div className="tree-room" role="presentation" style={{ height: rows.length * rowHeight }}>
        <div className="tree-rows" role="presentation" style={{ transform: `translateY(${from * rowHeight}px)` }}>
          {rows.slice(from, to).map((row, at) => (
            <Row
              key={row.id}
              row={row}
              active={from + at === active}
              current={from + at === current}
              chosen={chosen.has(row.id)}
              shows={children as (row: TreeRow) => ReactNode}
            />
          ))}
        </div>
      </div>
    </div>
  );
}

const idOf = (row: TreeRow): string => `node-${row.id}`;

interface RowProps {
  readonly row: TreeRow;
  readonly active: boolean;
  readonly current: boolean;
  readonly chosen: boolean;
  readonly shows: (row: TreeRow) => ReactNode;
}

const Row = memo(function Row({ row, active, current, chosen, shows }: RowProps) {
  return (
    // biome-ignore lint/a11y/useFocusableInteractive: focus stays on the tree, which names the active row
    <div
      id={idOf(row)}
      role="treeitem"
      className="tree-row"
      aria-level={row.level}
      aria-posinset={row.pos}
      aria-setsize={row.size}
      aria-label={row.spoken}
      {...(row.open === null ? { 'aria-selected': chosen } : { 'aria-expanded': row.open })}
      {...(current ? { 'aria-current': 'page' } : {})}
      data-active={active || undefined}
      data-level={row.level}
    >
      <svg className="tree-fold" viewBox="0 0 9 9" aria-hidden="true">
        {row.open !== null && <path d="M3 1l3.5 3.5L3 8" />}
        {chosen && <path d="M1 4.5l2.5 3L8 1.5" className="tree-tick" />}
      </svg>
      {shows(row)}
    </div>
  );
});

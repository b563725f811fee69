import { useVirtualizer } from '@tanstack/react-virtual';
import { type KeyboardEvent, type ReactNode, useEffect, useRef } from 'react';
import { useTypeahead } from './useTypeahead.ts';
import './tree.css';

/** A row of a tree as it stands now: only open branches have their children in the list. */
export interface TreeRow {
  readonly id: string;
  readonly level: number;
  /** 1-based place among its siblings, and how many they are. */
  readonly pos: number;
  readonly size: number;
  /** Index of the row above it in the tree, −1 at the top. */
  readonly parent: number;
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
  const virtual = useVirtualizer({
    count: rows.length,
    getScrollElement: () => pane.current,
    estimateSize: () => rowHeight,
    overscan: 12,
    getItemKey: (index) => rows[index]?.id ?? index,
  });
  const active = Math.max(
    0,
    rows.findIndex((row) => row.id === activeId),
  );
  const current = currentId === null ? -1 : rows.findIndex((row) => row.id === currentId);
  const shown = useRef<string | null>(null);
  useEffect(() => {
    if (current < 0 || shown.current === currentId) return;
    shown.current = currentId;
    virtual.scrollToIndex(current, { align: 'auto' });
  }, [current, currentId, virtual]);
  // Where a span began: the last row that was chosen or walked to without Shift.
  const anchor = useRef<string | null>(null);

  const go = (index: number): void => {
    const row = rows[Math.max(0, Math.min(rows.length - 1, index))];
    if (!row) return;
    onActive(row);
    virtual.scrollToIndex(rows.indexOf(row), { align: 'auto' });
  };
  const typed = useTypeahead((text, repeat) => {
    const from = repeat ? active + 1 : active;
    for (let step = 0; step < rows.length; step++) {
      const at = (from + step) % rows.length;
      if (rows[at]!.name.toLowerCase().startsWith(text)) return go(at);
    }
  });
  const page = (): number => Math.max(1, Math.floor((pane.current?.clientHeight ?? 0) / rowHeight) - 1);
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
    else if (event.key === 'PageDown') go(active + page());
    else if (event.key === 'PageUp') go(active - page());
    else if (event.key === 'ArrowRight') {
      if (row.open === false) onToggle(row, true);
      else if (row.open) go(active + 1);
    } else if (event.key === 'ArrowLeft') {
      if (row.open) onToggle(row, false);
      else if (row.parent >= 0) go(row.parent);
    } else if (event.key === 'Enter') {
      if (row.open === null) onOpen(row);
      else onToggle(row, !row.open);
    } else if (event.key === ' ') {
      anchor.current = row.id;
      onChoose([row], 'turn');
    } else if (event.key === '*') {
      for (const each of rows) if (each.parent === row.parent && each.open === false) onToggle(each, true);
    } else if (!typed(event)) return;
    event.preventDefault();
  };
  const items = virtual.getVirtualItems();
  const activeShown = items.some((item) => item.index === active);
  const activeRow = rows[active];
  return (
    <div
      ref={pane}
      className="tree"
      role="tree"
      aria-label={label}
      aria-multiselectable="true"
      tabIndex={0}
      {...(activeRow && activeShown ? { 'aria-activedescendant': `node-${activeRow.id}` } : {})}
      onKeyDown={onKeyDown}
    >
      <div className="tree-room" role="presentation" style={{ height: virtual.getTotalSize() }}>
        {items.map((item) => {
          const row = rows[item.index]!;
          return (
            // biome-ignore lint/a11y/useFocusableInteractive: focus stays on the tree, which names the active row
            // biome-ignore lint/a11y/useKeyWithClickEvents: the tree handles the keys
            <div
              key={row.id}
              id={`node-${row.id}`}
              role="treeitem"
              className="tree-row"
              aria-level={row.level}
              aria-posinset={row.pos}
              aria-setsize={row.size}
              aria-label={row.spoken}
              {...(row.open === null ? { 'aria-selected': chosen.has(row.id) } : { 'aria-expanded': row.open })}
              {...(item.index === current ? { 'aria-current': 'page' } : {})}
              data-active={item.index === active || undefined}
              data-level={row.level}
              style={{ transform: `translateY(${item.start}px)` }}
              onClick={(event) => {
                onActive(row);
                if (event.shiftKey) return span(item.index);
                anchor.current = row.id;
                if (event.ctrlKey || event.metaKey) return onChoose([row], 'turn');
                if (row.open === null) onOpen(row);
                else onToggle(row, !row.open);
              }}
            >
              <svg className="tree-fold" viewBox="0 0 9 9" aria-hidden="true">
                {row.open !== null && <path d="M3 1l3.5 3.5L3 8" />}
                {chosen.has(row.id) && <path d="M1 4.5l2.5 3L8 1.5" className="tree-tick" />}
              </svg>
              {children(row)}
            </div>
          );
        })}
      </div>
    </div>
  );
}

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
  readonly selectedId: string | null;
  readonly onActive: (row: R) => void;
  readonly onOpen: (row: R) => void;
  readonly onToggle: (row: R, open: boolean) => void;
  readonly children: (row: R) => ReactNode;
}

const rowHeight = 27;

/** A tree with one tab stop. Arrows walk and open, Home and End jump, letters find, Enter opens the page. */
export function Tree<R extends TreeRow>({
  rows,
  label,
  activeId,
  selectedId,
  onActive,
  onOpen,
  onToggle,
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
  const selected = selectedId === null ? -1 : rows.findIndex((row) => row.id === selectedId);
  const shown = useRef<string | null>(null);
  useEffect(() => {
    if (selected < 0 || shown.current === selectedId) return;
    shown.current = selectedId;
    virtual.scrollToIndex(selected, { align: 'auto' });
  }, [selected, selectedId, virtual]);

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
  const onKeyDown = (event: KeyboardEvent): void => {
    const row = rows[active];
    if (!row) return;
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
    } else if (event.key === 'Enter' || event.key === ' ') {
      if (row.open === null) onOpen(row);
      else onToggle(row, !row.open);
    } else if (!typed(event)) return;
    event.preventDefault();
  };
  const items = virtual.getVirtualItems();
  const activeShown = items.some((item) => item.index === active);
  const current = rows[active];
  return (
    <div
      ref={pane}
      className="tree"
      role="tree"
      aria-label={label}
      tabIndex={0}
      {...(current && activeShown ? { 'aria-activedescendant': `node-${current.id}` } : {})}
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
              aria-selected={item.index === selected}
              {...(row.open === null ? {} : { 'aria-expanded': row.open })}
              data-active={item.index === active || undefined}
              style={{ transform: `translateY(${item.start}px)`, paddingLeft: 18 + (row.level - 1) * 16 }}
              onClick={() => {
                onActive(row);
                if (row.open === null) onOpen(row);
                else onToggle(row, !row.open);
              }}
            >
              <svg className="tree-fold" viewBox="0 0 9 9" aria-hidden="true">
                {row.open !== null && <path d="M3 1l3.5 3.5L3 8" />}
              </svg>
              {children(row)}
            </div>
          );
        })}
      </div>
    </div>
  );
}

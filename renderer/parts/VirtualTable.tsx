// biome-ignore-all lint/a11y/useSemanticElements: rows that are placed by transform cannot be a table's own elements; the roles say the same
// biome-ignore-all lint/a11y/useFocusableInteractive: focus stays on the grid, which names the active row
import {
  type CSSProperties,
  type KeyboardEvent,
  type MouseEvent,
  useDeferredValue,
  useEffect,
  useLayoutEffect,
  useRef,
} from 'react';
import { type Column, TableRow } from './TableRow.tsx';
import { useInSight } from './useInSight.ts';
import { useSlots } from './useSlots.ts';
import './table.css';

export type { Column } from './TableRow.tsx';

interface Props<Row, Order extends string> {
  readonly label: string;
  readonly columns: readonly Column<Row, Order>[];
  readonly total: number;
  /** undefined: not read yet. Another function for other rows, the same for the same. */
  readonly rowAt: (index: number) => Row | undefined;
  readonly keyOf: (row: Row) => string;
  /** Told which rows are in sight, to read them. */
  readonly onSight?: (from: number, to: number) => void;
  readonly sort?: { readonly order: Order; readonly descending: boolean };
  readonly onSort?: (order: Order) => void;
  readonly active: number;
  /** The row that stands in sight at first. */
  readonly startAt?: number;
  /** As many as fit into its place, where that is not as high as the window allows. */
  readonly rowsAtFirst?: number;
  /** Whoever comes back to it finds the focus on it, where nothing else has it. */
  readonly takesFocus?: boolean;
  readonly onActive: (index: number) => void;
  readonly onOpen?: (row: Row) => void;
  /** Space on a row, or a click with Ctrl. */
  readonly onMark?: (row: Row) => void;
  /** Shift with an arrow or a click: the rows from where it began to here that are read. */
  readonly onSpan?: (rows: readonly Row[]) => void;
  /** Keys of the rows that are marked, where many can be. */
  readonly markedKeys?: ReadonlySet<string>;
  readonly selectedKey?: string | null;
}

const rowHeight = 33;
/** Rows shown above the one that a table starts at. */
const rowsAbove = 8;
/** Rows drawn above and below those in sight. */
const rowsBeyond = 4;

/** A table of any length. One tab stop; arrows, Page, Home and End walk the rows, Enter opens one, Space marks it. */
export function VirtualTable<Row, Order extends string>(props: Props<Row, Order>) {
  const { label, columns, total, rowAt, keyOf, onSight, sort, onSort, active, onActive, onOpen, onMark, selectedKey } =
    props;
  const { onSpan, markedKeys, startAt = 0, rowsAtFirst, takesFocus = false } = props;
  const { pane, head, drawn, wanted, isInSight, isFilled, pageRows, bring } = useInSight({
    name: label,
    total,
    rowHeight,
    beyond: rowsBeyond,
    startAt: Math.max(0, startAt - rowsAbove),
    rowsAtFirst,
    isRead: (index) => rowAt(index) !== undefined,
  });
  const { from, to } = drawn;
  // Rows beyond the edges change to those of another order or filter once those in sight are drawn.
  const settledRowAt = useDeferredValue(rowAt);
  const shown = Array.from({ length: to - from }, (_, k) => from + k);
  const slots = useSlots(shown);
  // Before the browser draws, so that what has to be read is asked for a frame sooner.
  useLayoutEffect(() => {
    if (wanted.to > wanted.from) onSight?.(wanted.from, wanted.to - 1);
  }, [wanted.from, wanted.to, onSight]);
  const atFirst = useRef(takesFocus);
  useEffect(() => {
    if (atFirst.current && document.activeElement === document.body) pane.current?.focus({ preventScroll: true });
  }, [pane]);
  const go = (index: number): void => {
    const at = Math.max(0, Math.min(total - 1, index));
    onActive(at);
    bring(at);
  };
  // Where a span began; null until Shift is held.
  const anchor = useRef<number | null>(null);
  const span = (to: number): void => {
    anchor.current ??= active;
    const rows: Row[] = [];
    for (let at = Math.min(anchor.current, to); at <= Math.max(anchor.current, to); at++) {
      const row = rowAt(at);
      if (row !== undefined) rows.push(row);
    }
    onSpan?.(rows);
  };
  // A row that is to be opened once it is read: Enter came first.
  const toOpen = useRef<number | null>(null);
  useEffect(() => {
    if (toOpen.current === null) return;
    const row = toOpen.current === active ? rowAt(active) : undefined;
    if (toOpen.current === active && row === undefined) return;
    toOpen.current = null;
    if (row !== undefined) onOpen?.(row);
  });
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.target !== event.currentTarget) return;
    toOpen.current = null;
    const step = event.key === 'ArrowDown' ? 1 : event.key === 'ArrowUp' ? -1 : 0;
    if (event.shiftKey && step !== 0 && onSpan) {
      const to = Math.max(0, Math.min(total - 1, active + step));
      span(to);
      go(to);
      event.preventDefault();
      return;
    }
    if (event.key !== 'Shift') anchor.current = null;
    if (event.key === 'ArrowDown') go(active + 1);
    else if (event.key === 'ArrowUp') go(active - 1);
    else if (event.key === 'PageDown') go(active + pageRows());
    else if (event.key === 'PageUp') go(active - pageRows());
    else if (event.key === 'Home') go(0);
    else if (event.key === 'End') go(total - 1);
    else if (event.key === 'Enter' || (event.key === ' ' && onMark)) {
      const row = rowAt(active);
      if (row) (event.key === 'Enter' ? onOpen : onMark)?.(row);
      else if (event.key === 'Enter') toOpen.current = active;
    } else return;
    event.preventDefault();
  };
  const onClick = (event: MouseEvent): void => {
    const element = (event.target as Element).closest('.grid-row');
    if (!element) return;
    const index = Number(element.getAttribute('aria-rowindex')) - 2;
    if (event.shiftKey && onSpan) {
      span(index);
      onActive(index);
      return;
    }
    anchor.current = null;
    onActive(index);
    const row = rowAt(index);
    if (row) ((event.ctrlKey || event.metaKey || event.shiftKey) && onMark ? onMark : onOpen)?.(row);
  };
  const activeShown = active >= from && active < to && rowAt(active) !== undefined;
  return (
    <div
      ref={pane}
      className="grid-body"
      role="grid"
      aria-label={label}
      aria-rowcount={total + 1}
      aria-colcount={columns.length}
      tabIndex={0}
      {...(markedKeys ? { 'aria-multiselectable': true } : {})}
      {...(activeShown ? { 'aria-activedescendant': `row-${active}` } : {})}
      onKeyDown={onKeyDown}
      style={{ '--tracks': columns.map((column) => column.track).join(' ') } as CSSProperties}
    >
      <div ref={head} role="rowgroup" className="grid-head">
        <div role="row" className="grid-row" aria-rowindex={1}>
          {columns.map((column) => (
            <Head key={column.key} column={column} {...(sort ? { sort } : {})} {...(onSort ? { onSort } : {})} />
          ))}
        </div>
      </div>
      <div role="presentation" style={{ height: total * rowHeight }}>
        {/* biome-ignore lint/a11y/useKeyWithClickEvents: the grid handles the keys */}
        <div
          role="rowgroup"
          className="grid-room"
          style={{ transform: `translateY(${from * rowHeight}px)` }}
          onClick={onClick}
        >
          {shown.map((index) => {
            const row = (isInSight(index) ? rowAt : settledRowAt)(index);
            return (
              <TableRow
                key={slots.get(index)}
                index={index}
                row={row}
                filled={isFilled(index)}
                columns={columns as readonly Column<never>[]}
                selected={row !== undefined && (markedKeys ? markedKeys.has(keyOf(row)) : keyOf(row) === selectedKey)}
                active={index === active}
                opens={onOpen !== undefined}
              />
            );
          })}
        </div>
      </div>
    </div>
  );
}

interface HeadProps<Row, Order extends string> {
  readonly column: Column<Row, Order>;
  readonly sort?: { readonly order: Order; readonly descending: boolean };
  readonly onSort?: (order: Order) => void;
}

function Head<Row, Order extends string>({ column, sort, onSort }: HeadProps<Row, Order>) {
  const { order } = column;
  const here = order !== undefined && sort?.order === order;
  const direction = here ? (sort.descending ? 'descending' : 'ascending') : undefined;
  return (
    <div
      role="columnheader"
      className={column.left ? 'grid-cell left' : 'grid-cell'}
      {...(direction ? { 'aria-sort': direction } : {})}
    >
      {order === undefined || !onSort ? (
        column.head
      ) : (
        <button type="button" className="grid-sort" data-here={here || undefined} onClick={() => onSort(order)}>
          {column.head}
          <span aria-hidden="true" className="grid-arrow">
            {here ? (sort.descending ? '↓' : '↑') : ''}
          </span>
        </button>
      )}
    </div>
  );
}

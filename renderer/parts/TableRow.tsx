// biome-ignore-all lint/a11y/useSemanticElements: rows that are placed by transform cannot be a table's own elements; the roles say the same
// biome-ignore-all lint/a11y/useFocusableInteractive: focus stays on the grid, which names the active row
import { memo, type ReactNode, useRef } from 'react';

export interface Column<Row, Order extends string = string> {
  readonly key: string;
  readonly head: ReactNode;
  /** A CSS grid track: '44px', 'minmax(120px, 1fr)'. */
  readonly track: string;
  readonly left?: boolean;
  /** Classes of its cells, where all look alike: an element less in every row. */
  readonly tone?: string;
  /** What the pointer is told over a cell. */
  readonly title?: (row: Row) => string;
  /** The order that a click on the head asks for. */
  readonly order?: Order;
  readonly cell: (row: Row) => ReactNode;
}

interface Props {
  readonly index: number;
  /** undefined: not read yet. */
  readonly row: unknown;
  /** false: beyond the edges of the pane; its elements stand here already, what they show follows. */
  readonly filled: boolean;
  readonly columns: readonly Column<never>[];
  readonly selected: boolean;
  readonly active: boolean;
  readonly opens: boolean;
}

/** A row of a long table. While its own content is read, that of the row before it in these elements stands hidden. */
export const TableRow = memo(function TableRow({ index, row, filled, columns, selected, active, opens }: Props) {
  const last = useRef(filled ? row : undefined);
  if (row !== undefined && filled) last.current = row;
  return (
    <div
      id={`row-${index}`}
      role="row"
      className="grid-row"
      aria-rowindex={index + 2}
      aria-selected={selected}
      data-active={active || undefined}
      data-opens={opens || undefined}
      data-unread={(row === undefined && filled) || undefined}
      data-ahead={!filled || undefined}
    >
      <Cells row={last.current} columns={columns} />
    </div>
  );
});

interface CellsProps {
  readonly row: unknown;
  readonly columns: readonly Column<never>[];
}

const Cells = memo(function Cells({ row, columns }: CellsProps) {
  return columns.map((column) => (
    <div
      key={column.key}
      role="gridcell"
      className={`grid-cell${column.left ? ' left' : ''}${column.tone ? ` ${column.tone}` : ''}`}
      title={row === undefined ? undefined : column.title?.(row as never)}
    >
      {row === undefined ? null : column.cell(row as never)}
    </div>
  ));
});

import { useState } from 'react';
import type { PreviewedTable, TableField } from '../../../core/contract/shapes/records.ts';

type Column = PreviewedTable['columns'][number];

/** What a person says of a table, begun with what was guessed. */
export function useTableLayout(table: PreviewedTable, fields: readonly TableField[]) {
  const [subject, setSubject] = useState(table.subject);
  const [decimal, setDecimal] = useState(table.decimal);
  const [dateOrder, setDateOrder] = useState(table.dateOrder);
  const [columns, setColumns] = useState<readonly Column[]>(table.columns);
  const [fixed, setFixed] = useState<Readonly<Record<string, string>>>(table.fixed);
  const own = fields.filter((field) => field.subject === subject);
  const asked = table.open.filter((line) => !line.startsWith('dates')).map((line) => line.split(':')[0]!);
  const choose = (next: PreviewedTable['subject']): void => {
    setSubject(next);
    const known = new Set(fields.filter((field) => field.subject === next).map((field) => field.field));
    setColumns(
      columns.map((column) =>
        column.field && known.has(column.field) ? column : { ...column, field: null, unit: null },
      ),
    );
  };
  const put = (at: number, words: Partial<Column>): void =>
    setColumns(columns.map((column, i) => (i === at ? { ...column, ...words } : column)));
  return {
    subject,
    choose,
    decimal,
    setDecimal,
    dateOrder,
    setDateOrder,
    columns,
    put,
    fixed,
    say: (name: string, value: string) => setFixed({ ...fixed, [name]: value }),
    own,
    /** Fields that hold for all rows: those asked for and those said. */
    forAll: [...new Set([...asked, ...Object.keys(fixed)])],
    wish: {
      subject,
      decimal,
      dateOrder,
      columns: columns.map(({ field, unit, phase, atMin }) => ({ field, unit, phase, atMin })),
      fixed: Object.fromEntries(Object.entries(fixed).filter(([, value]) => value.trim() !== '')),
    },
  };
}

import { canonical, isEmpty } from './cells.ts';
import { type Field, fieldsOf } from './fields.ts';
import type { TableLayout } from './shapes.ts';

/** The value of a field in a row: from its column, or the one said for all rows. */
export type Read = (cells: readonly string[], name: string) => string;

export function reader(layout: TableLayout): Read {
  const places = new Map<string, number>();
  layout.columns.forEach((column, i) => {
    if (column.field !== null && !places.has(column.field)) places.set(column.field, i);
  });
  const fields = new Map(fieldsOf[layout.subject].map((field): [string, Field] => [field.field, field]));
  return (cells, name) => {
    const at = places.get(name);
    const field = fields.get(name);
    if (!field) return '';
    if (at === undefined) return layout.fixed[name] ?? '';
    const cell = cells[at] ?? '';
    if (isEmpty(cell)) return layout.fixed[name] ?? '';
    return canonical(field, cell, layout.columns[at]!.unit, layout.decimal, layout.dateOrder);
  };
}

/** What each column of the subject is called by the owner. */
export const ownNames = (layout: TableLayout): ReadonlyMap<string, string> =>
  new Map(
    layout.columns.flatMap((column): [string, string][] =>
      column.field === null ? [] : [[column.field, column.name]],
    ),
  );

/** The stem, and where it is taken in this table with a number behind it. */
export function freeIds(): (stem: string) => string {
  const seen = new Map<string, number>();
  return (stem) => {
    const n = (seen.get(stem) ?? 0) + 1;
    seen.set(stem, n);
    return n === 1 ? stem : `${stem}/${n}`;
  };
}

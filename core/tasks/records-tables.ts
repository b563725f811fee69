import { refuse } from '../contract/problem.ts';
import type { PreviewedTable, TableField } from '../contract/shapes/records.ts';
import { subjects } from '../intake/subjects.ts';
import { fieldFor, fieldsOf } from '../intake/tables/fields.ts';
import { finished, valuesOf } from '../intake/tables/guess.ts';
import { rowsOf } from '../intake/tables/rows-of.ts';
import { tableSubjects } from '../intake/tables/shapes.ts';
import { layoutOf } from '../store/records-match.ts';
import { changing } from './change.ts';
import { givenRecords } from './records-files.ts';
import { KnownNames, type OwnerFile, tableKind } from './records-owner-files.ts';
import type { Task } from './task.ts';

const shownRows = 6;

export const showTables: Task<'records.tables'> = async (desk, { paths }) => {
  const { tables } = await givenRecords(desk.fleet, { paths, aside: [] });
  const known = new KnownNames(desk.fleet);
  return { tables: tables.map((file) => shown(file, known)), fields: tableSubjects.flatMap(fieldList) };
};

function shown(file: OwnerFile, known: KnownNames): PreviewedTable {
  const { table, layout } = file;
  const parts = layout.open.length > 0 ? [] : rowsOf(table, layout, known);
  for (const part of parts) known.add(part);
  return {
    key: file.key,
    name: file.name,
    subject: layout.subject,
    decimal: layout.decimal,
    dateOrder: layout.dateOrder,
    columns: layout.columns.map((column) => ({ ...column })),
    fixed: { ...layout.fixed },
    open: [...layout.open],
    doubts: [...layout.doubts],
    remembered: file.remembered,
    rowCount: table.rows.length,
    rows: table.rows.slice(0, shownRows).map(({ cells }) => table.names.map((_, i) => cells[i] ?? '')),
    becomes: parts
      .filter((part) => part.rows.length > 0)
      .map((part) => ({
        file: part.subject.file,
        header: [...part.header],
        rows: part.rows.slice(0, shownRows).map(({ cells }) => [...cells]),
        count: part.rows.length,
      })),
  };
}

const fieldList = (subject: (typeof tableSubjects)[number]): TableField[] =>
  fieldsOf[subject].map(({ field, says, units, values }) => ({
    subject,
    field,
    says,
    units: [...(units ?? [])],
    values: [
      ...new Set([
        ...(subjects.find((one) => one.name === subject)?.columns.find((column) => column.name === field)?.values ??
          []),
        ...(values?.map(([, value]) => value) ?? []),
      ]),
    ],
  }));

/** Keeps a corrected layout under the header's fingerprint; gives what is still to be said. */
export const retable: Task<'records.retable'> = async (desk, { paths, key, ...wish }) => {
  const { tables } = await givenRecords(desk.fleet, { paths, aside: [] });
  const file = tables.find((one) => one.key === key);
  if (!file) throw refuse('moved-on', 'The table is not there any more. Look at the files again.');
  const { table } = file;
  if (wish.columns.length !== table.names.length)
    throw refuse('bad-input', `The table has ${table.names.length} columns; ${wish.columns.length} were given.`);
  for (const [i, { field, unit }] of wish.columns.entries()) {
    const found = fieldFor(wish.subject, field);
    if (field !== null && !found)
      throw refuse('bad-input', `Column ${i + 1}: ${wish.subject} have no ${field}.`, { where: 'columns' });
    if (unit !== null && !found?.units?.includes(unit))
      throw refuse('bad-input', `Column ${i + 1}: ${field ?? 'a column left out'} is not in ${unit}.`, {
        where: 'columns',
      });
  }
  const columns = wish.columns.map((column, i) => ({ ...column, name: table.names[i]! }));
  const layout = finished(table, wish.subject, columns, valuesOf(table), wish.decimal, wish);
  return changing(desk, (change) => {
    const row = { fingerprint: layout.fingerprint, subject: tableKind, layout: JSON.stringify(layout) };
    const before = layoutOf(desk.fleet, layout.fingerprint);
    if (before) change.update('layout', before, { ...row, id: before.id });
    const id = before?.id ?? change.add('layout', row);
    change.seal(
      { what: 'correct layout' },
      {
        entity: 'layout',
        id,
        before: before ? { layout: before.layout } : null,
        after: { file: file.name, layout: row.layout },
      },
    );
    return { revision: change.seq, open: [...layout.open] };
  });
};

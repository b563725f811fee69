import { createHash } from 'node:crypto';
import { choiceOf, dayOf, isEmpty, numericDay, quantityOf } from './cells.ts';
import { type Field, fieldFor, fieldsOf, neededOf, titleSays } from './fields.ts';
import {
  type DateOrder,
  type OwnerTable,
  type TableColumn,
  type TableLayout,
  type TableSubject,
  tableSubjects,
} from './shapes.ts';
import { unitInName, wordsOf } from './units.ts';

/** Values of a column that are looked at. */
const looked = 200;

/** The same for every table with this header. */
export const tableFingerprint = (names: readonly string[]): string =>
  createHash('sha256')
    .update(JSON.stringify(['table', names.map((name) => name.normalize('NFKC').toLowerCase().replace(/\s+/g, ''))]))
    .digest('hex')
    .slice(0, 16);

/** The first filled cells of each column. */
export const valuesOf = (table: OwnerTable): readonly (readonly string[])[] =>
  table.names.map((_, i) =>
    table.rows
      .slice(0, looked)
      .map((row) => row.cells[i] ?? '')
      .filter((cell) => !isEmpty(cell)),
  );

/** Subject, columns, units, decimal mark and order of dates from names and values; null where it is no table we know. */
export function guessLayout(table: OwnerTable, title: string): TableLayout | null {
  const values = valuesOf(table);
  const decimal = decimalOf(values);
  const tried = tableSubjects.map((subject) => assign(subject, table.names, values, decimal, title));
  const best = tried.reduce((a, b) => (b.score > a.score ? b : a));
  if (!best.fits) return null;
  return finished(table, best.subject, best.columns, values, decimal, {});
}

/** A layout with what is still open about it, from columns that were guessed or given. */
export function finished(
  table: OwnerTable,
  subject: TableSubject,
  given: readonly TableColumn[],
  values: readonly (readonly string[])[],
  decimal: '.' | ',',
  said: { readonly dateOrder?: DateOrder; readonly fixed?: Readonly<Record<string, string>> },
): TableLayout {
  const fixed = { ...said.fixed };
  const columns = given.map((column) => ({ ...column, unit: column.unit ?? fixed[`${column.field}_unit`] ?? null }));
  const dates = columns.flatMap((column, i) => (fieldFor(subject, column.field)?.kind === 'date' ? values[i]! : []));
  const order = orderOf(dates, decimal);
  return {
    fingerprint: tableFingerprint(table.names),
    subject,
    decimal,
    dateOrder: said.dateOrder ?? order.order,
    columns,
    fixed,
    open: [
      ...openFields(subject, columns, fixed),
      ...new Set(columns.flatMap((column) => openUnit(subject, column))),
      ...(said.dateOrder === undefined && order.open ? ['dates: day first or month first?'] : []),
    ],
    doubts: dates.some((cell) => /^\d{4}$/.test(cell)) ? ['A year alone is taken for its first day.'] : [],
  };
}

function openFields(
  subject: TableSubject,
  columns: readonly TableColumn[],
  fixed: Readonly<Record<string, string>>,
): string[] {
  const has = (field: string) => columns.some((column) => column.field === field) || (fixed[field] ?? '') !== '';
  const open = neededOf[subject]
    .filter((some) => !some.some(has))
    .map((some) => `${some[0]}: ${fieldFor(subject, some[0]!)!.says}, the same for all rows, or a column of it`);
  if (subject === 'tests' && !has('phase') && !columns.some((column) => column.phase !== null))
    open.push('phase: the phase tested, the same for all rows, or a column of it');
  return open;
}

function openUnit(subject: TableSubject, column: TableColumn): string[] {
  const field = fieldFor(subject, column.field);
  if (!field?.units || field.usual || column.unit !== null) return [];
  return [`${field.field}_unit: ${field.units.join(', ')}?`];
}

/** Decimal commas where numbers like '12,5' outnumber numbers like '12.5'. */
function decimalOf(values: readonly (readonly string[])[]): '.' | ',' {
  let comma = 0;
  let point = 0;
  for (const cell of values.flat()) {
    if (/^[<≤]?\s*-?\d+,(?:\d{1,2}|\d{4,})(?!\d)/.test(cell) || /^0,\d+/.test(cell)) comma++;
    if (/^[<≤]?\s*-?\d+\.(?:\d{1,2}|\d{4,})(?!\d)(?!\.)/.test(cell) || /^0\.\d+/.test(cell)) point++;
  }
  return comma > point ? ',' : '.';
}

/** Day or month first, as the figures themselves tell; open where nothing tells. */
export function orderOf(dates: readonly string[], decimal: '.' | ','): { order: DateOrder; open: boolean } {
  const parts = dates
    .map((cell) => numericDay.exec(cell.replace(/[T ]\d{1,2}:\d{2}.*$/, '')))
    .filter((part) => part !== null);
  if (parts.length === 0) return { order: 'day first', open: false };
  if (parts.some((part) => Number(part[1]) > 12)) return { order: 'day first', open: false };
  if (parts.some((part) => Number(part[2]) > 12)) return { order: 'month first', open: false };
  if (parts.every((part) => part[0].includes('.')) || decimal === ',') return { order: 'day first', open: false };
  return { order: 'day first', open: true };
}

interface Tried {
  readonly subject: TableSubject;
  readonly columns: readonly TableColumn[];
  readonly score: number;
  /** Enough of it is there to be taken for a table of the subject. */
  readonly fits: boolean;
}

/** Columns in which readings may stand side by side. */
const repeats = new Set(['leakage', 'resistance']);

function assign(
  subject: TableSubject,
  names: readonly string[],
  values: readonly (readonly string[])[],
  decimal: '.' | ',',
  title: string,
): Tried {
  const pairs: { column: number; field: Field; score: number }[] = [];
  names.forEach((name, column) => {
    for (const field of fieldsOf[subject]) {
      const score = scoreOf(field, name, values[column]!, decimal);
      if (score > 0) pairs.push({ column, field, score });
    }
  });
  pairs.sort((a, b) => b.score - a.score || a.column - b.column);
  const taken = new Map<number, Field>();
  const used = new Set<string>();
  let score = 0;
  for (const pair of pairs) {
    if (taken.has(pair.column) || (used.has(pair.field.field) && !repeats.has(pair.field.field))) continue;
    taken.set(pair.column, pair.field);
    if (!used.has(pair.field.field)) score += pair.score;
    used.add(pair.field.field);
  }
  const wide = subject === 'tests' ? takeWide(names, values, decimal, taken) : null;
  if (wide) used.add(wide);
  const columns = names.map((name, i): TableColumn => {
    const field = taken.get(i);
    const measure = field !== undefined && repeats.has(field.field);
    return {
      name,
      field: field?.field ?? null,
      unit: field?.units
        ? (unitInName(name, field.units) ?? unitInValues(values[i]!, decimal, field.units) ?? field.usual ?? null)
        : null,
      phase: measure ? phaseInName(name) : null,
      atMin: measure ? minuteInName(name) : null,
    };
  });
  const missing = neededOf[subject].filter((some) => !some.some((field) => used.has(field))).length;
  const titled = titleSays[subject].test(`${title} ${names.join(' ')}`) ? 1 : 0;
  // Only the first word of a need is a reason to say no: the rest can be said for all rows at once.
  const core = coreOf[subject].every((some) => some.some((field) => used.has(field)));
  return {
    subject,
    columns,
    score: (core ? score + 1.2 * titled + (titleSays[subject].test(title) ? 0.8 : 0) : 0) - 0.5 * missing,
    fits: core && (titled > 0 || subject === 'tests' || subject === 'segments'),
  };
}

/** Without these no table is taken for one of the subject. */
const coreOf: Readonly<Record<TableSubject, readonly (readonly string[])[]>> = {
  segments: [['segment_id', 'name'], ['length']],
  splices: [['segment_id'], ['kind', 'position_m', 'installed_on', 'splice_id']],
  failures: [
    ['segment_id'],
    ['failed_on'],
    ['part', 'cause', 'customers_interrupted', 'duration_min', 'failure_id', 'phase'],
  ],
  tests: [['segment_id'], ['tested_on'], ['leakage', 'resistance']],
};

function scoreOf(field: Field, name: string, values: readonly string[], decimal: '.' | ','): number {
  const words = wordsOf(name).join(' ');
  const named = field.strong.test(words) ? 1 : field.weak?.test(words) ? 0.5 : 0;
  if (values.length === 0) return 0.3 * named;
  const fit = fitOf(field, values, decimal);
  if (named === 0) return field.telling && fit > 0.8 ? 0.45 : 0;
  return fit < 0.5 ? 0 : named * (0.4 + 0.6 * fit) + (field.units && unitInName(name, field.units) ? 0.25 : 0);
}

function fitOf(field: Field, values: readonly string[], decimal: '.' | ','): number {
  const share = (good: (cell: string) => boolean) => values.filter(good).length / values.length;
  switch (field.kind) {
    case 'number':
      return share((cell) => quantityOf(cell, decimal, field.units ?? []) !== null);
    case 'date':
      return share((cell) => dayOf(cell, 'day first') !== null || dayOf(cell, 'month first') !== null);
    case 'choice':
    case 'flag':
      return share((cell) => choiceOf(field, cell) !== null);
    case 'id':
    case 'segment':
      // A day or a quantity with decimals is no id.
      return share((cell) => dayOf(cell, 'day first') === null && !/^\d+[.,]\d+$/.test(cell));
    case 'conductor':
      return share((cell) => /\d/.test(cell) && cell.length < 30);
    case 'text':
      return 0.8 * share((cell) => dayOf(cell, 'day first') === null);
  }
}

/** Columns called only by phase or minute, 'L1', 'B phase', '10 min', are readings of the kind that another column or the unit says. */
function takeWide(
  names: readonly string[],
  values: readonly (readonly string[])[],
  decimal: '.' | ',',
  taken: Map<number, Field>,
): string | null {
  const measures = fieldsOf.tests.filter((field) => repeats.has(field.field));
  const bare = names.flatMap((name, i) =>
    !taken.has(i) &&
    (phaseInName(name) !== null || minuteInName(name) !== null) &&
    values[i]!.length > 0 &&
    values[i]!.every((cell) => quantityOf(cell, decimal, ['nA', 'uA', 'mA', 'kOhm', 'MOhm', 'GOhm', 'TOhm']) !== null)
      ? [i]
      : [],
  );
  if (bare.length === 0) return null;
  const said = measures.find((field) =>
    bare.some((i) => unitInName(names[i]!, field.units!) ?? unitInValues(values[i]!, decimal, field.units!)),
  );
  const already = measures.find((field) => [...taken.values()].includes(field));
  const field = said ?? already ?? measures[0]!;
  for (const i of bare) taken.set(i, field);
  return field.field;
}

const unitInValues = (values: readonly string[], decimal: '.' | ',', units: readonly string[]): string | null => {
  for (const cell of values) {
    const unit = quantityOf(cell, decimal, units)?.unit;
    if (unit) return unit;
  }
  return null;
};

/** 'Phase A', 'Ph-B', 'L3', 'IR C MΩ': the phase that a header names. */
export function phaseInName(name: string): 'A' | 'B' | 'C' | null {
  const match = /(?:^|[\s_\-(/])(?:(?:phase|ph\.?|leiter|core)?[\s_\-.]*)(A|B|C|L1|L2|L3)(?=$|[\s_\-)/.,])/i.exec(name);
  if (!match) return null;
  const said = match[1]!.toUpperCase();
  return said === 'L1' ? 'A' : said === 'L2' ? 'B' : said === 'L3' ? 'C' : (said as 'A' | 'B' | 'C');
}

/** '1 min', '10-minute', 'after 30 s', "5'": minutes into the dwell. */
export function minuteInName(name: string): number | null {
  const minutes = /(\d+(?:[.,]\d+)?)\s*[-_]?\s*(?:min(?:ute)?s?\b|')/i.exec(name);
  if (minutes) return Number(minutes[1]!.replace(',', '.'));
  const seconds = /(\d+)\s*[-_]?\s*(?:s|sec|seconds?)\b/i.exec(name);
  return seconds ? Number(seconds[1]) / 60 : null;
}

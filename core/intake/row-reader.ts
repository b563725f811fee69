import { type CellReader, type Complain, cellReader } from './cell.ts';
import { columnAt, type Subject, type Value } from './column.ts';

export interface RowReader {
  readonly subject: Subject;
  /** One entry a column of the subject: true where the file has no such column. */
  readonly absent: readonly boolean[];
  readonly someAbsent: boolean;
  /** Columns of the file that are none of the subject's. */
  readonly unknown: readonly string[];
  /** Values in the order of the subject's columns, null where unknown or absent; null for a refused row. */
  /** Where a column of the subject stands in the file, −1 where it does not. */
  readonly placeOf: (at: number) => number;
  readonly read: (cells: readonly string[], complain: Complain) => Value[] | null;
}

const headerName = (cell: string): string => cell.trim().toLowerCase();

/** A reader for rows under this header, or null after complaining of it. */
export function rowReader(subject: Subject, header: readonly string[], complain: Complain): RowReader | null {
  const names = header.map(headerName);
  if (names.length === 1 && /[;\t]/.test(names[0]!)) {
    complain('', header[0]!.slice(0, 80), 'Columns are separated by semicolons or tabs. Save the file with commas.');
    return null;
  }
  let fine = true;
  const repeated = names.find((name, at) => name !== '' && names.indexOf(name) !== at);
  if (repeated !== undefined) {
    complain(repeated, repeated, 'The header names this column twice. Keep one.');
    fine = false;
  }
  const places = subject.columns.map((column) => names.indexOf(column.name));
  subject.columns.forEach((column, at) => {
    if (places[at]! >= 0 || !column.needed) return;
    complain(column.name, '', `The header lacks the column ${column.name}: ${column.says}.`);
    fine = false;
  });
  if (!fine) return null;
  const known = new Set(subject.columns.map((column) => column.name));
  const absent = places.map((place) => place < 0);
  return {
    subject,
    absent,
    someAbsent: absent.includes(true),
    unknown: names.filter((name) => name !== '' && !known.has(name)),
    placeOf: (at) => places[at]!,
    read: reading(subject, places, names.length),
  };
}

function reading(subject: Subject, places: readonly number[], width: number): RowReader['read'] {
  const readers: readonly CellReader[] = subject.columns.map(cellReader);
  const spans = subject.spans.map(({ name, until }) => ({
    name,
    until,
    a: columnAt(subject, name),
    b: columnAt(subject, until),
  }));
  const count = readers.length;
  return (cells, complain) => {
    if (cells.length !== width) {
      complain('', String(cells.length), widthWords(cells.length, width));
      return null;
    }
    const values: Value[] = new Array(count);
    let fine = true;
    for (let at = 0; at < count; at++) {
      const place = places[at]!;
      const value = place < 0 ? null : readers[at]!(cells[place]!, complain);
      if (value === undefined) fine = false;
      else values[at] = value;
    }
    for (const span of spans) {
      const until = values[span.b];
      if (!fine || until === null || values[span.a] === null || (until as string) >= (values[span.a] as string))
        continue;
      complain(span.until, until as string, `It lies before ${span.name} ${values[span.a]}. Write the later day.`);
      fine = false;
    }
    return fine ? values : null;
  };
}

const widthWords = (has: number, wanted: number): string =>
  has > wanted
    ? `The row has ${has} cells, the header ${wanted}. Put values that hold a comma in quotes, and write numbers with a decimal point.`
    : `The row has ${has} cells, the header ${wanted}. Keep the commas of empty cells.`;

import type { Column, Subject, Value } from './column.ts';
import { csvCell, inertText } from './csv-record.ts';

export const headerLine = (subject: Subject): string => `${subject.columns.map((column) => column.name).join(',')}\n`;

/** Writes values in the order of the subject's columns as one line of its file. */
export function rowWriter(subject: Subject): (values: readonly Value[]) => string {
  const writers = subject.columns.map(cellWriter);
  const count = writers.length;
  return (values) => {
    let line = writers[0]!(values[0]!);
    for (let at = 1; at < count; at++) line += `,${writers[at]!(values[at]!)}`;
    return `${line}\n`;
  };
}

function cellWriter(column: Column): (value: Value) => string {
  if (column.kind === 'flag') {
    const [yes, no] = column.words!;
    return (value) => (value === null ? '' : value === 1 ? yes : no);
  }
  if (column.kind === 'number' || column.kind === 'whole') return (value) => (value === null ? '' : String(value));
  return (value) => (value === null ? '' : csvCell(inertText(value as string)));
}

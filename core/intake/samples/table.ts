import { cellsOf, numberCell } from './cells.ts';
import type { Delimiter } from './shapes.ts';
import { momentOf } from './times.ts';
import { unitOf } from './units.ts';

/** Where the table of samples stands in the lines of a file. */
export interface FoundTable {
  readonly delimiter: Delimiter | null;
  readonly decimal: '.' | ',';
  readonly width: number;
  readonly headerLine: number | null;
  readonly unitLine: number | null;
  readonly firstDataLine: number;
  /** Cells of a data row that hold only the unit of the number before them, as in '18.01 kV' parted by blanks. */
  readonly unitCells: readonly number[];
  /** Share of cells in the data rows that read as numbers or times. */
  readonly purity: number;
}

/** Lines looked at to find the table; a preamble longer than this is none we know. */
const looked = 600;

const isValue = (cell: string, decimal: '.' | ','): boolean =>
  numberCell(cell, decimal) !== null || momentOf(cell, true) !== null;

/** A row of samples: at least two values, and few cells that are none. */
export const isDataRow = (cells: readonly string[], decimal: '.' | ','): boolean => {
  let values = 0;
  let filled = 0;
  for (const cell of cells) {
    if (cell === '') continue;
    filled++;
    if (isValue(cell, decimal)) values++;
  }
  return values >= 2 && values >= 0.6 * filled;
};

/** Joins a number and the bare unit in the next cell; says which cells went into the one before. */
export const joinUnits = (
  cells: readonly string[],
  decimal: '.' | ',',
): { readonly cells: readonly string[]; readonly joined: readonly number[] } => {
  const joined: number[] = [];
  for (let i = 1; i < cells.length; i++) {
    if (!/^[^\d\s+\-.,]/.test(cells[i]!) || cells[i]!.length > 9 || unitOf(cells[i]!) === null) continue;
    const before = numberCell(cells[i - 1]!, decimal);
    if (before !== null && before.suffix === '') joined.push(i);
  }
  if (joined.length === 0) return { cells, joined };
  return {
    cells: cells.flatMap((cell, i) =>
      joined.includes(i) ? [] : [joined.includes(i + 1) ? `${cell} ${cells[i + 1]}` : cell],
    ),
    joined,
  };
};

/** The best table over all delimiters and both decimal marks; null where no three rows of one width hold values. */
export const findTextTable = (lines: readonly string[]): FoundTable | null => {
  const sample = lines.slice(0, looked);
  const hasComma = sample.some((line) => line.includes(','));
  let best: { score: number; table: FoundTable } | null = null;
  for (const delimiter of ['\t', ';', ',', '|', 'blanks'] as const) {
    if (delimiter !== 'blanks' && !sample.some((line) => line.includes(delimiter))) continue;
    const rows = sample.map((line) => cellsOf(line, delimiter));
    for (const decimal of ['.', ','] as const) {
      if (decimal === ',' && !hasComma) continue;
      const found = findTable(rows, decimal, delimiter);
      if (found && (best === null || found.score > best.score)) best = found;
    }
  }
  if (best === null) return null;
  return best.table.delimiter === 'blanks'
    ? withHeader(
        best.table,
        sample.map((line) => headerCells(line, best!.table.width)),
      )
    : best.table;
};

/** The table among the rows of a sheet. */
export const findSheetTable = (rows: readonly (readonly string[])[]): { score: number; table: FoundTable } | null => {
  const sample = rows.slice(0, looked);
  const point = findTable(sample, '.', null);
  const comma = findTable(sample, ',', null);
  return comma && (point === null || comma.score > point.score) ? comma : point;
};

const findTable = (
  written: readonly (readonly string[])[],
  decimal: '.' | ',',
  delimiter: Delimiter | null,
): { score: number; table: FoundTable } | null => {
  const rows = written.map((cells) => joinUnits(cells, decimal).cells);
  const data = rows.map((cells) => (isDataRow(cells, decimal) ? widthOf(cells) : 0));
  const counts = new Map<number, number>();
  for (const width of data) if (width > 1) counts.set(width, (counts.get(width) ?? 0) + 1);
  let width = 0;
  let count = 0;
  for (const [candidate, times] of counts)
    if (times > count || (times === count && candidate > width)) [width, count] = [candidate, times];
  if (count < 3) return null;
  const first = data.findIndex(
    (value, i) =>
      Math.abs(value - width) <= 1 && data.slice(i, i + 4).filter((next) => Math.abs(next - width) <= 1).length >= 3,
  );
  if (first < 0) return null;
  let values = 0;
  let filled = 0;
  for (let i = first; i < rows.length; i++)
    if (data[i]! > 1)
      for (const cell of rows[i]!) {
        if (cell === '') continue;
        filled++;
        if (isValue(cell, decimal)) values++;
      }
  const purity = values / filled;
  const table = withHeader(
    {
      delimiter,
      decimal,
      width,
      headerLine: null,
      unitLine: null,
      firstDataLine: first,
      unitCells: joinUnits(written[first]!, decimal).joined,
      purity,
    },
    rows,
  );
  return {
    score:
      count * purity ** 3 +
      0.01 * Math.min(width, 6) +
      (table.headerLine === null ? 0 : 0.5) +
      (decimal === '.' ? 0.001 : 0),
    table,
  };
};

/** Cells up to the last filled one. */
const widthOf = (cells: readonly string[]): number => {
  let width = cells.length;
  while (width > 0 && cells[width - 1] === '') width--;
  return width;
};

const withHeader = (table: FoundTable, rows: readonly (readonly string[])[]): FoundTable => {
  const width = (cells: readonly string[]): number =>
    widthOf(cells) === table.width + table.unitCells.length ? table.width : widthOf(cells);
  const fits = (cells: readonly string[]): boolean => isHeaderRow(cells, width(cells), table.width);
  let line = table.firstDataLine - 1;
  while (line >= 0 && isEmptyOrRule(rows[line]!)) line--;
  if (line < 0) return table;
  const above = rows[line]!;
  if (isUnitRow(above)) {
    let names = line - 1;
    while (names >= 0 && isEmptyOrRule(rows[names]!)) names--;
    if (names >= 0 && fits(rows[names]!)) return { ...table, headerLine: names, unitLine: line };
    return { ...table, headerLine: line };
  }
  return fits(above) ? { ...table, headerLine: line } : table;
};

/** Blank, or a line drawn with dashes. */
const isEmptyOrRule = (cells: readonly string[]): boolean => cells.every((cell) => /^[-=_*+|.~]*$/.test(cell));

const isUnitRow = (cells: readonly string[]): boolean => {
  const filled = cells.filter((cell) => cell !== '');
  return filled.length >= 2 && filled.filter((cell) => unitOf(cell) !== null).length >= 0.6 * filled.length;
};

const isHeaderRow = (cells: readonly string[], held: number, width: number): boolean => {
  const filled = cells.filter((cell) => cell !== '');
  if (filled.length < 2 || Math.abs(held - width) > Math.max(1, width >> 2)) return false;
  return filled.filter((cell) => /\p{L}/u.test(cell)).length >= 0.7 * filled.length && !filled[0]!.endsWith(':');
};

/** A header over columns parted by blanks has blanks in its names: tries wider gaps, brackets, then every blank. */
export const headerCells = (line: string, width: number): string[] => {
  const bare = line.trim().replace(/^(?:#|%|\/\/)\s*/, '');
  const wide = bare.split(/\s{2,}|\t+/);
  if (wide.length === width) return wide;
  const bracketed = bare.match(/[^()[\]]+[([][^)\]]*[)\]]/g)?.map((cell) => cell.trim()) ?? [];
  if (bracketed.length === width) return bracketed;
  return bare === '' ? [] : bare.split(/\s+/);
};

import { zipKind } from '../samples/archives.ts';
import { decodeText } from '../samples/bytes.ts';
import { cellsOf, linesOf, numberCell } from '../samples/cells.ts';
import type { Delimiter } from '../samples/shapes.ts';
import { sheetsOf } from '../samples/workbooks.ts';
import { dayOf } from './cells.ts';
import type { Grid, OwnerTable } from './shapes.ts';

/** The cells of a text file or of every sheet of a workbook; nothing where it is neither. */
export async function gridsOf(bytes: Uint8Array): Promise<readonly Grid[]> {
  const kind = zipKind(bytes);
  if (kind === 'files') return [];
  if (kind === 'workbook') {
    const sheets = await sheetsOf(bytes);
    return 'because' in sheets ? [] : sheets.map(({ name, rows }) => ({ sheet: name, rows }));
  }
  const decoded = decodeText(bytes);
  if ('because' in decoded) return [];
  const lines = linesOf(decoded.text);
  const delimiter = delimiterOf(lines);
  return delimiter === null ? [] : [{ sheet: null, rows: lines.map((line) => cellsOf(line, delimiter)) }];
}

/** The delimiter under which most lines have the same number of cells, more than two. */
function delimiterOf(lines: readonly string[]): Delimiter | null {
  const some = lines.slice(0, 60);
  let best: { delimiter: Delimiter; alike: number } | null = null;
  for (const delimiter of ['\t', ';', ',', '|'] as const) {
    const widths = new Map<number, number>();
    for (const line of some) {
      const width = cellsOf(line, delimiter).length;
      if (width > 2) widths.set(width, (widths.get(width) ?? 0) + 1);
    }
    const alike = Math.max(0, ...widths.values());
    if (alike >= 2 && (best === null || alike > best.alike)) best = { delimiter, alike };
  }
  return best?.delimiter ?? null;
}

const looked = 40;

/** A word rather than a value; what has a unit behind its number ('1 min') is a label too. */
const isLabel = (cell: string): boolean => {
  const number = numberCell(cell, '.') ?? numberCell(cell, ',');
  return !(number && number.suffix === '') && dayOf(cell, 'day first') === null && !/^[<≤]/.test(cell);
};

/**
 * The table of a grid: one or two header rows over rows of values. The upper of two rows may be merged over several
 * columns: its words then hold until the next.
 */
export function findOwnerTable(grid: Grid): OwnerTable | null {
  const rows = grid.rows.map((row) => row.map((cell) => cell.replace(/\s+/g, ' ').trim()));
  let best: { at: number; depth: 1 | 2; score: number } | null = null;
  for (let at = 0; at < Math.min(looked, rows.length - 1); at++)
    for (const depth of [1, 2] as const) {
      const score = headerScore(rows, at, depth);
      if (score > 0 && (best === null || score > best.score)) best = { at, depth, score };
    }
  if (best === null) return null;
  const { at, depth } = best;
  const upper = rows[at]!;
  const lower = depth === 2 ? rows[at + 1]! : [];
  const width = Math.max(upper.length, lower.length);
  const names: string[] = [];
  let above = '';
  for (let i = 0; i < width; i++) {
    const own = upper[i] ?? '';
    if (own !== '') above = own;
    // A header that stands alone in the upper row belongs to its own column only.
    const merged = own === '' && (lower[i] ?? '') !== '' ? above : own;
    names.push([merged, lower[i] ?? ''].filter((word) => word !== '').join(' '));
  }
  const data = rows
    .map((cells, i) => ({ line: i + 1, cells }))
    .slice(at + depth)
    .filter(({ cells }) => isData(cells, width));
  return data.length === 0 ? null : { sheet: grid.sheet, names, rows: data, headerLine: at + depth };
}

/** How well rows from `at` serve as a header: the share of the columns below that they name, all of them words. */
function headerScore(rows: readonly (readonly string[])[], at: number, depth: 1 | 2): number {
  const header = rows.slice(at, at + depth);
  if (header.length < depth || header.some((row) => row.filter((cell) => cell !== '').length < (depth === 2 ? 2 : 3)))
    return 0;
  if (header.some((row) => row.some((cell) => cell !== '' && (!isLabel(cell) || cell.length > 60)))) return 0;
  const below = rows.slice(at + depth, at + depth + 25).filter((row) => row.some((cell) => cell !== ''));
  const used = new Set<number>();
  let values = 0;
  for (const row of below)
    row.forEach((cell, i) => {
      if (cell === '') return;
      used.add(i);
      if (!isLabel(cell)) values++;
    });
  if (values === 0) return 0;
  const named = [...used].filter((i) => header.some((row) => (row[i] ?? '') !== '')).length;
  const first = rows[at + depth] ?? [];
  // The row under the header is data: it holds a value.
  const begins = first.some((cell) => cell !== '' && !isLabel(cell)) ? 1 : 0.4;
  return (named / Math.max(1, used.size)) * begins * Math.min(1, used.size / 3) - 0.02 * depth - 0.002 * at;
}

const sums = /^(?:total|sum|subtotal|average|mean|gesamt|summe|count)\b/i;

/** A row of the table: not blank, not a note of one cell, not a sum at the foot. */
const isData = (cells: readonly string[], width: number): boolean => {
  const filled = cells.filter((cell) => cell !== '');
  return filled.length >= Math.min(2, width) && !sums.test(filled[0]!);
};

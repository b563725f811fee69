import { unpackZip, zipKind } from './archives.ts';
import { decodeText } from './bytes.ts';
import { cellsOf, linesOf, numberCell, scaled } from './cells.ts';
import { complete, fewestSamples, refusal } from './fitness.ts';
import { fingerprintOf, guessRoles, type UnitsSaid } from './roles.ts';
import type { ColumnRole, LayoutColumn, NamedValue, SampleFile, SampleLayout } from './shapes.ts';
import { namedValue, subjectOf } from './subject.ts';
import { type FoundTable, findSheetTable, findTextTable, headerCells, isDataRow, joinUnits } from './table.ts';
import { timeColumn } from './time-column.ts';
import { dateOf } from './times.ts';
import { powerOf, roleOfName, unitOf } from './units.ts';
import { sheetsOf } from './workbooks.ts';

const previewRows = 8;

/** The cells of a file, line by line, however it was written. */
interface Grid {
  readonly lines: readonly (readonly string[])[];
  /** The lines as written; cells joined where there are none. */
  readonly written: readonly string[];
  readonly table: FoundTable;
  readonly encoding: SampleLayout['encoding'];
  readonly sheet: string | null;
}

/**
 * One tester's file to samples, or the reason why not. `layout` is a guess that a person corrected or one that was
 * kept under the same fingerprint. Never throws on what a file may hold.
 */
export const readSamples = async (bytes: Uint8Array, name: string, layout?: SampleLayout): Promise<SampleFile> => {
  const kind = zipKind(bytes);
  if (kind === 'files') return refused(name, 'a ZIP of files: its files are read one by one');
  const grid = kind === 'workbook' ? await workbookGrid(bytes, layout) : textGrid(bytes, layout);
  return 'because' in grid ? refused(name, grid.because) : readGrid(grid, name, layout);
};

/**
 * Every sample file in the bytes: one, or all of a ZIP. `layoutFor` gives the kept layout of a fingerprint, if any.
 */
export const readSampleFiles = async (
  bytes: Uint8Array,
  name: string,
  layoutFor: (fingerprint: string) => SampleLayout | undefined = () => undefined,
): Promise<readonly SampleFile[]> => {
  if (zipKind(bytes) !== 'files') return [await readWithKept(bytes, name, layoutFor)];
  const unpacked = unpackZip(bytes);
  if ('because' in unpacked) return [refused(name, unpacked.because)];
  const files: SampleFile[] = [];
  for (const file of unpacked.files) {
    const inner = `${name}/${file.name}`;
    files.push(
      zipKind(file.bytes) === 'files'
        ? refused(inner, 'a ZIP inside a ZIP')
        : await readWithKept(file.bytes, inner, layoutFor),
    );
  }
  return files;
};

const readWithKept = async (
  bytes: Uint8Array,
  name: string,
  layoutFor: (fingerprint: string) => SampleLayout | undefined,
): Promise<SampleFile> => {
  const guessed = await readSamples(bytes, name);
  const kept = guessed.layout ? layoutFor(guessed.layout.fingerprint) : undefined;
  return kept ? readSamples(bytes, name, kept) : guessed;
};

const refused = (
  name: string,
  because: string,
  layout: SampleLayout | null = null,
  preview: readonly (readonly string[])[] = [],
): SampleFile => ({ ok: false, name, because, layout, preview });

const textGrid = (bytes: Uint8Array, layout?: SampleLayout): Grid | { readonly because: string } => {
  const decoded = decodeText(bytes);
  if ('because' in decoded) return decoded;
  const written = linesOf(decoded.text);
  const found = findTextTable(written);
  const table = layout ? tableOfLayout(layout, found) : found;
  if (table === null) return { because: 'no table of samples was found in the text' };
  const delimiter = table.delimiter ?? ',';
  return {
    lines: written.map((line) => cellsOf(line, delimiter)),
    written,
    table,
    encoding: decoded.encoding,
    sheet: null,
  };
};

const workbookGrid = async (bytes: Uint8Array, layout?: SampleLayout): Promise<Grid | { readonly because: string }> => {
  const sheets = await sheetsOf(bytes);
  if ('because' in sheets) return sheets;
  const candidates = sheets.flatMap((sheet) => {
    const found = findSheetTable(sheet.rows);
    return found ? [{ sheet, ...found }] : [];
  });
  const best =
    candidates.find((candidate) => candidate.sheet.name === layout?.sheet) ??
    candidates.reduce<(typeof candidates)[number] | null>(
      (kept, candidate) => (kept && kept.score >= candidate.score ? kept : candidate),
      null,
    );
  if (best === null) return { because: 'no table of samples was found in the workbook' };
  const table = layout ? (tableOfLayout(layout, best.table) ?? best.table) : best.table;
  return {
    lines: best.sheet.rows,
    written: best.sheet.rows.map((row) => row.join('\t')),
    table,
    encoding: 'workbook',
    sheet: best.sheet.name,
  };
};

/** A kept layout decides delimiter and decimal mark; where its header stands is looked up in this file. */
const tableOfLayout = (layout: SampleLayout, found: FoundTable | null): FoundTable | null => {
  const base = found ?? {
    headerLine: layout.headerLine,
    unitLine: layout.unitLine,
    firstDataLine: layout.firstDataLine,
    unitCells: [],
    purity: 0.5,
  };
  return { ...base, delimiter: layout.delimiter, decimal: layout.decimal, width: layout.columns.length };
};

const readGrid = (grid: Grid, name: string, layout?: SampleLayout): SampleFile => {
  const { table, lines } = grid;
  const names = columnNames(grid);
  const rows: (readonly string[])[] = [];
  const around: number[] = [];
  let lastDataLine = table.firstDataLine;
  for (let i = 0; i < lines.length; i++) {
    const cells = i < table.firstDataLine ? lines[i]! : joinUnits(lines[i]!, table.decimal).cells;
    if (
      i >= table.firstDataLine &&
      isDataRow(cells, table.decimal) &&
      Math.abs(cells.length - table.width) <= Math.max(1, table.width >> 1)
    )
      rows.push(cells), (lastDataLine = i);
    else if (i !== table.headerLine && i !== table.unitLine) around.push(i);
  }
  const named = around.map((i) => namedValue(grid.written[i]!, lines[i]!)).filter((value) => value !== null);
  const preview = [names, ...rows.slice(0, previewRows)];
  const guess = guessRoles(names, rows, table.decimal, unitsIn(named));
  const used: SampleLayout = {
    fingerprint: fingerprintOf(names, table.delimiter),
    encoding: grid.encoding,
    delimiter: table.delimiter,
    decimal: table.decimal,
    sheet: grid.sheet,
    headerLine: table.headerLine,
    unitLine: table.unitLine,
    firstDataLine: table.firstDataLine,
    columns: layout ? layout.columns : guess.columns,
    confidence: layout ? 1 : guess.confidence * table.purity,
    doubts: layout ? [] : guess.doubts,
  };
  const no = (because: string): SampleFile => refused(name, because, used, preview);

  if (rows.length < fewestSamples) return no(`only ${rows.length} rows of samples`);
  const declared = declaredCount(named);
  if (declared !== null && rows.length < 0.99 * declared - 1)
    return no(`the file says ${declared} samples and holds ${rows.length}: it is cut short`);
  const column = (role: ColumnRole): number => used.columns.findIndex((held) => held.role === role);
  const timeAt = column('time');
  if (timeAt < 0) return no('no column of time was found');
  const wrong = ambiguity(used.columns);
  if (wrong !== null) return no(wrong);
  const times = timeColumn(
    rows.map((row) => row[timeAt] ?? ''),
    used.columns[timeAt]!.unit!,
    table.decimal,
  );
  const values = (role: ColumnRole): Float64Array | null => {
    const at = column(role);
    return at < 0 ? null : quantities(rows, at, used.columns[at]!.unit!, table.decimal);
  };
  const completed = complete(times.timeS, values('voltage'), values('current'), values('resistance'));
  if ('because' in completed) return no(completed.because);
  const unfit = refusal(completed.samples);
  if (unfit !== null) return no(unfit);
  const dateAt = column('date');
  const day = times.day ?? (dateAt < 0 ? null : (dayIn(rows[0]![dateAt] ?? '') ?? null));
  const findings = [...times.findings, ...completed.findings];
  const odd = around.filter(
    (i) =>
      i > table.firstDataLine &&
      i < lastDataLine &&
      namedValue(grid.written[i]!, lines[i]!) === null &&
      grid.written[i]!.trim() !== '',
  );
  if (odd.length > 0) findings.push(`${odd.length} lines among the samples were left out`);
  return {
    ok: true,
    name,
    samples: completed.samples,
    layout: used,
    subject: subjectOf(named, name, day, table.decimal),
    named,
    preview,
    findings,
  };
};

const unitsIn = (named: readonly NamedValue[]): UnitsSaid => {
  const inOrder = named.find(({ name }) => /^units?$/i.test(name))?.value.split(/[\s,;|]+/) ?? [];
  const byRole = new Map<ColumnRole, string>();
  for (const { name, value } of named) {
    if (!/\bunits?\b/i.test(name)) continue;
    const role = roleOfName(name.replace(/\bunits?\b|\bof\b/gi, ' '));
    if (role) byRole.set(role, value);
  }
  return { inOrder, byRole };
};

const columnNames = ({ table, lines, written }: Grid): string[] => {
  const cellsAt = (line: number | null): readonly string[] =>
    line === null
      ? []
      : table.delimiter === 'blanks'
        ? headerCells(written[line] ?? '', table.width)
        : (lines[line] ?? []);
  const header = cellsAt(table.headerLine);
  const names =
    header.length >= table.width + table.unitCells.length
      ? header.filter((_, i) => !table.unitCells.includes(i))
      : header;
  const units = cellsAt(table.unitLine);
  return Array.from({ length: table.width }, (_, i) => {
    const unit = units[i] ?? '';
    const label = (names[i] ?? '').replace(/^(?:#|%|\/\/)\s*/, '').replace(/\s+/g, ' ');
    return unit === '' ? label : `${label} (${unit.replace(/^[([]|[)\]]$/g, '')})`.trim();
  });
};

/** A unit that would change the numbers by a thousand is never guessed for current and resistance. */
const ambiguity = (columns: readonly LayoutColumn[]): string | null => {
  for (const { role, unit, name } of columns) {
    if (unit !== null && (role === 'other' || role === 'date' || isUnitFor(role, unit))) continue;
    if (role === 'current') return `the unit of the current ('${name}') is not said: nA, µA or mA?`;
    if (role === 'time') return `the unit of the time ('${name}') is not said: seconds or minutes?`;
    if (role === 'voltage') return `the unit of the voltage ('${name}') is not said: V or kV?`;
  }
  return null;
};

const isUnitFor = (role: ColumnRole, unit: string): boolean =>
  (role === 'time' && (unit === 'clock' || unit === 'date-time')) || unitOf(unit)?.role === role;

const quantities = (rows: readonly (readonly string[])[], at: number, unit: string, decimal: '.' | ','): Float64Array =>
  Float64Array.from(rows, (row) => {
    const cell = numberCell(row[at] ?? '', decimal);
    if (cell === null) return Number.NaN;
    // A cell may carry its own unit, where the tester changes range in words.
    const own = cell.suffix === '' ? null : unitOf(cell.suffix);
    const power = powerOf[own ? own.unit : unit];
    return power === undefined ? Number.NaN : scaled(cell.digits, power);
  });

const declaredCount = (named: readonly NamedValue[]): number | null => {
  const text = named.find(({ name }) =>
    /^(?:(?:no\.?|number) of )?(?:samples|points|records|rows)(?: count)?$|^(?:sample|point|record|row) count$/i.test(
      name.trim(),
    ),
  )?.value;
  return text && /^\d{1,7}$/.test(text.trim()) ? Number(text) : null;
};

const dayIn = (cell: string): number | null => {
  const parsed = dateOf(cell);
  return parsed === null || parsed.ambiguous ? null : Date.UTC(parsed.year, parsed.month - 1, parsed.day) / 86_400_000;
};

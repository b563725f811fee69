import type { CommandPrint } from '../../core/contract/ask.ts';
import { headingOf, inLine, isName, type Label, labelOf } from './words.ts';

type Fields = Readonly<Record<string, unknown>>;

/** Rows of a table that are printed where the command does not say how many; the rest is counted. */
const rowsShown = 500;
/** A table within a part of the answer is printed up to this many rows, else counted: it is detail. */
const detailRows = 12;
/** A table with a cell longer than this is printed as entries, its long cells as sentences. */
const longCell = 60;
const lineWidth = 100;
const recordKey = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[0-9a-f]{4}-[0-9a-f]{12}$/;
/** Fields that are sentences of the answer, printed first and without a name. */
const sentences = ['caution', 'cautions', 'sentence', 'words'];

const isFields = (value: unknown): value is Fields =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
/** A figure that may be unknown: printed in one line. */
const isAmount = (value: unknown): boolean =>
  isFields(value) && 'known' in value && ('amount' in value || 'because' in value);
const isPlain = (value: unknown) => typeof value !== 'object' || value === null;

/** An answer for people: sentences, then names with values, then tables. */
export function printed(value: unknown, how: CommandPrint = {}): string {
  return `${blocksOf(value, how).filter(Boolean).join('\n\n')}\n`;
}

function blocksOf(value: unknown, how: CommandPrint, within = false): string[] {
  if (Array.isArray(value)) return [listBlock(value, how)];
  if (!isFields(value)) return [inLine(value)];
  const said = sentences.flatMap((field) => [value[field] ?? []].flat()).map(String);
  const rest = Object.entries(value).filter(([field]) => !sentences.includes(field) && !how.hides?.includes(field));
  const flat = rest.filter(([, each]) => isPlain(each) || isAmount(each));
  const deep = rest.filter(([, each]) => !isPlain(each) && !isAmount(each));
  return [said.join('\n'), pairs(flat, how), ...deep.map(([field, each]) => titled(field, each, how, within))];
}

/** A record with several tables of its own is no row of one. */
const isSheet = (value: unknown): boolean =>
  isFields(value) && Object.values(value).filter((each) => Array.isArray(each) && each.some(isFields)).length > 2;

function titled(field: string, value: unknown, all: CommandPrint, within: boolean): string {
  const title = titleOf(field, all);
  const how = partOf(field, all);
  if (within && Array.isArray(value) && value.length > detailRows)
    return `${title}: ${value.length} rows (--json prints them)`;
  if (Array.isArray(value) && value.some(isSheet)) return `${title}: ${value.length} (--json prints them)`;
  if (Array.isArray(value)) return value.length === 0 ? '' : `${title}:\n${indented(listBlock(value, how))}`;
  const fields = value as Fields;
  if ('points' in fields && 'bands' in fields) return '';
  if (fields.known === false || 'lo' in fields) return `${title}: ${inLine(value)}`;
  return `${title}:\n${indented(blocksOf(fields, how, true).filter(Boolean).join('\n'))}`;
}

const nameOf = (field: string, how: CommandPrint): Label =>
  how.names?.[field] === undefined ? labelOf(field) : { words: how.names[field], unit: '' };
const titleOf = (field: string, how: CommandPrint): string => how.names?.[field] ?? headingOf(field);

/** How a part of the answer is printed: what is hidden of it alone is hidden there. */
function partOf(field: string, how: CommandPrint): CommandPrint {
  const own = how.hides?.filter((each) => each.startsWith(`${field}.`)).map((each) => each.slice(field.length + 1));
  return own?.length ? { ...how, hides: [...how.hides!, ...own] } : how;
}

const indented = (text: string) => text.replace(/^(?=.)/gm, '  ');

function pairs(entries: readonly (readonly [string, unknown])[], how: CommandPrint): string {
  // What was not asked for and what nobody has set is no line.
  const said = entries.filter(([, value]) => value !== null && value !== undefined);
  const rows = said.map(([field, value]) => {
    const { words, unit } = nameOf(field, how);
    return [words, `${inLine(value, field)}${unit ? ` ${unit}` : ''}`] as const;
  });
  const width = Math.max(0, ...rows.map(([name]) => name.length));
  return rows.map(([name, value]) => `${name.padEnd(width)}  ${value}`).join('\n');
}

function listBlock(list: readonly unknown[], how: CommandPrint): string {
  const shown = list.slice(0, how.rows ?? rowsShown);
  const all = how.allBy ? `--${how.allBy} OUT writes them, --json prints all` : '--json prints all';
  const more = list.length > shown.length ? [`… and ${list.length - shown.length} more (${all})`] : [];
  const rows = shown.filter(isFields);
  const lines = rows.length === shown.length && rows.length > 0 ? rowsOf(rows, how) : shown.map((each) => inLine(each));
  return [...lines, ...more].join('\n').trimEnd();
}

function rowsOf(rows: readonly Fields[], how: CommandPrint): string[] {
  // Keys of records are for programs; --json has them.
  const isKey = (field: string) => rows.every((row) => recordKey.test(String(row[field])));
  const fields = [...new Set(rows.flatMap((row) => Object.keys(row)))].filter(
    (field) =>
      rows.some((row) => row[field] !== null && row[field] !== undefined) &&
      !isKey(field) &&
      !how.hides?.includes(field),
  );
  const columns = fields.map((field) => ({
    field,
    heading: titleOf(field, how),
    right: rows.every((row) => typeof row[field] === 'number' || row[field] === null),
    cells: rows.map((row) => inLine(row[field], field).replaceAll('\n', ' ')),
  }));
  const isLong = columns.some(({ cells }) => cells.some((cell) => cell.length > longCell));
  return isLong ? entriesOf(columns, rows.length) : tableOf(columns, rows.length);
}

interface Column {
  readonly field: string;
  readonly heading: string;
  readonly right: boolean;
  readonly cells: readonly string[];
}

/** An aligned table: numbers to the right. */
function tableOf(columns: readonly Column[], rows: number): string[] {
  const padded = columns.map(({ heading, right, cells }) => {
    const width = Math.max(heading.length, ...cells.map((cell) => cell.length));
    return [heading, ...cells].map((text) => (right ? text.padStart(width) : text.padEnd(width)));
  });
  return Array.from({ length: rows + 1 }, (_, i) =>
    padded
      .map((cells) => cells[i]!)
      .join('  ')
      .trimEnd(),
  );
}

/** Row after row: the short cells in a line, each by its name unless it is one, and each long one below it. */
function entriesOf(columns: readonly Column[], rows: number): string[] {
  const isSentence = ({ cells }: Column) => cells.some((cell) => cell.length > longCell);
  const short = columns.filter((column) => !isSentence(column));
  const long = columns.filter(isSentence);
  const width = Math.max(...long.map(({ heading }) => heading.length));
  return Array.from({ length: rows }, (_, i) => {
    const head = short
      .filter(({ cells }) => cells[i] !== '–')
      .map(({ field, heading, cells }) => (isName(field) ? cells[i]! : `${heading} ${cells[i]}`));
    const below = long
      .filter(({ cells }) => cells[i] !== '–')
      .map(({ heading, cells }) => `  ${heading.padEnd(width)}  ${wrapped(cells[i]!, width + 4)}`);
    return `${[linesOf(head), ...below].filter(Boolean).join('\n')}\n`;
  });
}

/** Cells in lines of at most `lineWidth`, those after the first set in. */
function linesOf(cells: readonly string[]): string {
  const lines: string[] = [];
  for (const cell of cells) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + cell.length + 3 <= lineWidth) lines[lines.length - 1] = `${last} · ${cell}`;
    else lines.push(lines.length === 0 ? cell : `  ${cell}`);
  }
  return lines.join('\n');
}

/** Words in lines of at most `lineWidth`, the later ones set in by `indent`. */
function wrapped(text: string, indent: number): string {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    if (line && line.length + word.length + 1 > lineWidth - indent) {
      lines.push(line);
      line = word;
    } else line = line ? `${line} ${word}` : word;
  }
  return [...lines, line].join(`\n${' '.repeat(indent)}`);
}

import { headingOf, inLine, labelOf } from './words.ts';

type Fields = Readonly<Record<string, unknown>>;

/** Rows of a table that are printed; the rest is counted. */
const rowsShown = 500;
/** Fields that are sentences of the answer, printed first and without a name. */
const sentences = ['caution', 'cautions', 'sentence', 'words'];

const isFields = (value: unknown): value is Fields =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
const isPlain = (value: unknown) => typeof value !== 'object' || value === null;

/** An answer for people: sentences, then names with values, then tables. */
export function printed(value: unknown): string {
  return `${blocksOf(value).filter(Boolean).join('\n\n')}\n`;
}

function blocksOf(value: unknown): string[] {
  if (Array.isArray(value)) return [listBlock(value)];
  if (!isFields(value)) return [inLine(value)];
  const said = sentences.flatMap((field) => [value[field] ?? []].flat()).map(String);
  const rest = Object.entries(value).filter(([field]) => !sentences.includes(field));
  const flat = rest.filter(([, each]) => isPlain(each));
  const deep = rest.filter(([, each]) => !isPlain(each));
  return [said.join('\n'), pairs(flat), ...deep.map(([field, each]) => titled(field, each))];
}

function titled(field: string, value: unknown): string {
  if (Array.isArray(value)) return value.length === 0 ? '' : `${headingOf(field)}:\n${indented(listBlock(value))}`;
  const fields = value as Fields;
  if ('points' in fields && 'bands' in fields) return '';
  if (fields.known === false || 'lo' in fields) return `${headingOf(field)}: ${inLine(value)}`;
  return `${headingOf(field)}:\n${indented(blocksOf(fields).filter(Boolean).join('\n'))}`;
}

const indented = (text: string) => text.replace(/^(?=.)/gm, '  ');

function pairs(entries: readonly (readonly [string, unknown])[]): string {
  const rows = entries.map(([field, value]) => {
    const { words, unit } = labelOf(field);
    return [words, `${inLine(value, field)}${unit && value !== null ? ` ${unit}` : ''}`] as const;
  });
  const width = Math.max(0, ...rows.map(([name]) => name.length));
  return rows.map(([name, value]) => `${name.padEnd(width)}  ${value}`).join('\n');
}

function listBlock(list: readonly unknown[]): string {
  const shown = list.slice(0, rowsShown);
  const more = list.length > shown.length ? [`… and ${list.length - shown.length} more (--json prints all)`] : [];
  const rows = shown.filter(isFields);
  const lines = rows.length === shown.length && rows.length > 0 ? tableOf(rows) : shown.map((each) => inLine(each));
  return [...lines, ...more].join('\n');
}

/** An aligned table: numbers to the right, empty columns left out. */
function tableOf(rows: readonly Fields[]): string[] {
  const fields = [...new Set(rows.flatMap((row) => Object.keys(row)))].filter((field) =>
    rows.some((row) => row[field] !== null && row[field] !== undefined),
  );
  const columns = fields.map((field) => {
    const cells = rows.map((row) => inLine(row[field], field).replaceAll('\n', ' '));
    const right = rows.every((row) => typeof row[field] === 'number' || row[field] === null);
    const heading = headingOf(field);
    const width = Math.max(heading.length, ...cells.map((cell) => cell.length));
    const pad = (text: string) => (right ? text.padStart(width) : text.padEnd(width));
    return { heading: pad(heading), cells: cells.map(pad) };
  });
  const lineOf = (cells: readonly string[]) => cells.join('  ').trimEnd();
  return [lineOf(columns.map((c) => c.heading)), ...rows.map((_, i) => lineOf(columns.map((c) => c.cells[i]!)))];
}

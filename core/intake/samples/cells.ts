import type { Delimiter } from './shapes.ts';

/** Lines without their ends; a lone carriage return ends a line too. */
export const linesOf = (text: string): string[] => {
  const lines = text.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/);
  while (lines.length > 0 && lines[lines.length - 1]!.trim() === '') lines.pop();
  return lines;
};

/** Cells of a line. Quotes hide delimiters; blanks around a cell are dropped. */
export const cellsOf = (line: string, delimiter: Delimiter): string[] => {
  if (delimiter === 'blanks') return line.trim() === '' ? [] : line.trim().split(/\s+/);
  if (!line.includes('"')) return line.split(delimiter).map((cell) => cell.trim());
  const cells: string[] = [];
  let cell = '';
  let quoted = false;
  for (let i = 0; i < line.length; i++) {
    const at = line[i]!;
    if (at === '"') {
      if (quoted && line[i + 1] === '"') (cell += '"'), i++;
      else quoted = !quoted;
    } else if (at === delimiter && !quoted) {
      cells.push(cell.trim());
      cell = '';
    } else cell += at;
  }
  cells.push(cell.trim());
  return cells;
};

export interface NumberCell {
  /** Plain decimal notation with a point. */
  readonly digits: string;
  /** What follows the number: a unit, or nothing. */
  readonly suffix: string;
}

const pointNumber =
  /^([+-]?(?:[1-9]\d{0,2}(?:,\d{3})+(?:\.\d*)?|\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?)\s*([^\d\s.,:;/-][^\d]{0,11})?$/;
const commaNumber =
  /^([+-]?(?:[1-9]\d{0,2}(?:\.\d{3})+(?:,\d*)?|\d+,?\d*|,\d+)(?:[eE][+-]?\d{1,3})?)\s*([^\d\s.,:;/-][^\d]{0,11})?$/;

/** Reads '12.5', '12,5', '1,234.5', '3.4 µA', '−2e-3'; null for anything else. */
export const numberCell = (cell: string, decimal: '.' | ','): NumberCell | null => {
  if (cell === '' || cell.length > 40) return null;
  if (isPlain(cell, decimal === '.' ? 46 : 44))
    return { digits: decimal === '.' ? cell : cell.replace(',', '.'), suffix: '' };
  const first = cell.charCodeAt(0);
  // Anything else than a digit, sign, point or comma in front is no number: most text leaves here.
  const text = first === 0x2212 || first === 0x2013 ? `-${cell.slice(1)}` : cell;
  if (!/^[\d+\-.,]/.test(text)) return null;
  const match = (decimal === '.' ? pointNumber : commaNumber).exec(text);
  if (match === null) return null;
  const digits = decimal === '.' ? match[1]!.replaceAll(',', '') : match[1]!.replaceAll('.', '').replace(',', '.');
  return { digits, suffix: match[2] ?? '' };
};

/** Digits with at most one mark between or behind them: nearly every cell of a tester's file. */
const isPlain = (cell: string, mark: number): boolean => {
  let marks = 0;
  const start = cell.charCodeAt(0) === 45 ? 1 : 0;
  for (let i = start; i < cell.length; i++) {
    const code = cell.charCodeAt(i);
    if (code >= 48 && code <= 57) continue;
    if (code !== mark || i === start || ++marks > 1) return false;
  }
  return cell.length > start;
};

/** The number times a power of ten, rounded once: '1.234' with 3 is exactly 1234. */
export const scaled = (digits: string, power: number): number => {
  if (power === 0) return Number(digits) + 0;
  const at = digits.search(/[eE]/);
  const mantissa = at < 0 ? digits : digits.slice(0, at);
  const exponent = (at < 0 ? 0 : Number(digits.slice(at + 1))) + power;
  return Number(`${mantissa}e${exponent}`) + 0;
};

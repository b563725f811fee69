import type { Column, Value } from './column.ts';
import { plainText } from './csv-record.ts';

/** Told of a value that cannot be taken: its column, the value, and what would be right. */
export type Complain = (column: string, value: string, message: string) => void;

/** Reads one cell; undefined where it was refused. */
export type CellReader = (cell: string, complain: Complain) => Value | undefined;

const number = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;
const whole = /^[+-]?\d{1,15}$/;
const decimalComma = /^[+-]?\d+,\d+$/;
const grouped = /^[+-]?\d{1,3}(?:[, ']\d{3})+(?:\.\d+)?$/;
/** Ids and names longer than this do not fit the fleet file. */
const longestId = 200;

/** The reader for a column's cells. Blanks around ids, numbers, days and choices are dropped; text is kept to the letter. */
export function cellReader(column: Column): CellReader {
  const read = readerOf(column);
  if (column.kind === 'text')
    return (cell, complain) =>
      cell.trim() === '' && (cell === '' || column.needed) ? empty(column, complain) : read(cell, complain);
  return (cell, complain) => {
    if (cell === '') return empty(column, complain);
    const bare = isBlank(cell.charCodeAt(0)) || isBlank(cell.charCodeAt(cell.length - 1)) ? cell.trim() : cell;
    return bare === '' ? empty(column, complain) : read(bare, complain);
  };
}

const isBlank = (code: number): boolean => code === 32 || code === 9 || code === 160;

function empty(column: Column, complain: Complain): null | undefined {
  if (!column.needed) return null;
  complain(column.name, '', `It is empty and must not be. Write ${column.says}${example(column)}.`);
  return undefined;
}

function readerOf(column: Column): CellReader {
  switch (column.kind) {
    case 'id':
    case 'ref':
      return (cell, complain) => {
        const text = plainText(cell);
        if (text.length <= longestId && !text.includes('\0')) return column.kind === 'id' ? ownCopy(text) : text;
        complain(column.name, cell.slice(0, 40), `An id has at most ${longestId} characters.`);
        return undefined;
      };
    case 'text':
      return (cell) => plainText(cell);
    case 'number':
      return numberReader(column);
    case 'whole':
      return wholeReader(column);
    case 'choice':
      return choiceReader(column);
    case 'day':
      return dayReader(column);
    case 'flag':
      return flagReader(column);
  }
}

/** V8 keeps a long slice as a view of the whole record; ids are kept for long, so they get bytes of their own. */
const ownCopy = (text: string): string => (text.length < 13 ? text : Buffer.from(text).toString());

const powersOfTen = Array.from({ length: 16 }, (_, n) => 10 ** n);

/**
 * The value of up to 15 digits with at most one point between them, −1 for anything else. Both the digits and the power
 * of ten are exact in a double, so their quotient is the nearest double, as Number() gives it.
 */
function plainDecimal(cell: string): number {
  const { length } = cell;
  if (length > 16) return -1;
  let digits = 0;
  let point = -1;
  for (let i = 0; i < length; i++) {
    const code = cell.charCodeAt(i);
    if (code >= 48 && code <= 57) digits = digits * 10 + (code - 48);
    else if (code === 46 && point < 0 && i > 0 && i < length - 1) point = i;
    else return -1;
  }
  if (point < 0) return length <= 15 && length > 0 ? digits : -1;
  return digits / powersOfTen[length - 1 - point]!;
}

function numberReader(column: Column): CellReader {
  return (cell, complain) => {
    const plain = plainDecimal(cell);
    const value = plain >= 0 ? plain : number.test(cell) ? Number(cell) : Number.NaN;
    if (!Number.isFinite(value)) {
      complain(column.name, cell, notANumber(cell, column));
      return undefined;
    }
    return within(value, column, cell, complain);
  };
}

function wholeReader(column: Column): CellReader {
  return (cell, complain) => {
    const plain = plainDecimal(cell);
    const digitsOnly = plain >= 0 && !cell.includes('.');
    if (!digitsOnly && !whole.test(cell)) {
      const rounded = number.test(cell)
        ? `Write a whole number, such as ${Math.round(Number(cell))}.`
        : notANumber(cell, column);
      complain(column.name, cell, rounded);
      return undefined;
    }
    const value = Number(cell);
    if (!column.values || column.values.includes(String(value))) return within(value, column, cell, complain);
    complain(column.name, cell, `Write one of ${column.values.join(', ')}.`);
    return undefined;
  };
}

function within(value: number, column: Column, cell: string, complain: Complain): number | undefined {
  const unit = column.unit ? ` ${column.unit}` : '';
  const { above, atLeast, atMost } = column;
  if (above !== undefined && !(value > above)) {
    const floor =
      column.name === 'leakage' ? ' Where the instrument showed nothing, write its floor and below_floor true.' : '';
    complain(column.name, cell, `It must be greater than ${above}${unit}.${floor}`);
  } else if (atLeast !== undefined && value < atLeast)
    complain(column.name, cell, `It must be at least ${atLeast}${unit}.`);
  else if (atMost !== undefined && value > atMost) complain(column.name, cell, `It must be at most ${atMost}${unit}.`);
  else return value === 0 ? 0 : value;
  return undefined;
}

function notANumber(cell: string, column: Column): string {
  if (decimalComma.test(cell)) return `Decimal comma. Write ${cell.replace(',', '.')}, with a decimal point.`;
  if (grouped.test(cell)) return `Write the number without separators: ${cell.replaceAll(/[, ']/g, '')}.`;
  const inFront = /^[+-]?\d+(?:\.\d+)?(?=\s*\D)/.exec(cell)?.[0];
  if (inFront) return `It is not a number. Write ${inFront} alone${column.unit ? `, in ${column.unit}` : ''}.`;
  return `It is not a number. Write ${column.says} as a number, or leave the cell empty where unknown.`;
}

function choiceReader(column: Column): CellReader {
  const values = new Map(column.values!.map((value) => [value, value]));
  for (const [alike, value] of Object.entries(column.alike ?? {})) values.set(alike, value);
  return (cell, complain) => {
    const value = values.get(cell);
    if (value !== undefined) return value;
    const meant = column.values!.find((one) => one.toLowerCase() === cell.toLowerCase().replaceAll(/[ -]/g, '_'));
    complain(column.name, cell, meant ? `Write ${meant}.` : `Write one of ${column.values!.join(', ')}.`);
    return undefined;
  };
}

function flagReader(column: Column): CellReader {
  const [yes, no] = column.words!;
  return (cell, complain) => {
    if (cell === 'true' || cell === 'yes') return 1;
    if (cell === 'false' || cell === 'no') return 0;
    complain(column.name, cell, `Write ${yes} or ${no}, or leave the cell empty where unknown.`);
    return undefined;
  };
}

const daysIn = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/** True for a day of the calendar written YYYY-MM-DD. */
export function isDay(text: string): boolean {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text)) return false;
  const year = Number(text.slice(0, 4));
  const month = Number(text.slice(5, 7));
  const day = Number(text.slice(8, 10));
  const leap = month === 2 && year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0) ? 1 : 0;
  return month >= 1 && month <= 12 && day >= 1 && day <= daysIn[month - 1]! + leap;
}

function dayReader(column: Column): CellReader {
  // The same days stand in a file many times; a day seen and found good is not looked at again.
  const good = new Map<string, string>();
  return (cell, complain) => {
    const seen = good.get(cell);
    if (seen !== undefined) return seen;
    if (!isDay(cell)) {
      const shaped = /^\d{4}-\d{2}-\d{2}$/.test(cell);
      const right = shaped ? 'The calendar has no such day.' : 'Write the day as YYYY-MM-DD, such as 2026-03-09.';
      complain(column.name, cell, right);
      return undefined;
    }
    if (good.size < 100_000) good.set(cell, cell);
    return cell;
  };
}

function example(column: Column): string {
  if (column.values) return `: one of ${column.values.join(', ')}`;
  if (column.kind === 'day') return ' as YYYY-MM-DD';
  return column.unit ? ` in ${column.unit}` : '';
}

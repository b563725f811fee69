import { numberCell } from '../samples/cells.ts';
import type { Field } from './fields.ts';
import type { DateOrder } from './shapes.ts';
import { converted, unitOfWord } from './units.ts';

const empty = /^(?:|-+|–|—|n\/?a|none|null|\?|unknown|tbd)$/i;
/** What owners write for 'nothing known'. */
export const isEmpty = (cell: string): boolean => empty.test(cell.trim());

export interface Quantity {
  readonly value: number;
  /** The cell's own unit, where it has one. */
  readonly unit: string | null;
  /** '<0.1': somewhere under it. */
  readonly under: boolean;
}

/** '12.5', '1,234.5', '3,4', '<0.1 µA', '≤ 5'; null for anything else. */
export function quantityOf(cell: string, decimal: '.' | ',', units: readonly string[] = []): Quantity | null {
  const under = /^\s*(?:<|≤|under|below)\s*/i.exec(cell);
  const text = (under ? cell.slice(under[0].length) : cell).trim().replace(/^[~≈]\s*/, '');
  const found = numberCell(text, decimal);
  if (found === null) return null;
  const unit = found.suffix === '' ? null : unitOfWord(found.suffix, units);
  if (found.suffix !== '' && unit === null) return null;
  return { value: Number(found.digits), unit, under: under !== null };
}

const months = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec'];

/** A day in any usual spelling as YYYY-MM-DD; a year alone is its first day. Null for anything else. */
export function dayOf(cell: string, order: DateOrder): string | null {
  const text = cell.trim().replace(/[T ]\d{1,2}:\d{2}.*$/, '');
  const year = /^(\d{4})$/.exec(text);
  if (year) return whole(Number(year[1]), 1, 1);
  const iso = /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$/.exec(text);
  if (iso) return whole(Number(iso[1]), Number(iso[2]), Number(iso[3]));
  const named =
    /^(\d{1,2})[ .-]*([a-z]{3})[a-z]*[ .,-]*(\d{4}|\d{2})$/i.exec(text) ??
    /^([a-z]{3})[a-z]*[ .-]*(\d{1,2})[ ,.-]+(\d{4})$/i.exec(text);
  if (named) {
    const [, one, two, y] = named as unknown as [string, string, string, string];
    const month = months.indexOf((/^\d/.test(one) ? two : one).toLowerCase()) + 1;
    return month === 0 ? null : whole(yearOf(y), month, Number(/^\d/.test(one) ? one : two));
  }
  const parts = numericDay.exec(text);
  if (!parts) return null;
  const [first, second] = [Number(parts[1]), Number(parts[2])];
  return order === 'day first' ? whole(yearOf(parts[3]!), second, first) : whole(yearOf(parts[3]!), first, second);
}

/** A day written in figures whose order is not told by a year in front. */
export const numericDay = /^(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})$/;

/** Two figures: 70 to 99 are of the last century. Common practice, no source. */
const yearOf = (text: string): number =>
  text.length === 4 ? Number(text) : Number(text) + (Number(text) >= 70 ? 1900 : 2000);

function whole(year: number, month: number, day: number): string | null {
  if (year < 1880 || year > 2100 || month < 1 || month > 12 || day < 1) return null;
  if (day > new Date(Date.UTC(year, month, 0)).getUTCDate()) return null;
  return `${year}-${String(month).padStart(2, '0')}-${String(day).padStart(2, '0')}`;
}

/** The fleet folder's spelling of a choice; null where the cell is none of its values. */
export const choiceOf = (field: Field, cell: string): string | null =>
  field.values?.find(([pattern]) => pattern.test(cell.trim()))?.[1] ?? null;

/** A cell as the fleet folder writes it. What cannot be read is given back as it stands, to be refused by its own reader. */
export function canonical(
  field: Field,
  cell: string,
  unit: string | null,
  decimal: '.' | ',',
  order: DateOrder,
): string {
  if (isEmpty(cell)) return '';
  switch (field.kind) {
    case 'number': {
      const found = quantityOf(cell, decimal, field.units ?? []);
      return found === null ? cell : String(converted(found.value, found.unit ?? unit ?? field.usual ?? null));
    }
    case 'date':
      return dayOf(cell, order) ?? cell;
    case 'choice':
    case 'flag':
      return choiceOf(field, cell) ?? cell;
    default:
      return cell.trim();
  }
}

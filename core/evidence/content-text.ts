import { hash } from 'node:crypto';
import type { RecordValue } from './canonical.ts';

/** JSON texts of words that come back again and again (phases, units, crews); emptied when it grows too large. */
const words = new Map<string, string>();

function wordText(word: string): string {
  let text = words.get(word);
  if (text === undefined) {
    if (words.size > 20_000) words.clear();
    text = JSON.stringify(word);
    words.set(word, text);
  }
  return text;
}

/** One value exactly as JSON.stringify writes it; an infinity as its name, as in the record's content. */
export function valueText(value: unknown): string {
  if (value === null || value === undefined) return 'null';
  if (typeof value === 'number') return Number.isFinite(value) ? `${value}` : `"${value}"`;
  if (typeof value === 'string') return value.length < 40 ? wordText(value) : JSON.stringify(value);
  return JSON.stringify(value as RecordValue);
}

/** `row[from]` … `row[to - 1]` as a JSON array without its brackets. */
export function valuesText(row: readonly unknown[], from: number, to: number): string {
  let text = '';
  for (let i = from; i < to; i++) text += i === from ? valueText(row[i]) : `,${valueText(row[i])}`;
  return text;
}

/** The digest of a record whose content is already JSON: the same bytes as `recordDigest`. */
export const digestOfText = (entity: string, values: string): Buffer =>
  hash('sha256', `["${entity}",${values}]`, 'buffer');

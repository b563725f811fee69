import { hash } from 'node:crypto';
import type { RecordValue } from './canonical.ts';

/** What JSON.stringify does not write as it stands: quotes, backslashes, controls and (lone) surrogates. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: controls are what is looked for
const special = /["\\\u0000-\u001f\ud800-\udfff]/;

/** One value exactly as JSON.stringify writes it; an infinity as its name, as in the record's content. */
export function valueText(value: unknown): string {
  if (value === null || value === undefined) return 'null';
  if (typeof value === 'number') return Number.isFinite(value) ? `${value}` : `"${value}"`;
  if (typeof value === 'string') return special.test(value) ? JSON.stringify(value) : `"${value}"`;
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

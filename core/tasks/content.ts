import { type RecordValue, recordDigest, sha256 } from '../evidence/canonical.ts';
import { planItemColumns, readingColumns, recordColumns } from '../store/record-columns.ts';
import type { AnyRow } from '../store/records.ts';
import type { Entity } from '../store/tables.ts';

const hex = (bytes: Uint8Array) => Buffer.from(bytes).toString('hex');

function recordValue(entity: Entity, column: string, value: unknown): RecordValue {
  if (value === null || value === undefined) return null;
  if (value instanceof Uint8Array) return hashed.has(`${entity}.${column}`) ? hex(sha256(value)) : hex(value);
  return plain(value as string | number);
}

const hashed = new Set(['source_file.bytes', 'trace.samples']);

/** SQLite keeps an infinity and turns a NaN to NULL; JSON would write both as null, so an infinity stands as its name. */
const plain = (value: string | number | null): string | number | null =>
  typeof value === 'number' && !Number.isFinite(value) ? (Number.isNaN(value) ? null : String(value)) : value;

/** A record's content in its fixed order; `parts` are the readings of an event or the items of a plan, already in order. */
export function contentOf(entity: Entity, row: AnyRow, parts?: readonly AnyRow[]): RecordValue[] {
  const content: RecordValue[] = recordColumns[entity].map((column) => recordValue(entity, column, row[column]));
  if (entity === 'test_event') content.push((parts ?? []).map((part) => listOf(readingColumns, part)));
  if (entity === 'plan') content.push((parts ?? []).map((part) => listOf(planItemColumns, part)));
  return content;
}

const listOf = (columns: readonly string[], row: AnyRow): RecordValue[] =>
  columns.map((column) => plain((row[column] ?? null) as string | number | null));

/** SHA-256 of a record's content: what its `digest` column holds. */
export const digestOf = (entity: Entity, row: AnyRow, parts?: readonly AnyRow[]): Buffer =>
  recordDigest(entity, contentOf(entity, row, parts));

import { createHash, hash } from 'node:crypto';

export type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json };

/**
 * JSON in the one form of RFC 8785: members sorted by UTF-16 code units, no white space, numbers as ECMAScript writes
 * them. Throws TypeError on numbers that JSON cannot hold and on lone surrogates.
 */
export function canonicalJson(value: Json): string {
  if (value === null || typeof value === 'boolean') return String(value);
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) throw new TypeError(`JSON has no number ${value}`);
    return JSON.stringify(value);
  }
  if (typeof value === 'string') {
    if (!value.isWellFormed()) throw new TypeError('JSON text with a lone surrogate has no canonical form');
    return JSON.stringify(value);
  }
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`;
  const object = value as { readonly [key: string]: Json };
  const members = Object.keys(object)
    .sort()
    .map((name) => `${canonicalJson(name)}:${canonicalJson(object[name]!)}`);
  return `{${members.join(',')}}`;
}

/** What a record holds, in its fixed order: numbers, text, null, and lists of the same for what belongs to it. */
export type RecordValue = null | number | string | readonly RecordValue[];

/** SHA-256 over a record's content as a JSON array (already canonical: arrays keep their order). 32 bytes. */
export function recordDigest(entity: string, values: readonly RecordValue[]): Buffer {
  return hash('sha256', JSON.stringify([entity, ...values]), 'buffer');
}

export const sha256 = (bytes: string | Uint8Array): Buffer => hash('sha256', bytes, 'buffer');
export const newSha256 = () => createHash('sha256');

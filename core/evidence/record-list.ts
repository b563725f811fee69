import { newSha256 } from './canonical.ts';

/** Bytes an entry takes in a stored list: the id (16) and the first 8 bytes of the digest. */
export const entryBytes = 24;

export const idBytes = (id: string): Buffer => Buffer.from(id.replaceAll('-', ''), 'hex');
export function idText(bytes: Uint8Array): string {
  const h = Buffer.from(bytes).toString('hex');
  return `${h.slice(0, 8)}-${h.slice(8, 12)}-${h.slice(12, 16)}-${h.slice(16, 20)}-${h.slice(20, 32)}`;
}

/** The records one ledger line wrote: id and digest of each, kept in 48-byte entries and put in order of id at the end. */
export class RecordList {
  // Most lines write one record, an import writes a million: begin small, double when full.
  #bytes = Buffer.alloc(48 * 2);
  #count = 0;
  #ascending = true;
  #last = '';

  get count(): number {
    return this.#count;
  }

  /** `digest` has 32 bytes. The same id twice is a fault of the caller (`repeated`). */
  add(id: string, digest: Uint8Array): void {
    const at = this.#count * 48;
    if (at === this.#bytes.length) this.#bytes = Buffer.concat([this.#bytes], at * 2);
    this.#bytes.write(id.slice(0, 8), at, 4, 'hex');
    this.#bytes.write(id.slice(9, 13), at + 4, 2, 'hex');
    this.#bytes.write(id.slice(14, 18), at + 6, 2, 'hex');
    this.#bytes.write(id.slice(19, 23), at + 8, 2, 'hex');
    this.#bytes.write(id.slice(24, 36), at + 10, 6, 'hex');
    this.#bytes.set(digest, at + 16);
    if (id <= this.#last) this.#ascending = false;
    this.#last = id;
    this.#count++;
  }

  /** All entries in order of id, 48 bytes each. */
  sorted(): Buffer {
    const bytes = this.#bytes.subarray(0, this.#count * 48);
    if (this.#ascending) return bytes;
    this.#last = '~';
    const order = Array.from({ length: this.#count }, (_, i) => bytes.subarray(i * 48, i * 48 + 48));
    order.sort((a, b) => a.compare(b));
    this.#bytes = Buffer.concat(order);
    this.#ascending = true;
    return this.#bytes;
  }

  /** An id that stands in the list twice, or undefined. */
  repeated(): string | undefined {
    const bytes = this.sorted();
    for (let at = 48; at < bytes.length; at += 48)
      if (bytes.compare(bytes, at - 48, at - 32, at, at + 16) === 0) return idText(bytes.subarray(at, at + 16));
    return undefined;
  }
}

/**
 * SHA-256 over everything a line wrote: for each kind of record in alphabetical order its name, a zero byte, and the
 * 48-byte entries in order of id.
 */
export function rowsDigest(lists: ReadonlyMap<string, RecordList>): Buffer {
  const hash = newSha256();
  for (const entity of [...lists.keys()].sort()) hash.update(`${entity}\0`).update(lists.get(entity)!.sorted());
  return hash.digest();
}

/** The stored form of a sorted list: ids and the first 8 bytes of each digest. */
export function shortEntries(sorted: Buffer): Buffer {
  const count = sorted.length / 48;
  const out = Buffer.alloc(count * entryBytes);
  for (let i = 0; i < count; i++) sorted.copy(out, i * entryBytes, i * 48, i * 48 + entryBytes);
  return out;
}

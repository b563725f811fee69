import { canonicalJson, type Json, sha256 } from './canonical.ts';

/** A ledger line before it is sealed. Blobs stand as lower-case hexadecimal. */
export interface LedgerLine {
  readonly seq: number;
  /** ISO 8601, UTC. */
  readonly at: string;
  readonly who: string;
  readonly what: string;
  readonly entity: string | null;
  readonly entityId: string | null;
  readonly before: Json;
  readonly after: Json;
  readonly why: string | null;
  readonly rowsDigest: Uint8Array | null;
  readonly previousHash: Uint8Array;
}

/** What the first line follows: 32 zero bytes. */
export const firstPreviousHash = Buffer.alloc(32);

/** The line's hash: SHA-256 over its canonical JSON (RFC 8785), the previous line's hash among its members. */
export function sealHash(line: LedgerLine): Buffer {
  return sha256(
    canonicalJson({
      seq: line.seq,
      at: line.at,
      who: line.who,
      what: line.what,
      entity: line.entity,
      id: line.entityId,
      before: line.before,
      after: line.after,
      why: line.why,
      rows: line.rowsDigest ? Buffer.from(line.rowsDigest).toString('hex') : null,
      previous: Buffer.from(line.previousHash).toString('hex'),
    }),
  );
}

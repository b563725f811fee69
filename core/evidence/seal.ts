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
  readonly rowsLocator: Uint8Array | null;
  readonly previousHash: Uint8Array;
}

/** The fleet's own row, which no record holds. */
export interface FleetName {
  readonly fleet_id: string;
  readonly utility_name: string;
  readonly created_at: string;
}

/** What the first line follows: SHA-256 over the fleet's own row, so that the chain holds it too; 32 zero bytes without one. */
export const firstPreviousHash = (fleet: FleetName | undefined): Buffer =>
  fleet
    ? sha256(canonicalJson({ fleet: fleet.fleet_id, utility: fleet.utility_name, created: fleet.created_at }))
    : Buffer.alloc(32);

const hexOrNull = (bytes: Uint8Array | null) => (bytes ? Buffer.from(bytes).toString('hex') : null);

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
      rows: hexOrNull(line.rowsDigest),
      locator: hexOrNull(line.rowsLocator),
      previous: Buffer.from(line.previousHash).toString('hex'),
    }),
  );
}

import { canonicalJson, type Json } from './canonical.ts';
import { type LedgerLine, sealHash } from './seal.ts';

/** A ledger line as the file holds it; JSON as text. */
export interface StoredLine {
  readonly seq: number;
  readonly at: string;
  readonly who: string;
  readonly what: string;
  readonly entity: string | null;
  readonly entityId: string | null;
  readonly before: string | null;
  readonly after: string | null;
  readonly why: string | null;
  readonly rowsDigest: Uint8Array | null;
  readonly rowsLocator: Uint8Array | null;
  readonly previousHash: Uint8Array;
  readonly hash: Uint8Array;
}

/** JSON text as the line's hash covers it; undefined where the text is not in its one canonical form. */
function canonicalOf(text: string | null): { readonly json: Json } | undefined {
  if (text === null) return { json: null };
  try {
    const json = JSON.parse(text) as Json;
    return json !== null && canonicalJson(json) === text ? { json } : undefined;
  } catch {
    return undefined;
  }
}

/** The line in the form that its hash covers, or undefined where its before or after is not canonical JSON. */
export function unsealed(stored: StoredLine): LedgerLine | undefined {
  const before = canonicalOf(stored.before);
  const after = canonicalOf(stored.after);
  return before && after ? { ...stored, before: before.json, after: after.json } : undefined;
}

export type LineFault = 'gap' | 'hash' | 'previous' | 'text';

/**
 * What is wrong with a line that should be number `seq` and follow `previous`: a missing line before it ('gap'), text that is
 * not canonical, a hash that its content does not give, a previous hash that is not the line's before. Empty when all is well.
 */
export function lineFaults(stored: StoredLine, seq: number, previous: Uint8Array): LineFault[] {
  const faults: LineFault[] = [];
  if (stored.seq !== seq) faults.push('gap');
  const line = unsealed(stored);
  if (!line) faults.push('text');
  else if (!sealHash(line).equals(stored.hash)) faults.push('hash');
  if (stored.seq === seq && !Buffer.from(previous).equals(stored.previousHash)) faults.push('previous');
  return faults;
}

import { createPublicKey } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { refuse } from '../contract/problem.ts';
import type { Json } from '../evidence/canonical.ts';
import { canonicalJson } from '../evidence/canonical.ts';
import { signatureHolds } from '../evidence/signing.ts';
import { fleetName } from '../store/ledger.ts';
import { signatures, signingLines } from '../store/signatures.ts';
import type { Fleet } from '../store/sql.ts';
import type { SignatureTable } from '../store/tables.ts';
import type { Faults } from './evidence-faults.ts';

/** What the ledger line of a signature is called; the line holds the signature too, so that one taken out shows. */
export const signingWhat = 'sign ledger';

export interface CheckedSignature {
  readonly seq: number;
  readonly by: string;
  readonly at: string;
  readonly publicKey: string;
  readonly holds: boolean;
}

/** A signature as its ledger line holds it. */
export const signatureJson = (row: SignatureTable): { readonly [key: string]: Json } => ({
  line: row.seq,
  hash: Buffer.from(row.hash).toString('hex'),
  publicKey: row.public_key,
  signature: Buffer.from(row.signature).toString('hex'),
  signedAt: row.signed_at,
  signedBy: row.signed_by,
});

/** Each signature against the line it signs, its public key and the line that recorded it. */
export function checkSignatures(fleet: Fleet, faults: Faults, hashes: ReadonlyMap<number, Buffer>): CheckedSignature[] {
  const fleetId = fleetName(fleet)?.fleet_id ?? '';
  const recorded = new Map(signingLines(fleet, signingWhat).map((line) => [line.after ?? '', line.seq]));
  const checked = signatures(fleet).map((row) => {
    const hash = hashes.get(row.seq);
    const hex = Buffer.from(row.hash).toString('hex');
    const text = canonicalJson(signatureJson(row));
    const holds = signatureHolds({ fleetId, seq: row.seq, hash: hex }, row.public_key, row.signature);
    const about = { id: `${row.seq} ${row.public_key}`, seq: row.seq };
    if (!hash) faults.add('signature', 'signs a line that is no longer in the ledger: lines were removed', about);
    else if (hash.toString('hex') !== hex)
      faults.add(
        'signature',
        'signs another hash than the line has: the ledger was rewritten after it was signed',
        about,
      );
    else if (!holds) faults.add('signature', 'does not hold against its public key', about);
    else if (!recorded.has(text)) faults.add('signature', 'is not the one that the ledger recorded', about);
    recorded.delete(text);
    return {
      seq: row.seq,
      by: row.signed_by,
      at: row.signed_at,
      publicKey: row.public_key,
      holds: holds && hash?.toString('hex') === hex,
    };
  });
  for (const seq of recorded.values())
    faults.add('signature', `is no longer here, though ledger line ${seq} recorded it`);
  return checked;
}

export const publicKeyIn = (file: string | undefined) => (file === undefined ? undefined : readFileSync(file, 'utf8'));

const spki = (pem: string): string => {
  try {
    return createPublicKey(pem).export({ type: 'spki', format: 'pem' }) as string;
  } catch {
    throw refuse('bad-input', 'This is no public key in PEM.', { where: 'publicKey' });
  }
};

/** Where a key is given, it must have signed, and its signature hold. Gives the last line it signed, or null. */
export function checkSigner(
  { signatures: found, faults }: { readonly signatures: readonly CheckedSignature[]; readonly faults: Faults },
  pem: string | undefined,
): number | null {
  if (pem === undefined) return null;
  const wanted = spki(pem);
  const last = found.findLast((one) => one.holds && spki(one.publicKey) === wanted);
  if (!last) faults.add('signature', 'by the key given is not in this ledger, or does not hold');
  return last?.seq ?? null;
}

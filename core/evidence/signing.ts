import { createPrivateKey, createPublicKey, generateKeyPairSync, sign, verify } from 'node:crypto';
import { canonicalJson } from './canonical.ts';

/** What is signed: a ledger head of one fleet, in canonical JSON. */
export interface SignedHead {
  readonly fleetId: string;
  readonly seq: number;
  /** Hexadecimal. */
  readonly hash: string;
}

const message = (head: SignedHead): Buffer =>
  Buffer.from(canonicalJson({ fleet: head.fleetId, hash: head.hash, ledger: head.seq }), 'utf8');

/** A new Ed25519 key (RFC 8032) as PEM, PKCS #8; enciphered with AES-256 where a passphrase is given. */
export function newKey(passphrase: string | undefined): string {
  const { privateKey } = generateKeyPairSync('ed25519');
  return privateKey.export({
    type: 'pkcs8',
    format: 'pem',
    ...(passphrase ? { cipher: 'aes-256-cbc', passphrase } : {}),
  }) as string;
}

/** Throws where the PEM is no Ed25519 key or the passphrase does not open it. */
export function openKey(pem: string, passphrase: string | undefined) {
  const key = createPrivateKey({ key: pem, format: 'pem', ...(passphrase ? { passphrase } : {}) });
  if (key.asymmetricKeyType !== 'ed25519') throw new Error(`the key is ${key.asymmetricKeyType}, not Ed25519`);
  return {
    publicKey: createPublicKey(key).export({ type: 'spki', format: 'pem' }) as string,
    sign: (head: SignedHead): Buffer => sign(null, message(head), key),
  };
}

/** False too where the public key cannot be read. */
export function signatureHolds(head: SignedHead, publicKey: string, signature: Uint8Array): boolean {
  try {
    const key = createPublicKey({ key: publicKey, format: 'pem' });
    return key.asymmetricKeyType === 'ed25519' && verify(null, message(head), key, signature);
  } catch {
    return false;
  }
}

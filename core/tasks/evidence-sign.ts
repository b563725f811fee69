import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { refuse } from '../contract/problem.ts';
import { newKey, openKey } from '../evidence/signing.ts';
import { fleetName, ledgerHead } from '../store/ledger.ts';
import { addSignature } from '../store/signatures.ts';
import { changing } from './change.ts';
import { signatureJson, signingWhat } from './evidence-signatures.ts';
import { needRole } from './roles.ts';
import type { TasksOf } from './task.ts';

/** Bytes; OpenSSL reads no more than 1,024 of a PEM's passphrase. */
const longestPassphrase = 1000;

/** The first line of the file; a passphrase on the command line would stay in the shell's history. */
function passphraseIn(file: string | undefined): string | undefined {
  if (file === undefined) return undefined;
  const [passphrase = ''] = readFileSync(file, 'utf8').split(/\r?\n/);
  // Without this an empty file would give a key that is not enciphered at all.
  if (passphrase === '' || Buffer.byteLength(passphrase) > longestPassphrase)
    throw refuse('bad-input', `The first line of the file must be a passphrase of 1 to ${longestPassphrase} bytes.`, {
      where: file,
    });
  return passphrase;
}

/** A file that was not there before, whole or not at all. */
function writeNew(file: string, text: string, mode: number): void {
  try {
    writeFileSync(file, text, { mode, flag: 'wx' });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') rmSync(file, { force: true });
    throw error;
  }
}

export const signTasks: TasksOf<'evidence.sign' | 'evidence.makeKey'> = {
  'evidence.sign': (desk, { key: file, passphraseFile, reason }) => {
    needRole(desk, 'approver', "Signing the ledger's head");
    const fleet = fleetName(desk.fleet);
    if (!fleet) throw refuse('too-few', 'The fleet is empty; there is no ledger to sign.');
    let key: ReturnType<typeof openKey>;
    try {
      key = openKey(readFileSync(file, 'utf8'), passphraseIn(passphraseFile));
    } catch (error) {
      throw refuse(
        'bad-input',
        `The key cannot be opened: ${(error as Error).message}. It must be an Ed25519 private key in PEM, and its passphrase right.`,
        { where: file },
      );
    }
    return changing(desk, (change) => {
      const head = ledgerHead(desk.fleet);
      if (!head) throw refuse('too-few', 'The ledger is empty; there is nothing to sign.');
      const hash = Buffer.from(head.hash).toString('hex');
      const row = {
        seq: head.seq,
        hash: head.hash,
        public_key: key.publicKey,
        signature: key.sign({ fleetId: fleet.fleet_id, seq: head.seq, hash }),
        signed_at: desk.now(),
        signed_by: desk.who.toWellFormed(),
      };
      addSignature(desk.fleet, row);
      change.seal({ what: signingWhat, why: reason }, undefined, signatureJson(row));
      return { line: head.seq, hash, publicKey: key.publicKey, revision: change.seq };
    });
  },

  'evidence.makeKey': (_desk, { out, passphraseFile }) => {
    const publicKeyFile = `${out}.pub.pem`;
    for (const file of [out, publicKeyFile])
      if (existsSync(file))
        throw refuse('not-allowed', 'There is a file of that name already; a key is never written over.', {
          where: file,
        });
    const passphrase = passphraseIn(passphraseFile);
    const pem = newKey(passphrase);
    const { publicKey } = openKey(pem, passphrase);
    writeNew(out, pem, 0o600);
    try {
      writeNew(publicKeyFile, publicKey, 0o644);
    } catch (error) {
      // Half a pair helps nobody.
      rmSync(out, { force: true });
      throw error;
    }
    return { key: out, publicKeyFile, publicKey };
  },
};

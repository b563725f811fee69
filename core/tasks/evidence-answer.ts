import { existsSync, statSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import type { OutputOf } from '../contract/asks/index.ts';
import { refuse } from '../contract/problem.ts';
import type { Fleet } from '../store/sql.ts';
import { openToVerify, viewOf } from '../store/verify.ts';
import type { Desk } from './desk.ts';
import { verifyBag } from './evidence-bag-check.ts';
import { type FaultKind, Faults } from './evidence-faults.ts';
import { givenWords, sentenceOf, verifyLimit } from './evidence-sentences.ts';
import { checkSigner, publicKeyIn } from './evidence-signatures.ts';
import { type Verified, verifyFleet } from './evidence-verify.ts';
import { inWords } from './evidence-words.ts';
import type { Task } from './task.ts';

/** Wrong records shown one by one, and those for which what they said before is looked for. */
const shown = 50;
const searched = 3;
/** What a person wants to hear first: records, then the ledger about them, then the file around them. */
const order: readonly FaultKind[] = [
  'record',
  'reading',
  'earlier version',
  'stored file',
  'trace',
  'ledger line',
  'signature',
  'head',
  'kept answer',
  'bag',
  'schema',
  'database',
];

export const verifyAnswer: Task<'evidence.verify'> = async (desk, { path, head, publicKey }) => {
  const started = performance.now();
  const seconds = () => (performance.now() - started) / 1000;
  if (path !== undefined && !existsSync(path))
    throw refuse('not-found', `There is nothing at ${path}.`, { where: path });
  if (path !== undefined && statSync(path).isDirectory()) {
    if (!existsSync(join(path, 'bagit.txt')))
      throw refuse('foreign-file', 'This folder is not a bag: it has no bagit.txt.', { where: path });
    return {
      ...verifyBag(desk, path, { head, publicKey: publicKeyIn(publicKey) }),
      limit: verifyLimit,
      seconds: seconds(),
    };
  }
  const { view: fleet, close } = path === undefined ? viewOf(desk.fleet) : viewOfFile(path);
  try {
    const verified = await examined(desk, fleet, head);
    const signedLine = checkSigner(verified, publicKeyIn(publicKey));
    return { ...answerOf(fleet, verified, givenWords(head, signedLine)), limit: verifyLimit, seconds: seconds() };
  } finally {
    close();
  }
};

function viewOfFile(path: string): ReturnType<typeof viewOf> {
  const view = openToVerify(path);
  return { view, close: () => view.raw.close() };
}

/** A file so damaged that SQLite cannot read it is an answer too, not a failure. */
async function examined(desk: Desk, fleet: Fleet, head: string | undefined): Promise<Verified> {
  try {
    return await verifyFleet(desk, fleet, head);
  } catch (error) {
    if (!(error instanceof Database.SqliteError)) throw error;
    if (error.code === 'SQLITE_NOTADB')
      throw refuse('foreign-file', 'This is not a fleet file.', { where: fleet.file });
    const faults = new Faults();
    faults.add('database', `it cannot be read through: ${error.message}`);
    return { faults, head: null, signatures: [], checked: {} };
  }
}

function answerOf(
  fleet: Fleet,
  { faults, head, signatures, checked }: Verified,
  given: string,
): Omit<OutputOf<'evidence.verify'>, 'limit' | 'seconds'> {
  const inOrder = faults.list.toSorted((a, b) => order.indexOf(a.kind) - order.indexOf(b.kind));
  const wrong = inOrder.slice(0, shown).map((fault, i) => {
    const { line, ...words } = inWords(fleet, fault, i < searched);
    return { ...words, ledgerLine: line };
  });
  return {
    of: 'fleet',
    intact: faults.count === 0,
    sentence: sentenceOf(
      faults.count,
      wrong[0] && [wrong[0].says, wrong[0].before ?? ''].join(' ').trim(),
      head,
      given,
    ),
    wrongCount: faults.count,
    wrong,
    head: head ? { line: head.seq, hash: head.hash, at: head.at } : null,
    signatures: signatures.map(({ seq, ...rest }) => ({ line: seq, ...rest })),
    checked,
  };
}

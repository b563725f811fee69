import { existsSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import type { OutputOf } from '../contract/asks/index.ts';
import { oxum, readManifest } from '../evidence/bag.ts';
import { canonicalJson, type Json, sha256 } from '../evidence/canonical.ts';
import { firstPreviousHash } from '../evidence/seal.ts';
import { signatureHolds } from '../evidence/signing.ts';
import type { Desk } from './desk.ts';
import { filesUnder } from './evidence-bag.ts';
import { Faults } from './evidence-faults.ts';
import { givenWords, sentenceOf } from './evidence-sentences.ts';
import { type CheckedSignature, checkSigner } from './evidence-signatures.ts';
import { linesOfFile } from './long-files.ts';

type Answer = Omit<OutputOf<'evidence.verify'>, 'limit' | 'seconds'>;

/** Faults shown one by one. */
const shown = 50;

/** A bag against RFC 8493's rules, its manifests, and the ledger in it against its own chain and signatures. */
export function verifyBag(
  desk: Desk,
  bag: string,
  { head: headHash, publicKey }: { head: string | undefined; publicKey: string | undefined },
): Answer {
  const faults = new Faults();
  const wrong = (says: string) => faults.add('bag', says);
  checkBagit(bag, wrong);
  const payload = filesUnder(desk, bag, 'data');
  const files = checkManifest(bag, 'manifest-sha256.txt', payload, wrong);
  const tags = existsSync(join(bag, 'tagmanifest-sha256.txt')) ? checkTags(desk, bag, wrong) : 0;
  checkOxum(bag, oxum(payload), wrong);
  const chain = checkLedger(desk, bag, wrong);
  const tests = checkDigests(desk, bag, 'test-digests.jsonl', chain.hashes.size, wrong);
  const decisions = checkDigests(desk, bag, 'decisions.jsonl', chain.hashes.size, wrong);
  const signatures = checkSigned(desk, bag, chain.hashes, wrong);
  const signedLine = checkSigner({ signatures, faults }, publicKey);
  if (headHash !== undefined && ![...chain.hashes.values()].includes(headHash.toLowerCase()))
    faults.add('head', `no ledger line in the bag has the hash ${headHash.toLowerCase()}`);
  const says = faults.list.slice(0, shown).map((fault) => ({
    kind: fault.kind,
    name: fault.kind === 'bag' ? 'the bag' : `the ${fault.kind}`,
    id: null,
    ledgerLine: fault.seq,
    says: `${fault.kind === 'bag' ? 'The bag' : fault.kind === 'head' ? 'The head given' : 'A signature'}${fault.kind === 'signature' ? ' ' : ': '}${fault.says}.`,
    before: null,
  }));
  return {
    of: 'bag',
    intact: faults.count === 0,
    sentence:
      faults.count > 0
        ? sentenceOf(faults.count, says[0]?.says, null)
        : `Yes: the bag is as it was packed, ${payload.length} files, and its ledger is one unbroken chain up to line ${chain.hashes.size}.${givenWords(headHash, signedLine)}`,
    wrongCount: faults.count,
    wrong: says,
    head: chain.head,
    signatures: signatures.map(({ seq, ...rest }) => ({ line: seq, ...rest })),
    checked: { payloadFiles: files, tagFiles: tags, ledgerLines: chain.hashes.size, tests, decisions },
  };
}

type Wrong = (says: string) => void;

function checkBagit(bag: string, wrong: Wrong): void {
  const text = readFileSync(join(bag, 'bagit.txt'), 'utf8');
  if (!/^BagIt-Version: \d+\.\d+\r?\nTag-File-Character-Encoding: \S+\r?\n?$/.test(text))
    wrong('bagit.txt does not hold the two lines that RFC 8493 asks for');
  if (!existsSync(join(bag, 'data')) || !statSync(join(bag, 'data')).isDirectory()) wrong('there is no folder data');
}

/** Each file is listed, each listed file is there, and gives its SHA-256. Returns how many. */
function checkManifest(
  bag: string,
  name: string,
  files: readonly { path: string; sha256: string }[],
  wrong: Wrong,
): number {
  if (!existsSync(join(bag, name))) {
    wrong(`${name} is missing`);
    return 0;
  }
  const read = readManifest(readFileSync(join(bag, name), 'utf8'));
  if ('wrong' in read) {
    wrong(`in ${name}, ${read.wrong}`);
    return 0;
  }
  const listed = new Map(read.lines.map((line) => [line.path, line.sha256]));
  for (const { path, sha256: found } of files) {
    const expected = listed.get(path);
    if (expected === undefined) wrong(`${path} is not listed in ${name}: it was added`);
    else if (expected !== found) wrong(`${path} does not give its SHA-256: it was changed`);
    listed.delete(path);
  }
  for (const path of listed.keys()) wrong(`${path} is listed in ${name} and not there: it was removed`);
  return files.length;
}

function checkTags(desk: Desk, bag: string, wrong: Wrong): number {
  const name = 'tagmanifest-sha256.txt';
  const tags = filesUnder(desk, bag, '.').filter(
    (file) => !file.path.startsWith('data/') && !file.path.startsWith('tagmanifest-'),
  );
  return checkManifest(bag, name, tags, wrong);
}

function checkOxum(bag: string, found: string, wrong: Wrong): void {
  const info = existsSync(join(bag, 'bag-info.txt')) ? readFileSync(join(bag, 'bag-info.txt'), 'utf8') : '';
  const said = /^Payload-Oxum:\s*(\d+\.\d+)\s*$/im.exec(info)?.[1];
  if (said !== undefined && said !== found) wrong(`bag-info.txt says Payload-Oxum ${said}, the payload has ${found}`);
}

interface BagLine {
  readonly hash: string;
  readonly line: { readonly seq: number; readonly at: string; readonly previous: string };
}

function* linesOf(desk: Desk, bag: string, name: string): Generator<string> {
  const file = join(bag, 'data', name);
  if (existsSync(file)) yield* linesOfFile(file, desk.checkStop);
}

/** The one line of a short file; empty where it is missing. */
function firstLine(desk: Desk, bag: string, name: string): string {
  for (const line of linesOf(desk, bag, name)) return line;
  return '';
}

const parsed = <T>(text: string): T | undefined => {
  try {
    return JSON.parse(text) as T;
  } catch {
    return undefined;
  }
};

function checkLedger(desk: Desk, bag: string, wrong: Wrong): { hashes: Map<number, string>; head: Answer['head'] } {
  const hashes = new Map<number, string>();
  const fleet = parsed<{ fleet: string; utility: string; created: string }>(firstLine(desk, bag, 'fleet.json'));
  let previous = firstPreviousHash(
    fleet && { fleet_id: fleet.fleet, utility_name: fleet.utility, created_at: fleet.created },
  ).toString('hex');
  let head: Answer['head'] = null;
  let i = -1;
  for (const text of linesOf(desk, bag, 'ledger.jsonl')) {
    i++;
    const read = parsed<BagLine>(text);
    if (!read?.line) {
      wrong(`line ${i + 1} of ledger.jsonl is not JSON of a ledger line`);
      continue;
    }
    const { hash, line } = read;
    if (line.seq !== i + 1) wrong(`ledger line ${i + 1} is missing or out of order`);
    if (sha256(canonicalJson(line as unknown as Json)).toString('hex') !== hash)
      wrong(`ledger line ${line.seq} does not give its own hash: it was changed`);
    if (line.previous !== previous) wrong(`ledger line ${line.seq} does not follow the line before it`);
    hashes.set(line.seq, hash);
    head = { line: line.seq, hash, at: line.at };
    previous = hash;
  }
  const info = existsSync(join(bag, 'bag-info.txt')) ? readFileSync(join(bag, 'bag-info.txt'), 'utf8') : '';
  const said = /^Ledger-Head-SHA256:\s*([0-9a-f]{64})\s*$/m.exec(info)?.[1];
  if (said !== undefined && said !== head?.hash) wrong('the ledger does not end with the head that bag-info.txt names');
  return { hashes, head };
}

/** Each record of a file by its own digest; gives how many there are. */
function checkDigests(desk: Desk, bag: string, file: string, lines: number, wrong: Wrong): number {
  let records = 0;
  for (const text of linesOf(desk, bag, file)) {
    records++;
    const read = parsed<{ content: Json[]; digest: string; line: number }>(text);
    const name = `${String(read?.content?.[0] ?? 'the record').replaceAll('_', ' ')} ${String(read?.content?.[2] ?? `in line ${records}`)}`;
    if (!read || sha256(JSON.stringify(read.content)).toString('hex') !== read.digest)
      wrong(`${name} in ${file} does not give its digest: it was changed`);
    else if (read.line > lines) wrong(`${name} was written by line ${read.line}, which the ledger does not have`);
  }
  return records;
}

interface BagSignature {
  readonly line: number;
  readonly hash: string;
  readonly publicKey: string;
  readonly signature: string;
  readonly signedAt: string;
  readonly signedBy: string;
}

function checkSigned(desk: Desk, bag: string, hashes: ReadonlyMap<number, string>, wrong: Wrong): CheckedSignature[] {
  const fleetId = parsed<{ fleet: string }>(firstLine(desk, bag, 'fleet.json'))?.fleet ?? '';
  const signed = parsed<BagSignature[]>(firstLine(desk, bag, 'signatures.json') || '[]') ?? [];
  return signed.map(({ line, hash, publicKey, signature, signedAt, signedBy }) => {
    const holds =
      hashes.get(line) === hash &&
      signatureHolds({ fleetId, seq: line, hash }, publicKey, Buffer.from(signature, 'hex'));
    if (!holds) wrong(`the signature of ledger line ${line} by ${signedBy} does not hold`);
    return { seq: line, by: signedBy, at: signedAt, publicKey, holds };
  });
}

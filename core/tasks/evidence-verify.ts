import { setTimeout } from 'node:timers/promises';
import { brotliDecompressSync, inflateRawSync, inflateSync } from 'node:zlib';
import { refuse } from '../contract/problem.ts';
import { sha256 } from '../evidence/canonical.ts';
import { lineFaults } from '../evidence/chain.ts';
import { keptDigest } from '../evidence/kept-digest.ts';
import { compareLine, type Difference } from '../evidence/line-records.ts';
import { firstPreviousHash } from '../evidence/seal.ts';
import { fleetName } from '../store/ledger.ts';
import { entities } from '../store/record-columns.ts';
import type { Fleet } from '../store/sql.ts';
import type { Entity } from '../store/tables.ts';
import {
  beginSnapshot,
  countOf,
  isFleetFile,
  keptRows,
  ledgerLinesAfter,
  listPartsOf,
  migrationsOf,
  missingLines,
  schemaOf,
  schemaVersion,
  sourceFiles,
  startIntegrityCheck,
  storedTraces,
  supersessionMismatches,
} from '../store/verify.ts';
import { decodeTrace } from '../trace/codec.ts';
import type { Desk } from './desk.ts';
import { Faults } from './evidence-faults.ts';
import { checkRecords, type Found } from './evidence-records.ts';
import { type CheckedSignature, checkSignatures } from './evidence-signatures.ts';

export interface Verified {
  readonly faults: Faults;
  readonly head: { readonly seq: number; readonly hash: string; readonly at: string } | null;
  readonly signatures: CheckedSignature[];
  /** How many of each were examined. */
  readonly checked: { readonly [what: string]: number };
}

/**
 * Examines a whole fleet in one snapshot: SQLite's structure, the schema with its triggers, the ledger's chain, every
 * record against its digest and the line that wrote it, stored files, traces, signatures and kept answers.
 * `headHash` (hexadecimal) is a head kept elsewhere, on paper or signed: it must still be a line of the chain.
 */
export async function verifyFleet(desk: Desk, fleet: Fleet, headHash: string | undefined): Promise<Verified> {
  if (!isFleetFile(fleet)) throw refuse('foreign-file', 'This is not a fleet file.', { where: fleet.file });
  const blank = await desk.blankFleet();
  const endSnapshot = beginSnapshot(fleet);
  const integrity = startIntegrityCheck(fleet);
  const faults = new Faults();
  try {
    checkSchema(fleet, blank, faults);
    const total = entities.reduce((n, entity) => n + countOf(fleet, entity), countOf(fleet, 'ledger'));
    const { found, records, readings, versions } = checkRecords(desk, fleet, faults, total);
    const chain = checkLedger(desk, fleet, faults, found, { done: records, total });
    checkHead(faults, chain.hashes, headHash);
    desk.checkStop();
    for (const { id, says, proof } of supersessionMismatches(fleet))
      faults.add('record', supersession(says, proof), { entity: 'test_event', id });
    const storedFiles = checkFiles(desk, fleet, faults);
    const traces = checkTraces(desk, fleet, faults);
    desk.checkStop();
    const signatures = checkSignatures(fleet, faults, chain.hashes);
    const keptAnswers = checkKept(desk, fleet, faults, chain.head?.seq ?? 0);
    desk.progress(total, total, "waiting for SQLite's own check");
    for (const complaint of await waited(desk, integrity.complaints))
      faults.add('database', `SQLite says: ${complaint}`);
    return {
      faults,
      head: chain.head,
      signatures,
      checked: {
        ledgerLines: chain.lines,
        records,
        readings,
        earlierVersions: versions,
        storedFiles,
        traces,
        keptAnswers,
      },
    };
  } finally {
    integrity.stop();
    endSnapshot();
    blank.raw.close();
  }
}

/** How often a person who waits for another thread is asked whether they still do. */
const askEveryMs = 200;

async function waited<T>(desk: Desk, answer: Promise<T>): Promise<T> {
  const late = Symbol();
  for (;;) {
    const first = await Promise.race([answer, setTimeout(askEveryMs, late)]);
    if (first !== late) return first as T;
    desk.checkStop();
  }
}

function checkSchema(fleet: Fleet, blank: Fleet, faults: Faults): void {
  if (schemaVersion(fleet) !== schemaVersion(blank))
    throw refuse(
      schemaVersion(fleet) > schemaVersion(blank) ? 'newer-file' : 'read-only',
      `The file has schema ${schemaVersion(fleet)}, this Cable Yearbook examines ${schemaVersion(blank)}. Open it, or a copy of it, once for writing; or use a newer version.`,
      { where: fleet.file },
    );
  const is = new Map(schemaOf(fleet).map((row) => [`${row.kind} ${row.name}`, row.sql]));
  for (const { kind, name, sql } of schemaOf(blank)) {
    const found = is.get(`${kind} ${name}`);
    if (found === undefined) faults.add('schema', `the ${kind} ${name} is missing`);
    else if (found !== sql) faults.add('schema', `the ${kind} ${name} was changed`);
    is.delete(`${kind} ${name}`);
  }
  for (const name of is.keys()) faults.add('schema', `the ${name} was added`);
  if (faults.count === 0 && migrationsOf(fleet) !== migrationsOf(blank))
    faults.add('schema', 'the list of migrations the file has been through was changed');
}

const supersession = (says: string | null, proof: string | null): string =>
  proof === null
    ? 'is marked as superseded, and no test supersedes it: the mark was added'
    : says === null
      ? 'is superseded by a later test, and its mark of that was removed'
      : 'is marked as superseded by another test than the one that supersedes it';

function checkLedger(
  desk: Desk,
  fleet: Fleet,
  faults: Faults,
  found: Found,
  progress: { done: number; total: number },
) {
  const hashes = new Map<number, Buffer>();
  let previous: Uint8Array = firstPreviousHash(fleetName(fleet));
  let expected = 1;
  let head: Verified['head'] = null;
  let lines = 0;
  const differences: (Difference & { seq: number; records: number })[] = [];
  for (let after = Number.MIN_SAFE_INTEGER; ; ) {
    const rows = ledgerLinesAfter(fleet, after, 500);
    for (const line of rows) {
      for (; expected < line.seq && expected > 0; expected = line.seq)
        faults.add('ledger line', gapWords(expected, line.seq - 1), { seq: expected });
      const wrong = lineFaults(line, line.seq, previous);
      if (wrong.includes('text'))
        faults.add('ledger line', 'has a before or after that is not in its one form: it was changed', {
          seq: line.seq,
        });
      if (wrong.includes('hash'))
        faults.add('ledger line', 'does not give its own hash: it was changed', { seq: line.seq });
      if (wrong.includes('previous'))
        faults.add('ledger line', previousWords(line.seq, hashes.has(line.seq - 1)), { seq: line.seq });
      const {
        differences: own,
        inList,
        list,
      } = compareLine(
        { rowsDigest: line.rowsDigest, rowsLocator: line.rowsLocator, parts: listPartsOf(fleet, line.seq) },
        found.get(line.seq) ?? new Map(),
      );
      const records = [...(found.get(line.seq)?.values() ?? [])].reduce((n, list) => n + list.count, 0);
      for (const difference of own) differences.push({ ...difference, seq: line.seq, records });
      for (const { entity, id } of inList)
        faults.add('ledger line', `has a list of records that was changed where it names ${entity} ${id}`, {
          seq: line.seq,
        });
      if (!list && own.length === 0 && inList.length === 0)
        faults.add('ledger line', 'has a list of records whose parts were changed', { seq: line.seq });
      hashes.set(line.seq, line.hash);
      head = { seq: line.seq, hash: line.hash.toString('hex'), at: line.at };
      found.delete(line.seq);
      previous = line.hash;
      expected = line.seq + 1;
      lines++;
    }
    desk.progress(progress.done + lines, progress.total, 'checking the ledger');
    desk.checkStop();
    if (rows.length < 500) break;
    after = rows.at(-1)!.seq;
  }
  for (const [seq, lists] of found)
    for (const [entity, list] of lists)
      faults.add(
        'ledger line',
        `is not in the ledger, and ${list.count} ${entity} records say it wrote them: the ledger was cut or they were added`,
        { seq },
      );
  for (const seq of missingLines(fleet))
    faults.add('ledger line', 'is not in the ledger, and what belongs to it is still here', { seq });
  nameDifferences(faults, differences);
  return { hashes, head, lines };
}

const gapWords = (from: number, to: number) =>
  from === to ? 'is missing: it was removed' : `and those up to ${to} are missing: they were removed`;

const previousWords = (seq: number, known: boolean) =>
  seq === 1
    ? "does not follow the fleet's own row: the name, key or date of the fleet was changed"
    : known
      ? `holds another hash for line ${seq - 1} than that line has: line ${seq - 1} was rewritten, or this one was`
      : 'follows a line that is missing';

/** Puts the differences of all lines together, so that a record moved from one line to another is told once. */
function nameDifferences(
  faults: Faults,
  differences: readonly (Difference & { seq: number; records: number })[],
): void {
  const added = new Map(
    differences.filter((d) => d.how === 'added' && d.id).map((d) => [`${d.entity} ${d.id}`, d.seq]),
  );
  for (const { how, entity, id, seq, records, sealedStart, sealedWeight } of differences) {
    const sealed = { start: sealedStart ?? undefined, weight: sealedWeight ?? undefined };
    const about = { entity: entity as Entity, id, seq, sealed };
    const movedTo = added.get(`${entity} ${id}`);
    if (id === '')
      faults.add(
        'ledger line',
        how === 'removed'
          ? 'wrote one record more than there is: a record was removed together with its entry in the list'
          : `wrote ${records} records, and one or more of them were changed together with their digests and the line's list`,
        { seq },
      );
    else if (how === 'removed' && movedTo !== undefined)
      faults.add('record', `was written by line ${seq} and now says line ${movedTo}`, about);
    else if (how === 'removed')
      faults.add('record', `as line ${seq} wrote it is no longer here: it was removed`, about);
    else if (how === 'added')
      faults.add('record', `says that line ${seq} wrote it, and line ${seq} did not: it was added`, about);
    else faults.add('record', `is not what line ${seq} wrote: it was changed together with its digest`, about);
  }
}

function checkHead(faults: Faults, hashes: ReadonlyMap<number, Buffer>, headHash: string | undefined): void {
  if (headHash === undefined) return;
  const wanted = headHash.toLowerCase();
  for (const hash of hashes.values()) if (hash.toString('hex') === wanted) return;
  faults.add(
    'head',
    `no ledger line has the hash ${wanted}: lines were removed after it was taken, or the ledger was rewritten`,
  );
}

/** A stored file as it was received. */
export function unpacked(compression: string, bytes: Uint8Array): Buffer {
  if (compression === 'none') return Buffer.from(bytes);
  if (compression === 'brotli') return brotliDecompressSync(bytes);
  // Both wrappings of deflate: zlib's begins with 0x78.
  return bytes[0] === 0x78 ? inflateSync(bytes) : inflateRawSync(bytes);
}

function checkFiles(desk: Desk, fleet: Fleet, faults: Faults): number {
  let files = 0;
  for (const { id, sha256: expected, byteCount, compression, bytes } of sourceFiles(fleet)) {
    const about = { entity: 'source_file' as const, id };
    try {
      const plain = unpacked(compression, bytes);
      if (plain.length !== byteCount)
        faults.add('stored file', `holds ${plain.length} bytes where ${byteCount} were received`, about);
      else if (!sha256(plain).equals(expected))
        faults.add('stored file', 'does not give the SHA-256 it was received with', about);
    } catch {
      faults.add('stored file', 'can no longer be unpacked', about);
    }
    files++;
    desk.checkStop();
  }
  return files;
}

function checkTraces(desk: Desk, fleet: Fleet, faults: Faults): number {
  let traces = 0;
  for (const { id, sampleCount, samples } of storedTraces(fleet)) {
    const about = { entity: 'trace' as const, id };
    try {
      const held = decodeTrace(samples).timeS.length;
      if (held !== sampleCount) faults.add('trace', `holds ${held} samples where ${sampleCount} were taken in`, about);
    } catch {
      faults.add('trace', 'can no longer be read', about);
    }
    traces++;
    desk.checkStop();
  }
  return traces;
}

function checkKept(desk: Desk, fleet: Fleet, faults: Faults, head: number): number {
  let kept = 0;
  for (const row of keptRows(fleet)) {
    desk.checkStop();
    const about = { id: `${row.name} ${row.asked}` };
    if (!keptDigest(row).equals(row.digest))
      faults.add(
        'kept answer',
        'does not give its digest: it is computed from the records and is none itself; make it again',
        about,
      );
    else if (row.revision > head)
      faults.add(
        'kept answer',
        `was made for ledger line ${row.revision}, and the ledger ends at ${head}: lines were removed`,
        about,
      );
    kept++;
  }
  return kept;
}

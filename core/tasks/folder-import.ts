import { basename } from 'node:path';
import type { z } from 'zod';
import type { fleetAsks } from '../contract/asks/fleet.ts';
import type { ParsedInputOf } from '../contract/asks/index.ts';
import { refuse } from '../contract/problem.ts';
import { newSha256 } from '../evidence/canonical.ts';
import { type DataPackage, readDataPackage } from '../intake/data-package.ts';
import type { SortedPaths } from '../intake/sort-paths.ts';
import { nameFleet, referLater, utilityNameOf } from '../store/import.ts';
import { revisionOf } from '../store/ledger.ts';
import { type Change, changing } from './change.ts';
import { type Desk, today } from './desk.ts';
import { FolderDesk } from './folder-desk.ts';
import { FileReader } from './folder-file.ts';
import { type FileTally, Scattered } from './folder-one-file.ts';
import { readTables, type TakenTesters, takeTesters } from './folder-others.ts';
import { RefusedRows, refusedWords } from './folder-refused.ts';
import { idMaker } from './new-ids.ts';
import { type GivenRecords, givenRecords } from './records-files.ts';
import type { OwnerFile } from './records-owner-files.ts';
import { type StudiedFile, studyFiles } from './records-study.ts';

type Input = ParsedInputOf<'fleet.import'>;
type Output = z.output<(typeof fleetAsks)['fleet.import']['output']>;

/** What an import came to before it is put into words. */
interface Outcome {
  readonly tallies: FileTally[];
  readonly changes: number;
  readonly preview: string;
  /** Testers' files kept aside, with the reason. */
  readonly aside: TakenTesters['aside'];
}

/** Everything that was pointed at, looked at. */
interface Looked {
  readonly sorted: SortedPaths;
  readonly tables: readonly OwnerFile[];
  readonly testers: readonly StudiedFile[];
}

/** Takes fleet folders and their files into the fleet: all of it with one ledger line, or nothing. */
export async function importFolder(desk: Desk, input: Input): Promise<Output> {
  const started = performance.now();
  const given = await givenRecords(desk.fleet, { paths: input.paths, aside: [] });
  const testers = input.testers === 'leave' ? [] : await studyFiles(desk, given.testers);
  const { sorted } = given;
  refuseStrangers(given, testers);
  const scattered = new Set<string>();
  for (;;) {
    const refused = new RefusedRows(refusedPath(desk, input));
    try {
      const packages = sorted.dataPackages.map((path) => readDataPackage(path));
      const outcome = attempt(desk, input, { ...given, testers }, packages, scattered, refused);
      const written = refused.close();
      if (refused.count > 0 && !input.dryRun) throw refusal(refused, outcome, written);
      return output(desk, input, sorted, outcome, refused, written, (performance.now() - started) / 1000);
    } catch (error) {
      refused.close();
      if (!(error instanceof Scattered)) throw error;
      scattered.add(error.path);
    }
  }
}

/** What is neither table nor tester's file is refused; beside files that are, it is kept aside with them. */
function refuseStrangers(given: GivenRecords, testers: readonly StudiedFile[]): void {
  const missing = testers.filter((file) => 'because' in file.given);
  const any =
    given.sorted.subjectFiles.length + given.sorted.dataPackages.length + given.tables.length > 0 ||
    testers.some((file) => file.refused === null);
  const strange = any ? missing : testers;
  if (strange.length === 0) return;
  const words = strange.map(({ given: { path }, refused }) => {
    const sorted = given.sorted.others.find((other) => other.path === path);
    return `${path}: ${refused}.${sorted ? ` ${sorted.because}` : ''}`;
  });
  throw refuse('bad-input', `${words[0]} Nothing was changed.`, { where: strange[0]!.given.path, details: words });
}

function refusedPath(desk: Desk, input: Input): string | null {
  if (input.refused) return input.refused;
  const { file } = desk.fleet;
  return file === ':memory:' ? null : `${file.replace(/\.fleet$/, '')}.refused.csv`;
}

/** Thrown to undo a change that turned out to be none, or one with refused rows. */
class NothingToKeep extends Error {
  readonly outcome: Outcome;
  constructor(outcome: Outcome) {
    super('nothing to keep');
    this.outcome = outcome;
  }
}

function attempt(
  desk: Desk,
  input: Input,
  looked: Looked,
  packages: readonly DataPackage[],
  scattered: ReadonlySet<string>,
  refused: RefusedRows,
): Outcome {
  const read = (change: Change | null) => readAll(desk, looked, packages, scattered, refused, change);
  if (input.dryRun) return read(null);
  try {
    return changing(desk, (change) => {
      referLater(desk.fleet);
      const outcome = read(change);
      if (input.preview !== undefined && input.preview !== outcome.preview)
        throw refuse(
          'moved-on',
          'The files or the fleet changed since the preview. Look at a new preview, then import.',
        );
      if (refused.count > 0 || outcome.changes === 0) throw new NothingToKeep(outcome);
      nameNew(desk, input, packages);
      change.seal({ what: 'import' }, undefined, {
        files: outcome.tallies.map(({ file, rows, added, changed, sha256 }) => ({
          file,
          rows,
          added,
          changed,
          sha256,
        })),
        ...(outcome.aside.length > 0 ? { aside: outcome.aside.map((one) => ({ ...one })) } : {}),
      });
      return outcome;
    });
  } catch (error) {
    if (error instanceof NothingToKeep) return error.outcome;
    throw error;
  }
}

function readAll(
  desk: Desk,
  { sorted, tables, testers }: Looked,
  packages: readonly DataPackage[],
  scattered: ReadonlySet<string>,
  refused: RefusedRows,
  change: Change | null,
): Outcome {
  const hash = newSha256().update(String(revisionOf(desk.fleet)));
  const folder = new FolderDesk(desk.fleet, change, idMaker(desk.now()), today(desk));
  for (const { file, faults } of packages)
    for (const fault of faults) refused.add({ file, line: 1, column: fault.field, value: '', message: fault.message });
  folder.writing &&= refused.count === 0;
  const promised = new Map(packages.flatMap((one) => [...one.columnsOf]));
  const reader = new FileReader(desk, folder, refused, totalBytes(sorted), promised);
  const rows = sorted.subjectFiles.map((file) => reader.read(file, scattered.has(file.path)));
  rows.push(...readTables(desk, tables, reader, refused));
  reader.end();
  folder.flush();
  const taken = takeTesters(desk, testers, folder.writing ? change : null);
  const tallies = [...rows, ...taken.tallies];
  for (const tally of tallies) hash.update(`${tally.file}\0${tally.sha256}\0`);
  return {
    tallies,
    changes: rows.reduce((sum, tally) => sum + tally.added + tally.changed, 0) + taken.changes,
    preview: hash.digest('hex'),
    aside: taken.aside,
  };
}

const totalBytes = (sorted: SortedPaths) => sorted.subjectFiles.reduce((sum, file) => sum + file.bytes, 0);

function nameNew(desk: Desk, input: Input, packages: readonly DataPackage[]): void {
  if (utilityNameOf(desk.fleet) !== null) return;
  const titled = packages.find((one) => one.title !== null)?.title;
  nameFleet(desk.fleet, {
    fleet_id: idMaker(desk.now())(),
    utility_name: input.utilityName ?? titled ?? 'Unnamed utility',
    created_at: desk.now(),
  });
}

const plural = (count: number, word: string) => `${count} ${word}${count === 1 ? '' : 's'}`;

function refusal(refused: RefusedRows, outcome: Outcome, written: string | null) {
  const rows = outcome.tallies.reduce((sum, tally) => sum + tally.rows, 0);
  const more = written ? ` All of them are in ${basename(written)}, beside the fleet.` : '';
  return refuse('bad-input', `${refused.count} of ${plural(rows, 'row')} refused; nothing was changed.${more}`, {
    where: written ?? refused.first[0]!.file,
    details: refused.first.map(refusedWords),
  });
}

function output(
  desk: Desk,
  input: Input,
  sorted: SortedPaths,
  outcome: Outcome,
  refused: RefusedRows,
  written: string | null,
  seconds: number,
): Output {
  const words = sorted.left.map(({ path, because }) => `${basename(path)} is left alone: ${because}.`);
  for (const { file, unknown } of outcome.tallies)
    if (unknown.length > 0) words.push(`${file}: left alone the columns ${unknown.join(', ')}.`);
  for (const { file, reason } of outcome.aside) words.push(`${file} needs a person and is kept aside: ${reason}.`);
  if (written) words.push(`All refused rows are in ${written}.`);
  if (outcome.changes === 0 && refused.count === 0) words.push('The fleet holds all of it already; 0 changes.');
  return {
    files: outcome.tallies.map(({ file, rows, added, changed, same, refused }) => ({
      file,
      rows,
      added,
      changed,
      same,
      refused,
    })),
    changes: outcome.changes,
    committed: !input.dryRun && outcome.changes > 0,
    refusedRows: refused.first,
    refusedCount: refused.count,
    words,
    seconds,
    preview: outcome.preview,
    revision: revisionOf(desk.fleet),
  };
}

import { readdirSync, readFileSync, statSync } from 'node:fs';
import { basename, join } from 'node:path';
import { newSha256 } from '../evidence/canonical.ts';
import { unpackZip, zipKind } from '../intake/samples/archives.ts';
import { isZip } from '../intake/samples/bytes.ts';
import { sortPaths } from '../intake/sort-paths.ts';
import { fileBytes } from '../store/records-files.ts';
import type { Fleet } from '../store/sql.ts';
import { unpacked } from './evidence-verify.ts';

/** A file as it came: on disk by itself, or inside a ZIP. */
export interface GivenFile {
  /** Where it lies: its path; for a file in a ZIP the ZIP's path, a slash and its name inside. */
  readonly path: string;
  /** Its name without the folder. */
  readonly name: string;
  readonly bytes: Uint8Array;
}

export interface UngivenFile {
  readonly path: string;
  readonly name: string;
  readonly because: string;
}

/** Larger than any tester writes; such a file is refused before it is read into memory. */
const largestBytes = 256 << 20;
/** Levels of folders that are looked into. */
const deepest = 8;

/** The files at the paths, one after another, in the order given: folders by name, ZIPs by their own order. */
export function* givenFiles(paths: readonly string[]): Generator<GivenFile | UngivenFile> {
  for (const path of paths) yield* filesAt(path, 0);
}

function* filesAt(path: string, depth: number): Generator<GivenFile | UngivenFile> {
  const name = basename(path);
  const no = (because: string): UngivenFile => ({ path, name, because });
  let bytes: Uint8Array;
  try {
    const stats = statSync(path, { throwIfNoEntry: false });
    if (!stats) return yield no('there is no such file or folder');
    if (stats.isDirectory()) {
      if (depth >= deepest) return yield no('folders lie in folders too deep');
      const inside = readdirSync(path).filter((each) => !each.startsWith('.'));
      if (inside.length === 0) yield no('the folder is empty');
      for (const each of inside.sort()) yield* filesAt(join(path, each), depth + 1);
      return;
    }
    if (!stats.isFile()) return yield no('it is neither a file nor a folder');
    if (stats.size > largestBytes) return yield no('the file is larger than 256 MB');
    bytes = readFileSync(path);
  } catch (error) {
    return yield no(`it cannot be read: ${(error as NodeJS.ErrnoException).code ?? (error as Error).message}`);
  }
  if (!isZip(bytes) || zipKind(bytes) !== 'files') return yield { path, name, bytes };
  const zip = unpackZip(bytes);
  if ('because' in zip) return yield no(zip.because);
  for (const file of zip.files) {
    const inner = { path: `${path}/${file.name}`, name: `${name}/${file.name}` };
    yield zipKind(file.bytes) === 'files'
      ? { ...inner, because: 'a ZIP inside a ZIP' }
      : { ...inner, bytes: file.bytes };
  }
}

/** What was pointed at, of which only testers' files are meant: those set aside, and on disk those of no fleet folder. */
export function givenRecords(
  fleet: Fleet,
  { paths, aside }: { readonly paths: readonly string[]; readonly aside: readonly string[] },
): { readonly files: (GivenFile | UngivenFile)[]; readonly tables: boolean } {
  const sorted = sortPaths(paths);
  const others = sorted.others.map(({ path }) => path);
  return {
    files: [...keptFiles(fleet, aside), ...givenFiles(others)],
    tables: sorted.subjectFiles.length > 0 || sorted.dataPackages.length > 0,
  };
}

/** Files that the fleet keeps, by their ids. */
function* keptFiles(fleet: Fleet, ids: readonly string[]): Generator<GivenFile | UngivenFile> {
  for (const id of ids) {
    const kept = fileBytes(fleet, id);
    if (!kept) yield { path: id, name: id, because: 'the fleet keeps no such file' };
    else yield { path: kept.name, name: kept.name, bytes: unpacked(kept.compression, kept.bytes) };
  }
}

/** SHA-256 in hexadecimal: what a file is known by. */
export const keyOf = (bytes: Uint8Array): string => newSha256().update(bytes).digest('hex');

import { readdirSync, readFileSync, statSync } from 'node:fs';
import { basename, join } from 'node:path';
import { unpackZip, zipKind } from '../intake/samples/archives.ts';
import { isZip } from '../intake/samples/bytes.ts';
import { type SortedPaths, sortPaths } from '../intake/sort-paths.ts';
import { fileBytes } from '../store/records-files.ts';
import type { Fleet } from '../store/sql.ts';
import { unpacked } from './evidence-verify.ts';
import type { GivenFile, UngivenFile } from './records-given.ts';
import { type OwnerFile, ownerTables } from './records-owner-files.ts';

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

/** What was pointed at: files of a fleet folder, tables of the owner's, and the rest, which are testers' files or none. */
export interface GivenRecords {
  readonly sorted: SortedPaths;
  readonly tables: readonly OwnerFile[];
  readonly testers: readonly (GivenFile | UngivenFile)[];
}

export async function givenRecords(
  fleet: Fleet,
  { paths, aside }: { readonly paths: readonly string[]; readonly aside: readonly string[] },
): Promise<GivenRecords> {
  const sorted = sortPaths(paths);
  const tables: OwnerFile[] = [];
  const testers: (GivenFile | UngivenFile)[] = [];
  const others = givenFiles(sorted.others.map(({ path }) => path));
  for (const given of [...keptFiles(fleet, aside), ...others]) {
    const found = 'because' in given ? [] : await ownerTables(fleet, given);
    if (found.length > 0) tables.push(...found);
    else testers.push(given);
  }
  return { sorted, tables, testers };
}

/** Files that the fleet keeps, by their ids. */
function* keptFiles(fleet: Fleet, ids: readonly string[]): Generator<GivenFile | UngivenFile> {
  for (const id of ids) {
    const kept = fileBytes(fleet, id);
    if (!kept) yield { path: id, name: id, because: 'the fleet keeps no such file' };
    else yield { path: kept.name, name: kept.name, bytes: unpacked(kept.compression, kept.bytes) };
  }
}

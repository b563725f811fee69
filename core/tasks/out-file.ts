import {
  closeSync,
  existsSync,
  mkdirSync,
  openSync,
  realpathSync,
  renameSync,
  rmSync,
  type Stats,
  statSync,
  writeFileSync,
} from 'node:fs';
import { dirname } from 'node:path';
import { refuse } from '../contract/problem.ts';
import { csvText } from '../report/csv.ts';
import { diskRefusal } from '../store/disk.ts';

/** The open fleet by its file, which nothing may be written over; null where none is open. */
interface OpenFile {
  readonly file: string | null;
}

/** Writes a file that a person asked for: whole, or not at all and with the reason in words. */
export const writeOut = (open: OpenFile, path: string, content: string | Uint8Array): void =>
  writeWhole(open, path, (part) => writeFileSync(part, content));

/** The same for what is written by parts: `write` gets the name to write under meanwhile. */
export function writeWhole(open: OpenFile, path: string, write: (part: string) => void): void {
  const { target, part } = placeFor(open, path);
  // A device or a pipe takes what is written; it cannot be replaced.
  if (part === null) {
    guarded(path, () => write(target));
    return;
  }
  try {
    guarded(path, () => {
      write(part);
      renameSync(part, target);
    });
  } finally {
    rmSync(part, { force: true });
  }
}

/** The same for a table of any length, of which no more than a part is held at a time; `pause` is called between the parts. */
export function writeRows(open: OpenFile, path: string, rows: Iterable<readonly string[]>, pause: () => void): void {
  writeWhole(open, path, (part) => {
    const fd = openSync(part, 'w');
    try {
      let waiting: (readonly string[])[] = [];
      const write = () => {
        writeFileSync(fd, csvText(waiting));
        waiting = [];
      };
      for (const row of rows) {
        waiting.push(row);
        if (waiting.length < rowsAtOnce) continue;
        write();
        pause();
      }
      write();
    } finally {
      closeSync(fd);
    }
  });
}

const rowsAtOnce = 10_000;

/** Makes a folder and those above it. Node's own way to do that never ends where the system refuses one for good. */
export function makeFolder(path: string): void {
  guarded(path, () => {
    if (statSync(path, { throwIfNoEntry: false })?.isDirectory()) return;
    if (dirname(path) !== path && !existsSync(dirname(path))) makeFolder(dirname(path));
    mkdirSync(path);
  });
}

/** Where a file goes and under which name it is written meanwhile; `part` is null for a device. Refuses the fleet's own files. */
export function placeFor(open: OpenFile, path: string): { target: string; part: string | null } {
  return guarded(path, () => {
    const stats = statSync(path, { throwIfNoEntry: false });
    if (stats?.isDirectory()) throw refuse('not-allowed', `${path} is a folder; name a file.`, { where: path });
    if (!stats) {
      if (!existsSync(dirname(path)))
        throw refuse('not-found', `There is no folder ${dirname(path)} to write into.`, { where: path });
      return { target: path, part: `${path}.part` };
    }
    refuseOwn(open, path, stats);
    // Behind a link the file is replaced, not the link.
    const target = realpathSync(path);
    return { target, part: stats.isFile() ? `${target}.part` : null };
  });
}

function refuseOwn(open: OpenFile, path: string, stats: Stats): void {
  if (open.file === null) return;
  for (const ending of ['', '-wal', '-shm', '.lock']) {
    const own = statSync(open.file + ending, { throwIfNoEntry: false });
    if (own && own.dev === stats.dev && own.ino === stats.ino)
      throw refuse('not-allowed', `${path} is the open fleet itself. Choose another name.`, { where: path });
  }
}

/** What the system says of this path, in words. */
export function guarded<T>(path: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw diskRefusal(error, path) ?? error;
  }
}

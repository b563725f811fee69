import { closeSync, openSync, readdirSync, readSync, type Stats, statSync } from 'node:fs';
import { basename, join } from 'node:path';
import type { Subject } from './column.ts';
import { subjects } from './subjects.ts';

export interface SubjectFile {
  readonly subject: Subject;
  readonly path: string;
  readonly bytes: number;
}

/** What the given paths hold, sorted into kinds. */
export interface SortedPaths {
  /** Files of fleet folders, in the order of the subjects. */
  readonly subjectFiles: readonly SubjectFile[];
  readonly dataPackages: readonly string[];
  /** Files in a folder that are none of ours: left alone, with a word each. */
  readonly left: readonly { readonly path: string; readonly because: string }[];
  /** Paths named by the person that no fleet folder or CSV of one explains: other readers may know them. */
  readonly others: readonly { readonly path: string; readonly because: string }[];
}

/**
 * Sorts paths: a folder is taken for a fleet folder; a single CSV for the subject of its name, or else the subject
 * whose columns its header has.
 */
export function sortPaths(paths: readonly string[]): SortedPaths {
  const found: SubjectFile[] = [];
  const dataPackages: string[] = [];
  const left: { path: string; because: string }[] = [];
  const others: { path: string; because: string }[] = [];
  for (const path of paths) {
    const stats = statOf(path);
    if (!stats) others.push({ path, because: 'There is no such file or folder.' });
    else if (stats.isDirectory()) takeFolder(path);
    else takeFile(path, stats);
  }
  const subjectFiles = subjects.flatMap((subject) => found.filter((file) => file.subject === subject));
  return { subjectFiles, dataPackages, left, others };

  function takeFolder(folder: string): void {
    const before = found.length;
    for (const name of readdirSync(folder).sort()) {
      const path = join(folder, name);
      const stats = statOf(path);
      const subject = subjects.find((one) => one.file === name);
      if (!stats?.isFile()) left.push({ path, because: 'not a file of a fleet folder' });
      else if (subject) found.push({ subject, path, bytes: stats.size });
      else if (name === 'datapackage.json') dataPackages.push(path);
      else left.push({ path, because: 'not a file of a fleet folder' });
    }
    if (found.length === before)
      others.push({ path: folder, because: `The folder holds none of ${subjects.map((one) => one.file).join(', ')}.` });
  }

  function takeFile(path: string, stats: Stats): void {
    const name = basename(path).toLowerCase();
    if (name === 'datapackage.json') return void dataPackages.push(path);
    if (!name.endsWith('.csv')) return void others.push({ path, because: 'It is no CSV file of a fleet folder.' });
    const header = firstLine(path);
    const named = subjects.find((one) => one.file === name);
    // The name alone is no proof: owners call their own tables so too.
    const subject = named && sharesHeader(named, header) ? named : subjectOfHeader(header);
    if (subject) found.push({ subject, path, bytes: stats.size });
    else others.push({ path, because: 'Neither its name nor its header is that of a file of a fleet folder.' });
  }
}

/** True where half of the columns the subject needs stand in the header: what then lacks is a slip to be told of. */
function sharesHeader(subject: Subject, header: string): boolean {
  const names = headerNames(header);
  const needed = subject.columns.filter((column) => column.needed);
  return 2 * needed.filter((column) => names.has(column.name)).length >= needed.length;
}

const headerNames = (header: string): ReadonlySet<string> =>
  new Set(
    header
      .replace(/^\uFEFF/, '')
      .split(',')
      .map((name) => name.trim().replaceAll('"', '').toLowerCase()),
  );

/** The subject that has every needed column in the header, the one with most columns there; null if none. */
export function subjectOfHeader(header: string): Subject | null {
  const names = headerNames(header);
  let best: Subject | null = null;
  let bestCount = 0;
  for (const subject of subjects) {
    if (!subject.columns.every((column) => !column.needed || names.has(column.name))) continue;
    const count = subject.columns.filter((column) => names.has(column.name)).length;
    if (count > bestCount) [best, bestCount] = [subject, count];
  }
  return best;
}

function statOf(path: string): Stats | null {
  return statSync(path, { throwIfNoEntry: false }) ?? null;
}

function firstLine(path: string): string {
  const fd = openSync(path, 'r');
  try {
    const start = Buffer.alloc(8192);
    const text = start.toString('utf8', 0, readSync(fd, start, 0, start.length, 0));
    return text.split(/\r?\n/, 1)[0]!;
  } finally {
    closeSync(fd);
  }
}

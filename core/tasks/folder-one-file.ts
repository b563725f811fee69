import type { Complain } from '../intake/cell.ts';
import { type RowReader, rowReader } from '../intake/row-reader.ts';
import type { SubjectFile } from '../intake/sort-paths.ts';
import type { FolderDesk } from './folder-desk.ts';
import type { RefusedRows } from './folder-refused.ts';
import type { Verdict } from './folder-writer.ts';

/** What one file came to. For tests.csv rows are readings, and so are the counts. */
export interface FileTally {
  readonly file: string;
  rows: number;
  added: number;
  changed: number;
  same: number;
  refused: number;
  unknown: readonly string[];
  sha256: string;
}

/** Readings of one test stand apart in the file: it must be read in another order. */
export class Scattered extends Error {
  readonly path: string;
  constructor(path: string) {
    super('readings of one test stand apart');
    this.path = path;
  }
}

/** One file being read: its header's reader, its tally, and how it complains. */
export class OneFile {
  readonly file: SubjectFile;
  readonly tally: FileTally;
  /** Rows of one key are handed over together, wherever they stand in the file. */
  readonly gathered: boolean;
  reader: RowReader | null = null;
  absent: readonly boolean[] | null = null;
  readonly #refused: RefusedRows;
  readonly #folder: FolderDesk;
  #keyPlace = -1;

  /** What the owner calls the columns, where the file has names of its own. */
  readonly #ownNames: ReadonlyMap<string, string>;

  constructor(
    file: SubjectFile,
    tally: FileTally,
    gathered: boolean,
    refused: RefusedRows,
    folder: FolderDesk,
    ownNames: ReadonlyMap<string, string> = new Map(),
  ) {
    this.#ownNames = ownNames;
    this.gathered = gathered;
    this.file = file;
    this.tally = tally;
    this.#refused = refused;
    this.#folder = folder;
  }

  begin(header: readonly string[], line: number, promised: readonly string[]): void {
    const { subject } = this.file;
    const names = new Set(header.map((name) => name.trim().toLowerCase()));
    for (const name of promised)
      if (!names.has(name.toLowerCase()))
        this.complain(
          line,
          name,
          '',
          'The data package names this column, the header does not. Add it, or mend datapackage.json.',
        );
    this.reader = rowReader(subject, header, this.complainOn(line));
    if (!this.reader) return;
    this.tally.unknown = this.reader.unknown;
    this.absent = this.reader.someAbsent ? this.reader.absent : null;
    this.#keyPlace = this.reader.placeOf(subject.keyAt);
  }

  keyOf(cells: readonly string[]): string {
    return cells[this.#keyPlace]?.trim() ?? '';
  }

  readonly complain = (line: number, column: string, value: string, message: string): void => {
    this.#folder.writing = false;
    const own = this.#ownNames.get(column);
    this.#refused.add({ file: this.tally.file, line, column: own ?? column, value, message });
  };

  complainOn(line: number): Complain {
    return (column, value, message) => this.complain(line, column, value, message);
  }

  count(verdict: Verdict, rows: number): void {
    this.tally[verdict] += rows;
  }
}

import { basename } from 'node:path';
import { newSha256 } from '../evidence/canonical.ts';
import type { Subject } from '../intake/column.ts';
import { readCsv, UnreadableCsv } from '../intake/csv-reader.ts';
import { readGathered } from '../intake/scattered-reader.ts';
import type { SubjectFile } from '../intake/sort-paths.ts';
import type { SubjectRows } from '../intake/tables/shapes.ts';
import { counted } from '../report/counted.ts';
import type { Desk } from './desk.ts';
import type { FolderDesk } from './folder-desk.ts';
import { type FileTally, OneFile, Scattered } from './folder-one-file.ts';
import type { RefusedRows } from './folder-refused.ts';
import { type TestRow, TestWriter } from './folder-tests.ts';
import { SubjectWriter } from './folder-writer.ts';

/** A place in several files in one number: more lines than a file has. */
const lineSpan = 2 ** 32;

/** Reads the files of an import one after another into the fleet. */
export class FileReader {
  readonly #desk: Desk;
  readonly #folder: FolderDesk;
  readonly #refused: RefusedRows;
  readonly #totalBytes: number;
  readonly #started = performance.now();
  #doneBytes = 0;
  #doneRows = 0;
  readonly #promisedColumns: ReadonlyMap<string, readonly string[]>;
  /** The subject being read: its writer and where each key stood (file and line), for all files of that subject. */
  #subject: Subject | null = null;
  #writer: SubjectWriter | null = null;
  #tests: TestWriter | null = null;
  #seen = new Map<string, number>();
  #files: string[] = [];
  #closedTests = new Set<string>();

  /** `promisedColumns`: what data packages say each file has. */
  constructor(
    desk: Desk,
    folder: FolderDesk,
    refused: RefusedRows,
    totalBytes: number,
    promisedColumns: ReadonlyMap<string, readonly string[]>,
  ) {
    this.#promisedColumns = promisedColumns;
    this.#desk = desk;
    this.#folder = folder;
    this.#refused = refused;
    this.#totalBytes = totalBytes;
  }

  read(file: SubjectFile, gather: boolean): FileTally {
    const tally = this.#tally(file.subject, basename(file.path));
    const reading = new OneFile(file, tally, gather, this.#refused, this.#folder);
    const hash = newSha256();
    const chunk = (bytes: Buffer) => {
      hash.update(bytes);
      this.#tick(tally, bytes.length);
    };
    const take = this.#tests ? this.#takeTests(reading) : this.#takeRows(reading);
    try {
      const header = { line: 0 };
      const row = (cells: string[], line: number) => {
        if (reading.reader) take.row(cells, line);
        else if (header.line === 0) {
          header.line = line;
          reading.begin(cells, line, this.#promisedColumns.get(tally.file) ?? []);
        }
      };
      const bad = (line: number, value: string, message: string) => reading.complain(line, '', value, message);
      if (gather) readGathered(file.path, file.subject.columns[file.subject.keyAt]!.name, { row, bad, chunk });
      else readCsv(file.path, { row, bad, chunk });
      if (header.line === 0) reading.complain(1, '', '', 'The file is empty. It needs a header at least.');
    } catch (error) {
      if (!(error instanceof UnreadableCsv)) throw error;
      reading.complain(error.line, '', '', error.message);
    }
    take.end();
    tally.sha256 = hash.digest('hex');
    this.#doneRows += tally.rows;
    return tally;
  }

  /** Rows that are in memory already: those of an owner's own table. */
  readRows(part: SubjectRows, name: string, headerLine: number, sha256: string): FileTally {
    const tally = this.#tally(part.subject, name);
    tally.sha256 = sha256;
    const file = { subject: part.subject, path: name, bytes: 0 };
    const reading = new OneFile(file, tally, true, this.#refused, this.#folder, part.ownNames);
    const take = this.#tests ? this.#takeTests(reading) : this.#takeRows(reading);
    reading.begin(part.header, headerLine, []);
    if (reading.reader) for (const { line, cells } of part.rows) take.row([...cells], line);
    take.end();
    this.#doneRows += tally.rows;
    this.#tick(tally, 0);
    return tally;
  }

  #tally(subject: Subject, file: string): FileTally {
    if (subject !== this.#subject) this.#begin(subject);
    this.#files.push(file);
    return { file, rows: 0, added: 0, changed: 0, same: 0, refused: 0, unknown: [], sha256: '' };
  }

  /** After the last file. */
  end(): void {
    this.#writer?.end();
  }

  #begin(subject: Subject): void {
    this.end();
    this.#subject = subject;
    this.#seen = new Map();
    this.#files = [];
    this.#closedTests = new Set();
    this.#tests = subject.entity === 'test_event' ? new TestWriter(this.#folder) : null;
    this.#writer = this.#tests ? null : new SubjectWriter(this.#folder, subject);
  }

  #tick(tally: FileTally, bytes: number): void {
    this.#desk.checkStop();
    this.#doneBytes += bytes;
    const seconds = (performance.now() - this.#started) / 1000;
    const rows = this.#doneRows + tally.rows;
    const rate = rows > 0 ? `, ${counted(rows / Math.max(seconds, 0.001))} rows a second` : '';
    this.#desk.progress(this.#doneBytes, this.#totalBytes, `reading ${tally.file}: ${counted(rows)} rows${rate}`);
  }

  #takeRows(reading: OneFile) {
    const writer = this.#writer!;
    const { subject } = writer;
    return {
      row: (cells: string[], line: number): void => {
        reading.tally.rows++;
        const complain = reading.complainOn(line);
        const values = reading.reader!.read(cells, complain);
        if (values === null) {
          writer.refused(reading.keyOf(cells));
          reading.count('refused', 1);
          return;
        }
        const key = values[subject.keyAt] as string;
        const earlier = this.#seen.get(key);
        if (earlier !== undefined) {
          complain(
            subject.columns[subject.keyAt]!.name,
            key,
            `${this.#placeWords(earlier)} has it already. Each stands once.`,
          );
          reading.count('refused', 1);
          return;
        }
        this.#seen.set(key, (this.#files.length - 1) * lineSpan + line);
        reading.count(writer.take(values, reading.absent, complain), 1);
      },
      end: () => {},
    };
  }

  #placeWords(place: number): string {
    const file = Math.floor(place / lineSpan);
    const line = `Line ${place % lineSpan}`;
    return file === this.#files.length - 1 ? line : `${line} of another ${this.#files[file]}`;
  }

  /** A file already read in another order has the rest of the test elsewhere: in another file of the same import. */
  #standsApart(reading: OneFile, key: string, line: number): void {
    if (!reading.gathered) throw new Scattered(reading.file.path);
    const words = 'Another file of this import has readings of this test already. Put all of them into one file.';
    reading.complain(line, this.#subject!.columns[this.#subject!.keyAt]!.name, key, words);
  }

  #takeTests(reading: OneFile) {
    const writer = this.#tests!;
    const keyAt = this.#subject!.keyAt;
    let rows: TestRow[] = [];
    let key = '';
    let spoiled = false;
    const finish = (): void => {
      if (rows.length === 0 && !spoiled) return;
      this.#closedTests.add(key);
      const verdict = spoiled ? 'refused' : writer.take(rows, reading.absent, reading.complain);
      reading.count(verdict, rows.length);
      rows = [];
      spoiled = false;
    };
    return {
      row: (cells: string[], line: number): void => {
        reading.tally.rows++;
        const values = reading.reader!.read(cells, reading.complainOn(line));
        const rowKey = values === null ? reading.keyOf(cells) : (values[keyAt] as string);
        if (rowKey !== key) {
          finish();
          if (this.#closedTests.has(rowKey)) this.#standsApart(reading, rowKey, line);
          key = rowKey;
        }
        if (values === null) {
          spoiled = true;
          reading.count('refused', 1);
        } else rows.push({ values, line });
      },
      end: finish,
    };
  }
}

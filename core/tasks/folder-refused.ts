import { closeSync, openSync, writeFileSync } from 'node:fs';
import type { z } from 'zod';
import type { RefusedRow } from '../contract/asks/fleet.ts';
import { csvText } from '../report/csv.ts';

export type Refused = z.infer<typeof RefusedRow>;

/** Refused rows named in full in a reply; all are counted, and all stand in the CSV. */
const namedInFull = 200;

/** Collects what was refused: the first in full, all of them into a CSV file where a path is given. */
export class RefusedRows {
  readonly first: Refused[] = [];
  readonly path: string | null;
  #values = 0;
  #rows = 0;
  #lastRow = '';
  #fd: number | null = null;
  #waiting: string[][] = [];

  constructor(path: string | null) {
    this.path = path;
  }

  /** How many rows were refused; a row with two wrong values counts once. */
  get count(): number {
    return this.#rows;
  }

  add(refused: Refused): void {
    this.#values++;
    const row = `${refused.line}\0${refused.file}`;
    if (row !== this.#lastRow) this.#rows++;
    this.#lastRow = row;
    if (this.first.length < namedInFull) this.first.push(refused);
    if (this.path === null) return;
    this.#waiting.push([refused.file, String(refused.line), refused.column, refused.value, refused.message]);
    if (this.#waiting.length >= 1000) this.#write();
  }

  /** Where all of them were written, or null where none were. */
  close(): string | null {
    if (this.#values === 0 || this.path === null) return null;
    if (this.#waiting.length > 0) this.#write();
    if (this.#fd !== null) closeSync(this.#fd);
    this.#fd = null;
    return this.path;
  }

  #write(): void {
    const text = csvText(this.#waiting);
    this.#waiting = [];
    if (this.#fd === null) {
      this.#fd = openSync(this.path!, 'w');
      writeFileSync(this.#fd, csvText([['file', 'line', 'column', 'value', 'what_would_be_right']]));
    }
    writeFileSync(this.#fd, text);
  }
}

/** One refused value in a line of words. */
export function refusedWords({ file, line, column, value, message }: Refused): string {
  const where = `${file} line ${line}${column ? `, column ${column}` : ''}`;
  return value === '' ? `${where}: ${message}` : `${where}: '${value}': ${message}`;
}

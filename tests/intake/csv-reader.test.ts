import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readCsv } from '../../core/intake/csv-reader.ts';
import { csvCell, inertText, plainText } from '../../core/intake/csv-record.ts';
import { readGathered } from '../../core/intake/scattered-reader.ts';

const file = join(mkdtempSync(join(tmpdir(), 'csv-')), 'a.csv');

function read(content: string | Uint8Array) {
  writeFileSync(file, content);
  const rows: string[][] = [];
  const lines: number[] = [];
  const bad: { line: number; message: string }[] = [];
  let bytes = 0;
  readCsv(file, {
    row: (cells, line) => {
      rows.push(cells);
      lines.push(line);
    },
    bad: (line, _, message) => bad.push({ line, message }),
    chunk: (chunk) => {
      bytes += chunk.length;
    },
  });
  return { rows, lines, bad, bytes };
}

describe('a CSV file', () => {
  test('is read as RFC 4180, section 2, has it: quotes, doubled quotes, line ends and commas inside them', () => {
    const { rows, lines } = read('a,b\r\n"one, two","line 1\r\nline 2"\r\n"say ""hello""",\r\nlast,row');
    expect(rows).toEqual([
      ['a', 'b'],
      ['one, two', 'line 1\r\nline 2'],
      ['say "hello"', ''],
      ['last', 'row'],
    ]);
    expect(lines).toEqual([1, 2, 4, 5]);
  });

  test('may begin with a byte order mark, which is no part of the first name', () => {
    expect(read('\uFEFFa,b\n1,µ\n').rows).toEqual([
      ['a', 'b'],
      ['1', 'µ'],
    ]);
  });

  test('is read as the library csv-parse reads it, whatever text the cells hold', () => {
    const cell = fc.string({
      unit: fc.constantFrom('a', '1', ',', '"', '\n', '\r\n', ' ', 'µ', '𝄞', ';'),
      maxLength: 8,
    });
    // A record of one empty cell is an empty line, which both pass over: keep at least two columns.
    const table = fc
      .integer({ min: 2, max: 5 })
      .chain((width) =>
        fc.array(fc.array(cell, { minLength: width, maxLength: width }), { minLength: 1, maxLength: 12 }),
      );
    fc.assert(
      fc.property(table, fc.constantFrom('\n', '\r\n'), (rows, end) => {
        const text = rows.map((row) => row.map(csvCell).join(',') + end).join('');
        const mine = read(text);
        expect(mine.rows).toEqual(rows);
        expect(mine.rows).toEqual(parse(text, { relax_column_count: true, record_delimiter: end }));
        expect(mine.bytes).toBe(Buffer.byteLength(text));
      }),
      { seed: 4180, numRuns: 200 },
    );
  });

  test('larger than the reader’s chunk gives every row once, with its line', () => {
    const rows = Array.from({ length: 60_000 }, (_, i) => [
      `T${i}`,
      i % 1000 === 7 ? 'über, "quoted"\nnext' : 'plain',
      'x'.repeat(40),
    ]);
    const { rows: got, lines } = read(rows.map((row) => `${row.map(csvCell).join(',')}\n`).join(''));
    expect(got.length).toBe(rows.length);
    expect(got).toEqual(rows);
    expect(lines.at(-1)).toBe(60_000 + rows.filter((row) => row[1] !== 'plain').length);
  });

  test('with a quotation mark that never closes is refused at the line where it opens', () => {
    expect(read('a,b\n1,2\n"3,4\n5,6\n').bad).toEqual([{ line: 3, message: expect.stringContaining('never closed') }]);
  });

  test('with a quotation mark inside an unquoted value is refused there, and reading goes on', () => {
    const { rows, bad } = read('a,b\n5" cable,1\nok,"2" x\nfine,3\n');
    expect(bad.map((one) => one.line)).toEqual([2, 3]);
    expect(rows.at(-1)).toEqual(['fine', '3']);
  });

  test.each([
    ['UTF-16', Buffer.from('\uFEFFa,b\n1,2\n', 'utf16le'), 1, 'CSV UTF-8'],
    ['Windows-1252', Buffer.from('a,b\n1,2\nM\xfchle,3\n', 'latin1'), 3, 'Windows-1252'],
    ['bare carriage returns', Buffer.from('a,b\r1,2\r'), 1, 'line ends'],
  ])('in %s is refused with what to do', (_, bytes, line, words) => {
    expect(() => read(bytes)).toThrow(expect.objectContaining({ line, message: expect.stringContaining(words) }));
  });

  test('whose rows of one key stand apart can be read together, first key first', () => {
    writeFileSync(file, 'id,x\na,1\nb,"2,2"\na,3\nc,µ\nb,5\n');
    const got: string[] = [];
    readGathered(file, 'id', {
      row: (cells, line) => got.push(`${line}:${cells.join('|')}`),
      bad: () => {},
      chunk: () => {},
    });
    expect(got).toEqual(['1:id|x', '2:a|1', '4:a|3', '3:b|2,2', '6:b|5', '5:c|µ']);
  });
});

test('text that a spreadsheet would run is inert when written and comes back to the letter', () => {
  fc.assert(
    fc.property(fc.string({ unit: fc.constantFrom("'", '=', '+', '-', '@', '\t', 'a', '1'), maxLength: 6 }), (text) => {
      expect(plainText(inertText(text))).toBe(text);
      expect(inertText(text)).not.toMatch(/^[=+\-@\t\r]/);
    }),
    { seed: 1, numRuns: 500 },
  );
});

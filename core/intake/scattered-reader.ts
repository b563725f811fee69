import { closeSync, openSync, readSync } from 'node:fs';
import { type CsvTaker, readCsv } from './csv-reader.ts';
import { splitRecord } from './csv-record.ts';

/**
 * Reads a CSV file in which rows of one key stand apart, and hands them over together: keys in the order in which they
 * first appear, the rows of each in the order of the file. Keeps a place for each row, not the row.
 */
export function readGathered(path: string, keyColumn: string, taker: CsvTaker): void {
  const ordinals = new Map<string, number>();
  const places: { key: number[]; line: number[]; offset: number[]; bytes: number[] } = {
    key: [],
    line: [],
    offset: [],
    bytes: [],
  };
  let keyPlace = -1;
  readCsv(path, {
    row: (cells, line, offset, bytes) => {
      if (keyPlace < 0) {
        keyPlace = cells.findIndex((name) => name.trim().toLowerCase() === keyColumn);
        taker.row(cells, line, offset, bytes);
        return;
      }
      const key = cells[keyPlace] ?? '';
      let ordinal = ordinals.get(key);
      if (ordinal === undefined) {
        ordinal = ordinals.size;
        ordinals.set(key, ordinal);
      }
      places.key.push(ordinal);
      places.line.push(line);
      places.offset.push(offset);
      places.bytes.push(bytes);
    },
    bad: taker.bad,
    chunk: taker.chunk,
  });
  const order = Uint32Array.from(places.key, (_, i) => i).sort((a, b) => places.key[a]! - places.key[b]! || a - b);
  const fd = openSync(path, 'r');
  try {
    let buffer = Buffer.alloc(4096);
    for (const i of order) {
      const bytes = places.bytes[i]!;
      if (bytes > buffer.length) buffer = Buffer.alloc(bytes * 2);
      readSync(fd, buffer, 0, bytes, places.offset[i]!);
      const text = buffer.toString('utf8', 0, bytes).replace(/\r$/, '');
      const cells = text.includes('"') ? splitRecord(text) : text.split(',');
      if (typeof cells !== 'string') taker.row(cells, places.line[i]!, places.offset[i]!, bytes);
    }
  } finally {
    closeSync(fd);
  }
}

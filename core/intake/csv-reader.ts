import { isAscii, isUtf8 } from 'node:buffer';
import { closeSync, openSync, readSync } from 'node:fs';
import { splitRecord } from './csv-record.ts';

/** What a reader of a CSV file is told, in order. Lines count from 1. */
export interface CsvTaker {
  /** The cells of a record; `offset` and `bytes` say where it stands in the file. */
  readonly row: (cells: string[], line: number, offset: number, bytes: number) => void;
  /** A record that is not RFC 4180. */
  readonly bad: (line: number, value: string, message: string) => void;
  /** After each chunk, with its bytes. */
  readonly chunk: (bytes: Buffer) => void;
}

/** The file as a whole cannot be read as CSV in UTF-8; `line` is the first that shows it. */
export class UnreadableCsv extends Error {
  readonly line: number;
  constructor(line: number, message: string) {
    super(message);
    this.line = line;
  }
}

const chunkBytes = 1 << 18;
/** A record longer than this is a quotation mark that never closes. */
const longestRecord = 1 << 22;
const newline = 10;
const quote = 34;
const comma = 44;

/**
 * Reads a CSV file (RFC 4180; line ends LF or CRLF; UTF-8 with or without a byte order mark) record by record in
 * bounded memory. Empty lines are passed over. Throws UnreadableCsv for another encoding.
 */
export function readCsv(path: string, taker: CsvTaker): void {
  const fd = openSync(path, 'r');
  try {
    let buffer = Buffer.allocUnsafe(chunkBytes * 2);
    let held = 0;
    let offset = 0;
    let line = 1;
    for (;;) {
      if (held + chunkBytes > buffer.length) {
        if (held > longestRecord)
          throw new UnreadableCsv(
            line,
            'A quotation mark opened on this line is never closed. Close it, or double it.',
          );
        buffer = Buffer.concat([buffer.subarray(0, held)], buffer.length * 2);
      }
      const got = readSync(fd, buffer, held, chunkBytes, null);
      if (got > 0) taker.chunk(buffer.subarray(held, held + got));
      const last = got === 0;
      const region = buffer.subarray(0, held + got);
      if (offset === 0 && held === 0) refuseForeign(region);
      const taken = takeRegion(region, last, offset, line, taker);
      held = region.length - taken.bytes;
      buffer.copyWithin(0, taken.bytes, region.length);
      offset += taken.bytes;
      line = taken.line;
      if (last) return;
    }
  } finally {
    closeSync(fd);
  }
}

function refuseForeign(start: Buffer): void {
  const utf16 = (start[0] === 0xff && start[1] === 0xfe) || (start[0] === 0xfe && start[1] === 0xff);
  if (utf16 || start.subarray(0, 4096).includes(0))
    throw new UnreadableCsv(1, 'The file is in UTF-16. Save it again as "CSV UTF-8".');
  const header = start.subarray(0, Math.min(start.length, 65536));
  if (!header.includes(newline) && header.includes(13))
    throw new UnreadableCsv(1, 'Lines end with a bare carriage return. Save the file again with ordinary line ends.');
}

/** Takes all whole records of a region; what is left waits for more bytes. */
function takeRegion(region: Buffer, last: boolean, offset: number, firstLine: number, taker: CsvTaker) {
  const end = last ? region.length : region.lastIndexOf(newline) + 1;
  const whole = region.subarray(0, end);
  const encoding = isAscii(whole) ? 'latin1' : 'utf8';
  if (encoding === 'utf8' && !isUtf8(whole)) throw wrongEncoding(whole, firstLine);
  let line = firstLine;
  let at = offset === 0 && region[0] === 0xef && region[1] === 0xbb && region[2] === 0xbf ? 3 : 0;
  let nextQuote = whole.indexOf(quote, at);
  while (at < end) {
    let stop = whole.indexOf(newline, at);
    if (stop < 0) stop = end;
    let lines = 1;
    const quoted = nextQuote >= 0 && nextQuote < stop;
    if (quoted) {
      const close = closeOf(whole, at, nextQuote, end);
      if (close < 0 && !last) break;
      if (close < 0) {
        taker.bad(line, '', 'A quotation mark opened on this line is never closed. Close it, or double it.');
        return { bytes: region.length, line };
      }
      for (let n = whole.indexOf(newline, at); n >= 0 && n < close; n = whole.indexOf(newline, n + 1)) lines++;
      stop = close;
      nextQuote = whole.indexOf(quote, stop);
    }
    const textEnd = stop > at && whole[stop - 1] === 13 ? stop - 1 : stop;
    if (textEnd > at) takeRecord(whole.toString(encoding, at, textEnd), quoted, line, offset + at, stop - at, taker);
    line += lines;
    at = stop + 1;
  }
  return { bytes: Math.min(at, region.length), line };
}

function takeRecord(text: string, quoted: boolean, line: number, offset: number, bytes: number, taker: CsvTaker): void {
  const cells = quoted ? splitRecord(text) : text.split(',');
  if (typeof cells === 'string') taker.bad(line, text.slice(0, 80), cells);
  else taker.row(cells, line, offset, bytes);
}

/**
 * Where the record that has a quotation mark at `firstQuote` ends: the first line end outside quotes; −1 if none.
 * A mark opens quotes only at the beginning of a cell; elsewhere it is a fault of that record alone.
 */
function closeOf(bytes: Buffer, at: number, firstQuote: number, end: number): number {
  let quoteAt = firstQuote;
  let from = at;
  for (;;) {
    const stop = bytes.indexOf(newline, from);
    if (quoteAt < 0 || (stop >= 0 && stop < quoteAt)) return stop < 0 ? end : stop;
    from = quoteAt + 1;
    if (quoteAt === at || bytes[quoteAt - 1] === comma) {
      const close = closingQuote(bytes, from);
      if (close < 0) return -1;
      from = close + 1;
    }
    quoteAt = bytes.indexOf(quote, from);
  }
}

/** The mark that ends a quoted cell, passing over doubled ones; −1 if none. */
function closingQuote(bytes: Buffer, from: number): number {
  let close = bytes.indexOf(quote, from);
  while (close >= 0 && bytes[close + 1] === quote) close = bytes.indexOf(quote, close + 2);
  return close;
}

function wrongEncoding(bytes: Buffer, firstLine: number): UnreadableCsv {
  let line = firstLine;
  for (let at = 0; at < bytes.length; line++) {
    const stop = bytes.indexOf(newline, at);
    const next = stop < 0 ? bytes.length : stop + 1;
    if (!isUtf8(bytes.subarray(at, next))) break;
    at = next;
  }
  return new UnreadableCsv(line, 'The file is not UTF-8 (most likely Windows-1252). Save it again as "CSV UTF-8".');
}

import type { RecordValue } from './canonical.ts';

/** A place in a record's content where a value stands: its column, and the values seen in that column elsewhere. */
export interface Place {
  readonly column: string;
  /** Index into the content; for a reading or plan item first the list, then its row and column. */
  readonly path: readonly number[];
  readonly seen: readonly RecordValue[];
  /** Another place that holds the same quantity in another unit, to be changed by the same factor. */
  readonly twin?: readonly number[];
}

export interface Recalled {
  readonly column: string;
  readonly path: readonly number[];
  readonly was: RecordValue;
  readonly is: RecordValue;
}

/** Characters of a content that cost no more than the try itself: a kept plan has a hundred times as many. */
const freeText = 4000;

/**
 * What a record said before one of its values was changed, found by trying values until the sealed digest comes out: a
 * digest of 64 bits or more leaves no room for a second answer. `matches` is given the whole content as JSON without its
 * outer brackets. Gives undefined where `tries` are spent or more than one value was changed.
 */
export function recall(
  content: readonly RecordValue[],
  places: readonly Place[],
  matches: (text: string) => boolean,
  tries: number,
): Recalled | undefined {
  let left = tries;
  for (const candidates of [nearby, wide])
    for (const place of places) {
      const is = valueAt(content, place.path);
      if (Array.isArray(is)) continue;
      const [head, tail] = around(content, place.path);
      const price = 1 + (head.length + tail.length) / freeText;
      for (const was of candidates(is, place)) {
        if (was === is) continue;
        left -= price + (typeof was === 'string' ? was.length / freeText : 0);
        if (left < 0) return undefined;
        if (matches(head + JSON.stringify(was) + tail)) return { column: place.column, path: place.path, was, is };
        if (
          place.twin &&
          typeof was === 'number' &&
          typeof is === 'number' &&
          twinMatches(content, place, was / is, matches)
        )
          return { column: place.column, path: place.path, was, is };
      }
    }
  return undefined;
}

/** The value changed together with its twin: the twin is tried at the same factor, rounded as people write. */
function twinMatches(
  content: readonly RecordValue[],
  place: Place,
  factor: number,
  matches: (text: string) => boolean,
) {
  const twin = valueAt(content, place.twin!);
  if (typeof twin !== 'number') return false;
  const changed = withValue(content, place.path, (valueAt(content, place.path) as number) * factor);
  for (const value of [twin * factor, Number((twin * factor).toPrecision(15)), Number((twin * factor).toPrecision(6))])
    if (matches(JSON.stringify(withValue(changed, place.twin!, value)).slice(1, -1))) return true;
  return false;
}

export function valueAt(content: readonly RecordValue[], path: readonly number[]): RecordValue {
  let value: RecordValue = content;
  for (const i of path) value = (value as readonly RecordValue[])[i] ?? null;
  return value;
}

function withValue(content: readonly RecordValue[], path: readonly number[], value: RecordValue): RecordValue[] {
  const [first, ...rest] = path;
  return content.map((old, i) =>
    i !== first ? old : rest.length === 0 ? value : withValue(old as readonly RecordValue[], rest, value),
  );
}

/** The JSON before and after a value, without the outer brackets. */
function around(content: readonly RecordValue[], path: readonly number[]): [string, string] {
  const mark = '\u0000here\u0000';
  const [head, tail] = JSON.stringify(withValue(content, path, mark))
    .slice(1, -1)
    .split(JSON.stringify(mark));
  return [head ?? '', tail ?? ''];
}

/** Few and likely: unknown, values seen elsewhere, one digit or character off, one byte of the number's eight off. */
function* nearby(is: RecordValue, { seen }: Place): Generator<RecordValue> {
  yield null;
  yield* seen;
  if (typeof is === 'number') {
    for (let k = -9; k <= 9; k++) yield Number((is * 10 ** k).toPrecision(15));
    yield -is;
    for (const text of oneOff(String(is), '0123456789.')) {
      const value = Number(text);
      if (text.trim() !== '' && Number.isFinite(value)) yield value;
    }
    yield* bytesOff(is);
  } else if (typeof is === 'string') {
    if (is.length <= 60) yield* oneOff(is, printable);
    else for (let i = 0; i < is.length; i++) for (let bit = 1; bit < 128; bit *= 2) yield flip(is, i, bit);
  }
}

/** Many: days of a century, and round numbers as people write them. */
function* wide(is: RecordValue, { column }: Place): Generator<RecordValue> {
  if (column.endsWith('_on') || column === 'until') {
    for (let day = Date.UTC(1940, 0, 1); day < Date.UTC(2060, 0, 1); day += 86_400_000)
      yield new Date(day).toISOString().slice(0, 10);
  } else if (typeof is === 'number' || is === null) {
    for (let i = 0; i <= 20_000; i++) yield i;
    for (let i = -1000; i <= 10_000; i++) yield i / 10;
    for (let i = 0; i <= 20_000; i++) yield i / 100;
    for (let decade = -6; decade <= 6; decade++) for (let i = 100; i < 1000; i++) yield Number(`${i}e${decade - 2}`);
    for (let decade = -3; decade <= 3; decade++) for (let i = 1000; i < 10_000; i++) yield Number(`${i}e${decade - 3}`);
  }
}

const printable = Array.from({ length: 95 }, (_, i) => String.fromCharCode(32 + i)).join('');

function* oneOff(text: string, alphabet: string): Generator<string> {
  for (let i = 0; i <= text.length; i++) {
    if (i < text.length) yield text.slice(0, i) + text.slice(i + 1);
    for (const letter of alphabet) {
      if (i < text.length) yield text.slice(0, i) + letter + text.slice(i + 1);
      yield text.slice(0, i) + letter + text.slice(i);
    }
  }
}

const flip = (text: string, i: number, bit: number) =>
  text.slice(0, i) + String.fromCharCode(text.charCodeAt(i) ^ bit) + text.slice(i + 1);

function* bytesOff(is: number): Generator<number> {
  const view = new DataView(new ArrayBuffer(8));
  for (let byte = 0; byte < 8; byte++)
    for (let mask = 1; mask < 256; mask++) {
      view.setFloat64(0, is);
      view.setUint8(byte, view.getUint8(byte) ^ mask);
      const value = view.getFloat64(0);
      if (Number.isFinite(value)) yield value;
    }
}

import { brotliCompressSync, brotliDecompressSync, constants } from 'node:zlib';

/**
 * Traces at rest: each column as whole numbers of its own last decimal, then differences, then bytes in planes
 * (all low bytes, all next bytes, …), then Brotli.
 * Lossless but for the sign of a zero: what cannot be written as a decimal of at most nine places is kept as it is.
 */
export interface StoredColumns {
  readonly timeS: Float64Array;
  readonly voltageKv: Float64Array;
  readonly currentUa: Float64Array;
  readonly resistanceMohm?: Float64Array | null;
}

const magic = 0xc7;
const version = 1;
const mostDecimals = 9;
/** How a column was turned into bytes. */
const asIs = 0;
const differences = 1;
const secondDifferences = 2;
const overRatio = 3;

/** Bytes of a trace. NaN cells are kept. Columns must be of one length. */
export const encodeTrace = (columns: StoredColumns): Uint8Array => {
  const list = [columns.timeS, columns.voltageKv, columns.currentUa];
  if (columns.resistanceMohm) list.push(columns.resistanceMohm);
  const count = columns.timeS.length;
  if (list.some((column) => column.length !== count)) throw new RangeError('columns of a trace differ in length');
  const bytes: number[] = [magic, version, list.length];
  writeCount(bytes, count);
  const parts: Uint8Array[] = [];
  list.forEach((column, at) => {
    const predicted = at === 3 ? ratioOf(columns.voltageKv, columns.currentUa) : null;
    parts.push(encodeColumn(column, predicted));
  });
  for (const part of parts) writeCount(bytes, part.length);
  const body = concatenated([Uint8Array.from(bytes), ...parts]);
  return new Uint8Array(
    brotliCompressSync(body, {
      params: { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_SIZE_HINT]: body.length },
    }),
  );
};

/** The columns that `encodeTrace` was given. Throws RangeError on bytes that are no trace of this version. */
export const decodeTrace = (stored: Uint8Array): StoredColumns => {
  const body = new Uint8Array(brotliDecompressSync(stored, { maxOutputLength: 64 << 20 }));
  if (body[0] !== magic || body[1] !== version) throw new RangeError('not a stored trace of this version');
  const reader = { at: 3 };
  const width = body[2]!;
  const count = readCount(body, reader);
  const lengths = Array.from({ length: width }, () => readCount(body, reader));
  const list: Float64Array[] = [];
  for (const length of lengths) {
    const part = body.subarray(reader.at, reader.at + length);
    if (part.length !== length) throw new RangeError('a stored trace is cut short');
    const predicted = list.length === 3 ? ratioOf(list[1]!, list[2]!) : null;
    list.push(decodeColumn(part, count, predicted));
    reader.at += length;
  }
  return { timeS: list[0]!, voltageKv: list[1]!, currentUa: list[2]!, resistanceMohm: list[3] ?? null };
};

/** kV over µA in MΩ: what most testers' resistance column is, up to rounding. */
const ratioOf = (voltageKv: Float64Array, currentUa: Float64Array): Float64Array =>
  voltageKv.map((kv, i) => (1000 * kv) / currentUa[i]!);

/** Decimals that write every value exactly, or null where nine are not enough. */
const decimalsOf = (column: Float64Array): number | null => {
  for (let decimals = 0; decimals <= mostDecimals; decimals++) {
    const scale = 10 ** decimals;
    if (column.every((value) => Number.isNaN(value) || isWhole(value, scale))) return decimals;
  }
  return null;
};

const isWhole = (value: number, scale: number): boolean => {
  const whole = Math.round(value * scale);
  return Math.abs(whole) < 2 ** 46 && whole / scale === value;
};

const encodeColumn = (column: Float64Array, predicted: Float64Array | null): Uint8Array => {
  const decimals = decimalsOf(column);
  if (decimals === null) {
    const cells = new Uint8Array(column.length * 8);
    const view = new DataView(cells.buffer);
    column.forEach((value, i) => void view.setFloat64(8 * i, value));
    return concatenated([Uint8Array.of(asIs), inPlanes(cells, 8)]);
  }
  const scale = 10 ** decimals;
  const missing: number[] = [];
  const whole = new Float64Array(column.length);
  let last = 0;
  column.forEach((value, i) => {
    if (Number.isNaN(value)) missing.push(i);
    else last = Math.round(value * scale);
    whole[i] = last;
  });
  const candidates = [
    { mode: differences, values: differencesOf(whole) },
    { mode: secondDifferences, values: differencesOf(differencesOf(whole)) },
    ...(predicted ? [{ mode: overRatio, values: whole.map((value, i) => value - guessed(predicted[i]!, scale)) }] : []),
  ];
  const best = candidates.reduce((a, b) => (cost(b.values) < cost(a.values) ? b : a));
  const head: number[] = [best.mode, decimals];
  writeCount(head, missing.length);
  let before = 0;
  for (const i of missing) {
    writeCount(head, i - before);
    before = i;
  }
  return concatenated([Uint8Array.from(head), packed(best.values)]);
};

const guessed = (ratio: number, scale: number): number => {
  const whole = Math.round(ratio * scale);
  return Number.isFinite(whole) && Math.abs(whole) < 2 ** 46 ? whole : 0;
};

const differencesOf = (values: Float64Array): Float64Array =>
  values.map((value, i) => (i === 0 ? value : value - values[i - 1]!));

/** About how many bits the values need. */
const cost = (values: Float64Array): number => values.reduce((sum, value) => sum + Math.log2(1 + Math.abs(value)), 0);

/** Signed whole numbers folded to unsigned (0, −1, 1, −2, …), as many bytes each as the largest needs, in planes. */
const packed = (values: Float64Array): Uint8Array => {
  let largest = 0;
  for (const value of values) largest = Math.max(largest, folded(value));
  let width = 1;
  while (largest >= 256 ** width) width++;
  const cells = new Uint8Array(values.length * width);
  values.forEach((value, i) => {
    let rest = folded(value);
    for (let b = width - 1; b >= 0; b--) {
      cells[i * width + b] = rest % 256;
      rest = Math.floor(rest / 256);
    }
  });
  return concatenated([Uint8Array.of(width), inPlanes(cells, width)]);
};

const unpacked = (bytes: Uint8Array, count: number): Float64Array => {
  const width = bytes[0]!;
  const values = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    let value = 0;
    for (let b = 0; b < width; b++) value = value * 256 + bytes[1 + b * count + i]!;
    values[i] = value % 2 === 0 ? value / 2 : -(value + 1) / 2;
  }
  return values;
};

const folded = (value: number): number => (value >= 0 ? 2 * value : -2 * value - 1);

const inPlanes = (cells: Uint8Array, width: number): Uint8Array => {
  const count = cells.length / width;
  const planes = new Uint8Array(cells.length);
  for (let i = 0; i < count; i++) for (let b = 0; b < width; b++) planes[b * count + i] = cells[i * width + b]!;
  return planes;
};

const decodeColumn = (part: Uint8Array, count: number, predicted: Float64Array | null): Float64Array => {
  const mode = part[0]!;
  if (mode === asIs) {
    const cells = new Uint8Array(count * 8);
    for (let i = 0; i < count; i++) for (let b = 0; b < 8; b++) cells[8 * i + b] = part[1 + b * count + i]!;
    const view = new DataView(cells.buffer);
    return Float64Array.from({ length: count }, (_, i) => view.getFloat64(8 * i));
  }
  const scale = 10 ** part[1]!;
  const reader = { at: 2 };
  const missing = Array.from({ length: readCount(part, reader) }, () => readCount(part, reader));
  const whole = unpacked(part.subarray(reader.at), count);
  if (mode === overRatio) for (let i = 0; i < count; i++) whole[i]! += guessed(predicted![i]!, scale);
  for (let pass = mode === overRatio ? 0 : mode; pass > 0; pass--)
    for (let i = 1; i < count; i++) whole[i]! += whole[i - 1]!;
  const column = whole.map((value) => value / scale);
  let row = 0;
  for (const step of missing) {
    row += step;
    column[row] = Number.NaN;
  }
  return column;
};

const writeCount = (bytes: number[], value: number): void => {
  let rest = value;
  while (rest >= 128) {
    bytes.push((rest % 128) + 128);
    rest = Math.floor(rest / 128);
  }
  bytes.push(rest);
};

const readCount = (bytes: Uint8Array, reader: { at: number }): number => {
  let value = 0;
  for (let scale = 1; scale < 2 ** 42; scale *= 128) {
    const byte = bytes[reader.at++];
    if (byte === undefined) break;
    value += (byte % 128) * scale;
    if (byte < 128) return value;
  }
  throw new RangeError('a stored trace is cut short');
};

const concatenated = (parts: readonly Uint8Array[]): Uint8Array => {
  const all = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
};

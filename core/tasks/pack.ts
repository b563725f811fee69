/** Typed arrays and plain values in one block of bytes, to be kept with the fleet. Always remakeable, never evidence. */
export type Packable = Float64Array | Float32Array | Int32Array | Uint8Array | Int8Array;

const makers = {
  Float64Array: (b: ArrayBuffer, at: number, n: number) => new Float64Array(b, at, n),
  Float32Array: (b: ArrayBuffer, at: number, n: number) => new Float32Array(b, at, n),
  Int32Array: (b: ArrayBuffer, at: number, n: number) => new Int32Array(b, at, n),
  Uint8Array: (b: ArrayBuffer, at: number, n: number) => new Uint8Array(b, at, n),
  Int8Array: (b: ArrayBuffer, at: number, n: number) => new Int8Array(b, at, n),
} as const;
type Kind = keyof typeof makers;

interface Column {
  readonly name: string;
  readonly kind: Kind;
  readonly at: number;
  readonly length: number;
}

const aligned = (n: number) => Math.ceil(n / 8) * 8;

/** `plain` must survive JSON. */
export function pack(plain: unknown, columns: { readonly [name: string]: Packable }): Buffer {
  const table: Column[] = [];
  let at = 0;
  for (const [name, column] of Object.entries(columns)) {
    table.push({ name, kind: column.constructor.name as Kind, at, length: column.length });
    at += aligned(column.byteLength);
  }
  const head = Buffer.from(JSON.stringify({ plain, table }));
  const start = aligned(8 + head.length);
  const out = Buffer.alloc(start + at);
  out.writeUInt32LE(head.length, 0);
  out.writeUInt32LE(start, 4);
  head.copy(out, 8);
  for (const column of table) {
    const source = columns[column.name]!;
    out.set(new Uint8Array(source.buffer, source.byteOffset, source.byteLength), start + column.at);
  }
  return out;
}

/** What `pack` packed; the columns are views on the bytes themselves, or on a copy where these do not lie evenly. */
export function unpack(bytes: Uint8Array): { plain: unknown; columns: { [name: string]: Packable } } {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const headLength = view.getUint32(0, true);
  const start = view.getUint32(4, true);
  const { plain, table } = JSON.parse(Buffer.from(bytes.buffer, bytes.byteOffset + 8, headLength).toString()) as {
    plain: unknown;
    table: Column[];
  };
  const { buffer, byteOffset } = aligned(bytes.byteOffset) === bytes.byteOffset ? bytes : new Uint8Array(bytes);
  const columns: { [name: string]: Packable } = {};
  for (const column of table)
    columns[column.name] = makers[column.kind](buffer as ArrayBuffer, byteOffset + start + column.at, column.length);
  return { plain, columns };
}

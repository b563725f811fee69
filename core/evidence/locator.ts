/**
 * Three sums over the records of a ledger line, sealed with it. Where one record was changed together with its digest
 * and its entry in the line's list, so that everything but the seal agrees, the sums still tell which one it was: they
 * are the syndromes of a one-error-correcting code over the integers modulo 2^31 − 1 (the idea of Reed & Solomon 1960,
 * J. SIAM 8:300). A record's place is the tail of its id, its weight the head of its digest.
 */
const prime = 0x7fffffff;

const times = (a: number, b: number): number => ((((a >>> 16) * b) % prime) * 65536 + (a & 0xffff) * b) % prime;

function power(base: number, exponent: number): number {
  let result = 1;
  for (let e = exponent, b = base; e > 0; e = Math.floor(e / 2), b = times(b, b))
    if (e % 2 === 1) result = times(result, b);
  return result;
}

const residue = (view: DataView, at: number): number => (view.getUint32(at) & prime) % prime;

/** Sums of the 48-byte entries (id 16, digest 32) of any number of lists; 12 bytes. */
export function locatorOf(lists: Iterable<Uint8Array>): Buffer {
  const sums = [0, 0, 0] as [number, number, number];
  for (const entries of lists) {
    const view = new DataView(entries.buffer, entries.byteOffset, entries.byteLength);
    for (let at = 0; at < entries.byteLength; at += 48) {
      const place = residue(view, at + 12);
      const weight = residue(view, at + 16);
      const once = times(place, weight);
      sums[0] = (sums[0] + weight) % prime;
      sums[1] = (sums[1] + once) % prime;
      sums[2] = (sums[2] + times(place, once)) % prime;
    }
  }
  const out = Buffer.alloc(12);
  for (const [i, sum] of sums.entries()) out.writeUInt32BE(sum, i * 4);
  return out;
}

export type Located =
  | { readonly one: false }
  /** `was` is the weight that the record had when sealed: 0 means that it was not there. */
  | { readonly one: true; readonly place: number; readonly was: (now: number) => number };

/** Which one record differs between what was sealed and what is found; `one: false` where none or several do. */
export function locate(sealed: Uint8Array, found: Uint8Array): Located {
  const a = new DataView(sealed.buffer, sealed.byteOffset, 12);
  const b = new DataView(found.buffer, found.byteOffset, 12);
  const difference = (at: number) => (b.getUint32(at) - a.getUint32(at) + prime) % prime;
  const [d0, d1, d2] = [difference(0), difference(4), difference(8)];
  if (d0 === 0) return { one: false };
  const place = times(d1, power(d0, prime - 2));
  if (times(place, d1) !== d2) return { one: false };
  return { one: true, place, was: (now) => (now - d0 + prime) % prime };
}

/** A record's place as `locate` gives it, from its 48-byte entry. */
export const placeOf = (entry: Uint8Array): number =>
  residue(new DataView(entry.buffer, entry.byteOffset, entry.byteLength), 12);
/** A record's weight, from its 48-byte entry. */
export const weightOf = (entry: Uint8Array): number =>
  residue(new DataView(entry.buffer, entry.byteOffset, entry.byteLength), 16);

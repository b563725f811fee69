import { randomFillSync } from 'node:crypto';

const hex4 = Array.from({ length: 65536 }, (_, n) => n.toString(16).padStart(4, '0'));

/**
 * Makes ids in rising order: UUIDv7 (RFC 9562) from a moment, its 12 bits after the version a counter (section 6.2,
 * method 1) that carries into the milliseconds. `random32` gives 32 random bits. Rising ids keep indexes and lists in order.
 */
export function idMaker(now: string, random32: () => number = cryptoBits()): () => string {
  let ms = Date.parse(now);
  let counter = 0;
  let time = timeText(ms);
  return () => {
    if (counter === 4096) {
      counter = 0;
      time = timeText(++ms);
    }
    const a = random32();
    const b = random32();
    const variant = 0x8000 | ((a >>> 16) & 0x3fff);
    return `${time}-${hex4[0x7000 | counter++]}-${hex4[variant]}-${hex4[a & 0xffff]}${hex4[b >>> 16]}${hex4[b & 0xffff]}`;
  };
}

function timeText(ms: number): string {
  const digits = ms.toString(16).padStart(12, '0');
  return `${digits.slice(0, 8)}-${digits.slice(8)}`;
}

function cryptoBits(): () => number {
  const pool = new Uint32Array(4096);
  let at = pool.length;
  return () => {
    if (at === pool.length) {
      randomFillSync(pool);
      at = 0;
    }
    return pool[at++]!;
  };
}

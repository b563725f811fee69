import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../core/numerics/random.ts';

/** xoshiro128** written a second time, with whole numbers of any size, from the authors' public-domain description. */
function secondWriting(seed: number): () => bigint {
  const low = 0xffffffffn;
  let state = BigInt(seed);
  const fill = (): bigint => {
    state = (state + 0x9e3779b9n) & low;
    let z = state;
    z = ((z ^ (z >> 16n)) * 0x21f0aaadn) & low;
    z = ((z ^ (z >> 15n)) * 0x735a2d97n) & low;
    return z ^ (z >> 15n);
  };
  const s = [fill(), fill(), fill(), fill()] as [bigint, bigint, bigint, bigint];
  const rotate = (x: bigint, k: bigint): bigint => ((x << k) | (x >> (32n - k))) & low;
  return () => {
    const result = (rotate((s[1] * 5n) & low, 7n) * 9n) & low;
    const shifted = (s[1] << 9n) & low;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= shifted;
    s[3] = rotate(s[3], 11n);
    return result;
  };
}

describe('seeded random', () => {
  test('follows xoshiro128** to the last bit (Blackman and Vigna, ACM TOMS 47 (2021) 36; second writing in whole numbers)', () => {
    const other = secondWriting(20240607);
    const random = seededRandom(20240607);
    for (let i = 0; i < 1000; i++) {
      const high = other() >> 5n;
      const low = other() >> 6n;
      expect(random.uniform()).toBe((Number(high) * 67108864 + Number(low) + 0.5) / 2 ** 53);
    }
  });

  test('gives the same stream for the same seed and another for another', () => {
    const draw = (seed: number): number[] => {
      const random = seededRandom(seed);
      return Array.from({ length: 5 }, () => random.normal());
    };
    expect(draw(7)).toEqual(draw(7));
    expect(draw(7)).not.toEqual(draw(8));
    expect(draw(7)).not.toEqual(draw(7 + 2 ** 32));
  });

  test('has the moments of the uniform and normal distributions within four standard errors', () => {
    const random = seededRandom(1);
    const n = 200_000;
    let uniformSum = 0;
    let sum = 0;
    let squares = 0;
    let fourths = 0;
    for (let i = 0; i < n; i++) {
      uniformSum += random.uniform();
      const z = random.normal();
      sum += z;
      squares += z * z;
      fourths += z ** 4;
    }
    expect(Math.abs(uniformSum / n - 0.5)).toBeLessThan(4 * Math.sqrt(1 / 12 / n));
    expect(Math.abs(sum / n)).toBeLessThan(4 / Math.sqrt(n));
    expect(Math.abs(squares / n - 1)).toBeLessThan(4 * Math.sqrt(2 / n));
    expect(Math.abs(fourths / n - 3)).toBeLessThan(4 * Math.sqrt(96 / n));
  });

  test('draws whole numbers evenly (chi-square with 6 degrees under its 0.999 point, 22.46)', () => {
    const random = seededRandom(3);
    const counts = new Array<number>(7).fill(0);
    for (let i = 0; i < 70_000; i++) counts[random.integer(7)]!++;
    expect(counts.reduce((sum, count) => sum + (count - 10_000) ** 2 / 10_000, 0)).toBeLessThan(22.46);
    expect(random.integer(1)).toBe(0);
    expect(() => random.integer(0)).toThrow(RangeError);
    expect(() => random.integer(2.5)).toThrow(RangeError);
  });
});

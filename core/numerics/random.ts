import { normalQuantile } from './normal.ts';

/** A stream of numbers that is the same for the same seed, on every machine. */
export interface SeededRandom {
  /** Uniform on the open interval 0 … 1, never either end; 53 random bits. */
  uniform(): number;
  /** Standard normal, by inverting the distribution function: one uniform a normal. */
  normal(): number;
  /** A whole number from 0 to below − 1, each as likely; RangeError unless below is a whole number from 1 to 2³². */
  integer(below: number): number;
}

/**
 * The generator xoshiro128** of D. Blackman and S. Vigna (Scrambled linear pseudorandom number generators,
 * ACM TOMS 47 (2021) 36), its 128 bits of state filled from the seed by the splitmix32 sequence.
 * Any finite seed; its fraction and the bits above 64 count for nothing. For simulation, not for secrets.
 */
export function seededRandom(seed: number): SeededRandom {
  const whole = Math.trunc(seed);
  const mix = splitmix32((whole >>> 0) ^ Math.imul(Math.trunc(whole / 4294967296) >>> 0, 0x9e3779b1));
  let a = mix();
  let b = mix();
  let c = mix();
  let d = mix();

  const bits = (): number => {
    const scrambled = Math.imul(rotate(Math.imul(b, 5), 7), 9) >>> 0;
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = rotate(d, 11);
    return scrambled;
  };
  const uniform = (): number => ((bits() >>> 5) * 67108864 + (bits() >>> 6) + 0.5) / 9007199254740992;

  return {
    uniform,
    normal: () => normalQuantile(uniform()),
    integer: (below) => {
      if (!(Number.isInteger(below) && below >= 1 && below <= 4294967296)) {
        throw new RangeError(`integer needs a whole number from 1 to 4294967296, not ${below}`);
      }
      // The incomplete last round is thrown away, or its numbers would come up more often.
      const fair = 4294967296 - (4294967296 % below);
      let drawn = bits();
      while (drawn >= fair) drawn = bits();
      return drawn % below;
    },
  };
}

const rotate = (x: number, by: number): number => (x << by) | (x >>> (32 - by));

function splitmix32(start: number): () => number {
  let state = start | 0;
  return () => {
    state = (state + 0x9e3779b9) | 0;
    let z = state;
    z = Math.imul(z ^ (z >>> 16), 0x21f0aaad);
    z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
    return (z ^ (z >>> 15)) >>> 0;
  };
}

import { describe, expect, test } from 'vitest';
import { bisect } from '../../core/numerics/bisect.ts';
import { median, quantile, robustSpread } from '../../core/numerics/quantile.ts';
import { seededRandom } from '../../core/numerics/random.ts';

describe('quantiles', () => {
  test('are of type 7: 1.9 at 0.3 and 2.8 at 0.6 of 1, 2, 3, 4 (Hyndman and Fan 1996; R quantile, numpy.percentile)', () => {
    expect(quantile([4, 1, 3, 2], 0.3)).toBeCloseTo(1.9, 14);
    expect(quantile([4, 1, 3, 2], 0.6)).toBeCloseTo(2.8, 14);
    expect(quantile([4, 1, 3, 2], 0)).toBe(1);
    expect(quantile([4, 1, 3, 2], 1)).toBe(4);
  });

  test('leave the values as they were', () => {
    const values = Object.freeze([3, 1, 2]);
    expect(median(values)).toBe(2);
    expect(values).toEqual([3, 1, 2]);
  });

  test('give the median of short and long lists alike', () => {
    const random = seededRandom(8);
    for (let n = 1; n < 40; n++) {
      const values = Array.from({ length: n }, () => random.integer(9));
      expect(median(values)).toBe(quantile(values, 0.5));
    }
  });

  test('refuse no values and chances outside 0 to 1', () => {
    expect(() => median([])).toThrow(RangeError);
    expect(() => quantile([1], 1.1)).toThrow(RangeError);
  });

  test('robust spread of 1, 1, 2, 2, 4, 6, 9 is 1.4826 (its median distance from 2 is 1; textbook example of the MAD)', () => {
    expect(robustSpread([1, 1, 2, 2, 4, 6, 9])).toBeCloseTo(1.4826, 4);
    expect(robustSpread([1, 1, 2, 2, 4, 6, 9000])).toBeCloseTo(1.4826, 4);
  });
});

describe('bisection', () => {
  test('finds √2 to the last digit, whichever way the function runs', () => {
    expect(bisect((x) => x * x - 2, 0, 2)).toEqual({ known: true, at: expect.closeTo(Math.SQRT2, 15) });
    expect(bisect((x) => 2 - x * x, 0, 2)).toEqual({ known: true, at: expect.closeTo(Math.SQRT2, 15) });
  });

  test('takes an end that is a root, and stops at the tolerance', () => {
    expect(bisect((x) => x, 0, 1)).toEqual({ known: true, at: 0 });
    let calls = 0;
    const root = bisect((x) => (calls++, x - 0.3), 0, 1, 0.01);
    expect(root.known && Math.abs(root.at - 0.3)).toBeLessThan(0.01);
    expect(calls).toBeLessThan(12);
  });

  test('says so when the ends have the same sign, even where their product vanishes, or are no numbers', () => {
    expect(bisect(() => 1e-200, 0, 1).known).toBe(false);
    expect(bisect((x) => 1e-200 * (x - 0.25), 0, 1)).toEqual({ known: true, at: expect.closeTo(0.25, 12) });
    expect(bisect(() => Number.NaN, 0, 1).known).toBe(false);
  });
});

import { describe, expect, test } from 'vitest';
import { mannKendall } from '../../core/numerics/mannKendall.ts';
import { seededRandom } from '../../core/numerics/random.ts';
import { theilSen } from '../../core/numerics/theilSen.ts';

const steps = (n: number): number[] => Array.from({ length: n }, (_, i) => i + 1);

/** Every order of the values, and Kendall's S of each: the definition of the exact test, written out. */
function everyS(t: readonly number[], y: readonly number[]): number[] {
  const orders = (left: readonly number[]): number[][] =>
    left.length === 0 ? [[]] : left.flatMap((first, i) => orders(left.toSpliced(i, 1)).map((rest) => [first, ...rest]));
  return orders(y).map((order) => {
    let s = 0;
    for (let i = 0; i < t.length; i++) {
      for (let j = 0; j < i; j++) s += Math.sign(t[i]! - t[j]!) * Math.sign(order[i]! - order[j]!);
    }
    return s;
  });
}

describe('Mann–Kendall', () => {
  test('cannot call three rising readings surer than 1/6, nor four than 1/24 (Kendall 1970, appendix table 1)', () => {
    expect(mannKendall(steps(3), [1, 2, 3])).toMatchObject({ s: 3, exact: true, pRising: expect.closeTo(1 / 6, 14) });
    expect(mannKendall(steps(4), [1, 2, 3, 4])).toMatchObject({ s: 6, pRising: expect.closeTo(1 / 24, 14) });
  });

  test.each([
    ['no ties', [1, 2, 3, 4, 5, 6], [3, 1, 2, 6, 4, 5]],
    ['ties in the values', [1, 2, 3, 4, 5, 6], [2, 2, 1, 3, 3, 3]],
    ['ties in the times', [1, 1, 2, 2, 2, 3], [3, 1, 2, 6, 4, 5]],
    ['ties in both', [1, 1, 2, 2, 2, 3], [2, 2, 1, 3, 3, 4]],
    ['times out of order', [3, 1, 2, 5, 4], [1, 1, 4, 2, 2]],
  ])('with %s is exact: it equals the count over all orders', (_, t, y) => {
    const all = everyS(t, y);
    const share = (holds: (s: number) => boolean): number => all.filter(holds).length / all.length;
    const test = mannKendall(t, y);
    if (!test.known) throw new Error(test.because);
    expect(test.exact).toBe(true);
    expect(test.pRising).toBeCloseTo(
      share((s) => s >= test.s),
      13,
    );
    expect(test.pFalling).toBeCloseTo(
      share((s) => s <= test.s),
      13,
    );
    expect(test.pEither).toBeCloseTo(
      share((s) => Math.abs(s) >= Math.abs(test.s)),
      13,
    );
    const variance =
      all.reduce((sum, s) => sum + s * s, 0) / all.length - (all.reduce((sum, s) => sum + s, 0) / all.length) ** 2;
    expect(test.variance).toBeCloseTo(variance, 10);
  });

  test('with no order at all in the values says that nothing is sure', () => {
    expect(mannKendall(steps(5), [2, 2, 2, 2, 2])).toMatchObject({ s: 0, z: 0, tauB: 0, pRising: 1, pEither: 1 });
    expect(mannKendall(steps(12), new Array(12).fill(2))).toMatchObject({
      s: 0,
      z: 0,
      pRising: 1,
      pFalling: 1,
      pEither: 1,
    });
  });

  test('is unknown when all times are the same', () => {
    expect(mannKendall([4, 4, 4], [1, 2, 3])).toEqual({
      known: false,
      because: 'fewer than two points at distinct times',
    });
  });

  test('passes smoothly from the exact chances at 10 readings to the normal ones at 11', () => {
    const y = [1, 3, 2, 5, 4, 7, 6, 9, 8, 10];
    const exact = mannKendall(steps(10), y);
    const normal = mannKendall(steps(10), y, 0);
    if (!exact.known || !normal.known) throw new Error('ten readings have a trend');
    expect(normal.exact).toBe(false);
    expect(normal.pRising / exact.pRising).toBeGreaterThan(0.5);
    expect(normal.pRising / exact.pRising).toBeLessThan(5);
  });
});

describe('Theil–Sen', () => {
  test('ignores pairs at the same time and is unknown when there is no other pair', () => {
    expect(theilSen([1, 1, 3], [0, 2, 5])).toMatchObject({ known: true, slope: 2, pairs: 2 });
    expect(theilSen([1, 1], [0, 2])).toEqual({ known: false, because: 'fewer than two points at distinct times' });
  });

  test('gives a slope but no interval to three points', () => {
    expect(theilSen([0, 1, 2], [0, 1, 3])).toMatchObject({ slope: 1.5, interval: { known: false } });
  });

  test('its 90 % interval covers the true slope in 90 % of 2,000 simulated series, ±3.7 standard errors', () => {
    const random = seededRandom(5);
    let inside = 0;
    for (let run = 0; run < 2000; run++) {
      const t = steps(12);
      const fit = theilSen(
        t,
        t.map((x) => 0.3 * x + random.normal()),
      );
      if (fit.known && fit.interval.known && fit.interval.low <= 0.3 && fit.interval.high >= 0.3) inside++;
    }
    expect(inside / 2000).toBeGreaterThan(0.875);
    expect(inside / 2000).toBeLessThan(0.93);
  });
});

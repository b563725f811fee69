import { describe, expect, test } from 'vitest';
import { mannKendall } from '../../core/numerics/mannKendall.ts';
import { theilSen } from '../../core/numerics/theilSen.ts';
import { expectDigits, readJson } from './readData.ts';

interface Series {
  readonly data: readonly number[];
  readonly t: readonly number[];
  readonly result: {
    readonly S: number;
    readonly varS: number;
    readonly Z: number;
    readonly p_two_sided: number;
    readonly tau_b: number;
    readonly theil_sen: number;
    readonly N_slopes: number;
    readonly ci90_interpolated: readonly [number, number];
    readonly intercept_median: number;
  };
}
type Trend = Record<'nile' | 'lakehuron' | 'short', Series> & {
  readonly exact_null: readonly { readonly n: number; readonly S: readonly number[]; readonly p: readonly number[] }[];
};
const trend = readJson<Trend>('trend.json');

function tested(t: readonly number[], y: readonly number[], exactUpTo?: number) {
  const found = mannKendall(t, y, exactUpTo);
  if (!found.known) throw new Error(found.because);
  return found;
}

function sloped(t: readonly number[], y: readonly number[], coverage?: number) {
  const found = theilSen(t, y, coverage);
  if (!found.known || !found.interval.known) throw new Error('no slope or no interval');
  return { ...found, interval: found.interval };
}

const count = (n: number): number[] => Array.from({ length: n }, (_, i) => i + 1);

// Ten digits: both sides are the same closed forms in doubles; only the order of sums differs.
describe('trend against R 4.2.2 (trend.json: Kendall package formulas, cor.test)', () => {
  test.each([
    ['the Nile at Aswan, 1871–1970 (R datasets::Nile; Cobb 1978)', trend.nile],
    ['Lake Huron, 1875–1972 (R datasets::LakeHuron; Brockwell and Davis 1991)', trend.lakehuron],
    ['five readings with a tie', trend.short],
  ])('%s: S, variance, Z, chance, tau-b, Sen slope, its interval and intercept', (_, { data, t, result }) => {
    const found = tested(t, data, 0);
    expect(found.s).toBe(result.S);
    expectDigits(found.variance, result.varS, 10);
    expectDigits(found.z, result.Z, 10);
    expectDigits(found.pEither, result.p_two_sided, 10);
    expectDigits(found.tauB, result.tau_b, 10);
    const line = sloped(t, data);
    expectDigits(line.slope, result.theil_sen, 10);
    expect(line.pairs).toBe(result.N_slopes);
    expectDigits(line.intercept, result.intercept_median, 10);
    expectDigits(line.interval.low, result.ci90_interpolated[0], 10);
    expectDigits(line.interval.high, result.ci90_interpolated[1], 10);
  });

  test.each(trend.exact_null)('the exact chances of S for $n readings (R, counted over all orders)', ({ n, S, p }) => {
    let tail = 0;
    for (let i = S.length - 1; i >= 0; i--) {
      tail += p[i]!;
      const found = tested(count(n), orderWithS(n, S[i]!));
      expect(found).toMatchObject({ s: S[i], exact: true });
      expectDigits(found.pRising, tail, 10);
    }
  });
});

/** An order of 1 … n with a chosen S: each element is moved left past as many as are still to be turned round. */
function orderWithS(n: number, s: number): number[] {
  let falling = ((n * (n - 1)) / 2 - s) / 2;
  const order: number[] = [];
  for (let value = 1; value <= n; value++) {
    const past = Math.min(falling, order.length);
    order.splice(order.length - past, 0, value);
    falling -= past;
  }
  return order;
}

describe('trend against printed examples', () => {
  test('EPA QA/G-9S (2006) p. 109, eleven values with ties: S 22, variance 155.333, Z 1.685, p .0920, slope 1', () => {
    const y = [10, 10, 10, 5, 10, 20, 18, 17, 15, 24, 15];
    const found = tested(count(11), y);
    expect(found).toMatchObject({ s: 22, exact: false });
    expect(found.variance).toBeCloseTo(155.333, 3);
    expect(found.z).toBeCloseTo(1.685, 3);
    expect(found.pEither).toBeCloseTo(0.092, 4);
    expect(sloped(count(11), y).slope).toBe(1);
  });

  test('fourteen values worked by hand (College of the Holy Cross course notes): S 54, Z 2.9058, one-sided p .0018, slope .566667, 95 % .32313 to .86978', () => {
    const y = [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7];
    const found = tested(count(14), y);
    expect(found.s).toBe(54);
    expect(found.variance).toBeCloseTo(332.667, 3);
    expect(found.z).toBeCloseTo(2.9058, 4);
    expect(found.pRising).toBeCloseTo(0.0018, 4);
    const line = sloped(count(14), y, 0.95);
    expect(line.slope).toBeCloseTo(0.566667, 6);
    expect(line.interval.low).toBeCloseTo(0.32313, 5);
    expect(line.interval.high).toBeCloseTo(0.86978, 5);
  });

  test('1 to 100 in order: S 4950, variance 112750, Z 14.73869998208331 (tests of MannKendall.jl, MIT licence)', () => {
    const found = tested(count(100), count(100));
    expect(found).toMatchObject({ s: 4950, variance: 112750 });
    expectDigits(found.z, 14.73869998208331, 15);
  });

  test('one wild value of seven leaves slope 1 and intercept 0 (Helsel et al., USGS TM4-A3, ch. 10): S 19', () => {
    const y = [1, 2, 3, 4, 5, 16, 7];
    expect(theilSen(count(7), y)).toMatchObject({ slope: 1, intercept: 0 });
    expect(tested(count(7), y).s).toBe(19);
  });
});

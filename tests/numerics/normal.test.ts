import { describe, expect, test } from 'vitest';
import { normalCdf, normalInverseMills, normalLogCdf, normalPdf, normalQuantile } from '../../core/numerics/normal.ts';

/** Agreement to a share of the value, so that tails of 10⁻¹⁰⁰ are held as strictly as the middle. */
const near = (actual: number, expected: number, share: number): void =>
  expect(Math.abs(actual - expected)).toBeLessThanOrEqual(share * Math.abs(expected));

describe('the normal distribution', () => {
  test('Φ agrees with the printed tables to their last digit (Abramowitz and Stegun 1964, table 26.1)', () => {
    const table: [number, number][] = [
      [0, 0.5],
      [0.5, 0.6914624612740131],
      [1, 0.841344746068543],
      [1.96, 0.97500210485178],
      [2, 0.977249868051821],
      [3, 0.99865010196837],
    ];
    for (const [x, p] of table) near(normalCdf(x), p, 1e-14);
  });

  test('Φ, its logarithm, φ and φ/Φ keep 14 digits far into the lower tail (mpmath 1.3 at 40 digits)', () => {
    const tail: [number, number, number, number, number][] = [
      [4.5, 0.9999966023268753, -3.397678896834466e-6, 1.5983741106905475e-5, 1.5983795414617587e-5],
      [0.75, 0.7733726476231318, -0.25699426683836524, 0.30113743215480443, 0.389382056735927],
      [-0.5, 0.3085375387259869, -1.1759117615936185, 0.35206532676429947, 1.1410777703680646],
      [-1.25, 0.10564977366685525, -2.247625677214318, 0.18264908538902191, 1.728816627331054],
      [-3, 0.0013498980316300946, -6.607726221510349, 0.0044318484119380075, 3.2830986549304364],
      [-5.5, 1.8989562465887718e-8, -17.77937635262526, 1.0769760042543276e-7, 5.671410313897305],
      [-6, 9.86587645037698e-10, -20.736768949974707, 6.075882849823285e-9, 6.158482604544599],
      [-8, 6.220960574271784e-16, -35.01343715991455, 5.052271083536892e-15, 8.121368112236112],
      [-15, 3.670966199312751e-51, -116.1313848457117, 5.530709549844416e-50, 15.066086827167823],
      [-30, 4.906713927148187e-198, -454.3212439563432, 1.4736461348785476e-196, 30.033259667433676],
    ];
    for (const [x, cdf, logCdf, pdf, mills] of tail) {
      near(normalCdf(x), cdf, 1e-14);
      near(normalLogCdf(x), logCdf, 1e-14);
      near(normalPdf(x), pdf, 1e-14);
      near(normalInverseMills(x), mills, 1e-14);
    }
  });

  test('the two tails mirror each other, and nothing comes back as nothing', () => {
    for (const x of [0.1, 0.7, 1.3, 4, 6]) near(normalCdf(x) + normalCdf(-x), 1, 1e-15);
    expect(normalCdf(Number.NEGATIVE_INFINITY)).toBe(0);
    expect(normalCdf(Number.POSITIVE_INFINITY)).toBe(1);
    expect(normalCdf(Number.NaN)).toBeNaN();
  });

  test('quantiles agree with mpmath 1.3 at 40 digits, from 10⁻³⁰⁰ to 0.999', () => {
    const known: [number, number][] = [
      [1e-300, -37.0470962993612],
      [1e-100, -21.273453560965326],
      [1e-20, -9.262340089798407],
      [1e-10, -6.361340902404057],
      [1e-5, -4.264890793922825],
      [0.001, -3.0902323061678136],
      [0.025, -1.9599639845400543],
      [0.074, -1.4466320671589785],
      [0.3, -0.5244005127080408],
      [0.9, 1.2815515655446006],
      [0.975, 1.9599639845400538],
      [0.999, 3.090232306167813],
    ];
    for (const [p, x] of known) near(normalQuantile(p), x, 2e-15);
  });

  test('the quantile undoes Φ everywhere, and says what lies at and beyond the ends', () => {
    for (let x = -37; x <= 5; x += 0.61) expect(normalQuantile(normalCdf(x))).toBeCloseTo(x, 9);
    expect(normalQuantile(0)).toBe(Number.NEGATIVE_INFINITY);
    expect(normalQuantile(1)).toBe(Number.POSITIVE_INFINITY);
    expect(normalQuantile(1.2)).toBeNaN();
  });
});

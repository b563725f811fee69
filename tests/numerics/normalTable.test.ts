import { describe, expect, test } from 'vitest';
import { normalCdf, normalPdf } from '../../core/numerics/normal.ts';
import { quickNormalCdf, quickNormalPdf } from '../../core/numerics/normalTable.ts';

describe('the table of the normal distribution', () => {
  test('Φ agrees to 12 decimals, between the knots too (mpmath 1.3 at 40 digits)', () => {
    const values: [number, number][] = [
      [4.5, 0.9999966023268753],
      [0.75, 0.7733726476231318],
      [-0.5, 0.3085375387259869],
      [-1.25, 0.10564977366685525],
      [-3, 0.0013498980316300946],
      [-5.5, 1.8989562465887718e-8],
      [1.96, 0.97500210485178],
    ];
    for (const [x, p] of values) expect(Math.abs(quickNormalCdf(x) - p)).toBeLessThan(1e-12);
  });

  test('no point of a fine grid lies further from Φ and φ than is said', () => {
    let [cdf, share, pdf] = [0, 0, 0];
    for (let i = 0; i <= 20_000; i++) {
      const x = -8.5 + (17 * i) / 20_000;
      const error = Math.abs(quickNormalCdf(x) - normalCdf(x));
      cdf = Math.max(cdf, error);
      share = Math.max(share, error / normalCdf(x));
      pdf = Math.max(pdf, Math.abs(quickNormalPdf(x) - normalPdf(x)));
    }
    expect(cdf).toBeLessThan(1e-12);
    expect(share).toBeLessThan(2e-8);
    expect(pdf).toBeLessThan(2e-7);
  });

  test('it ends in 0 and 1, and passes on what is not a number', () => {
    expect([quickNormalCdf(-9), quickNormalCdf(9), quickNormalPdf(-9), quickNormalPdf(9)]).toEqual([0, 1, 0, 0]);
    expect([quickNormalCdf(Number.NEGATIVE_INFINITY), quickNormalCdf(Number.POSITIVE_INFINITY)]).toEqual([0, 1]);
    expect(quickNormalCdf(Number.NaN)).toBeNaN();
  });
});

import { describe, expect, test } from 'vitest';
import { bivariateNormalCdf } from '../../core/numerics/bivariateNormal.ts';
import { normalCdf, normalPdf } from '../../core/numerics/normal.ts';

/** Independent answer: ∫ φ(x) Φ((k − r x) ÷ √(1 − r²)) dx up to h by Simpson's rule. */
function bySimpson(h: number, k: number, r: number): number {
  const from = -9;
  const steps = 40_000;
  const width = (h - from) / steps;
  let sum = 0;
  for (let i = 0; i <= steps; i++) {
    const x = from + i * width;
    const f = normalPdf(x) * normalCdf((k - r * x) / Math.sqrt(1 - r * r));
    sum += f * (i === 0 || i === steps ? 1 : i % 2 === 1 ? 4 : 2);
  }
  return (sum * width) / 3;
}

describe('the distribution of two correlated normals', () => {
  test('at the origin is 1/4 + asin(r) / 2π (Sheppard 1899)', () => {
    for (const r of [-0.99, -0.8, -0.3, 0, 0.2, 0.5, 0.9, 0.95, 0.9999]) {
      expect(bivariateNormalCdf(0, 0, r)).toBeCloseTo(0.25 + Math.asin(r) / (2 * Math.PI), 13);
    }
  });

  test('is the product without correlation and the smaller of both at correlation 1', () => {
    expect(bivariateNormalCdf(0.7, -1.2, 0)).toBeCloseTo(normalCdf(0.7) * normalCdf(-1.2), 14);
    expect(bivariateNormalCdf(0.7, -1.2, 1)).toBeCloseTo(normalCdf(-1.2), 14);
    expect(bivariateNormalCdf(0.7, 1.2, -1)).toBeCloseTo(normalCdf(0.7) + normalCdf(1.2) - 1, 14);
  });

  test('agrees with Simpson’s rule to 11 digits, for weak and for steep correlation', () => {
    for (const [h, k, r] of [
      [1, 0.5, 0.4],
      [-1.3, 0.2, -0.6],
      [2.1, 1.9, 0.97],
      [-0.4, -0.6, 0.995],
      [0.3, -0.9, -0.96],
      [-2.5, -1, 0.8],
    ] as const) {
      expect(bivariateNormalCdf(h, k, r)).toBeCloseTo(bySimpson(h, k, r), 11);
    }
  });

  test('closes at infinity', () => {
    expect(bivariateNormalCdf(Number.POSITIVE_INFINITY, 0.3, 0.5)).toBe(normalCdf(0.3));
    expect(bivariateNormalCdf(Number.NEGATIVE_INFINITY, 0.3, 0.5)).toBe(0);
  });
});

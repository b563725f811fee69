import { describe, expect, test } from 'vitest';
import { intervalMoments } from '../../core/numerics/intervalNormal.ts';
import { normalCdf, normalPdf } from '../../core/numerics/normal.ts';
import { mixtureCdf, mixtureQuantile } from '../../core/numerics/normalMixture.ts';

/** Independent answer: the same moments by Simpson's rule over x. */
function bySimpson(mean: number, variance: number, noise: number, low: number, high: number) {
  const sd = Math.sqrt(variance);
  const steps = 20_000;
  const from = mean - 12 * sd;
  const width = (24 * sd) / steps;
  let p = 0;
  let first = 0;
  let second = 0;
  for (let i = 0; i <= steps; i++) {
    const x = from + i * width;
    const inside = normalCdf((high - x) / Math.sqrt(noise)) - normalCdf((low - x) / Math.sqrt(noise));
    const f =
      ((normalPdf((x - mean) / sd) / sd) * inside * (i === 0 || i === steps ? 1 : i % 2 === 1 ? 4 : 2) * width) / 3;
    p += f;
    first += f * x;
    second += f * x * x;
  }
  return { logProbability: Math.log(p), mean: first / p, variance: second / p - (first / p) ** 2 };
}

describe('a normal whose noisy copy is known to lie in an interval', () => {
  test.each([
    [0, 1, 0.2, Number.NEGATIVE_INFINITY, -0.5],
    [1, 0.4, 0.05, Number.NEGATIVE_INFINITY, -1.5],
    [-0.3, 0.8, 0.02, -0.1, 0.4],
    [2, 0.5, 0.1, -0.5, 0.2],
    [-2, 0.5, 0.1, 0.1, 0.9],
  ] as const)(
    'N(%f, %f) with noise %f in (%f, %f) has the moments that Simpson’s rule gives',
    (m, v, noise, low, high) => {
      const out = { mean: 0, variance: 0, logProbability: 0 };
      intervalMoments(m, v, noise, low, high, out);
      const reference = bySimpson(m, v, noise, low, high);
      expect(out.mean).toBeCloseTo(reference.mean, 8);
      expect(out.variance).toBeCloseTo(reference.variance, 8);
      expect(out.logProbability).toBeCloseTo(reference.logProbability, 8);
    },
  );

  test('stays finite when the interval is 60 standard deviations away', () => {
    const out = { mean: 0, variance: 0, logProbability: 0 };
    for (const [low, high] of [
      [Number.NEGATIVE_INFINITY, -60],
      [60, 61],
    ] as const) {
      intervalMoments(0, 1, 0.01, low, high, out);
      expect(Number.isFinite(out.mean) && out.variance > 0 && Number.isFinite(out.logProbability)).toBe(true);
      expect(Math.sign(out.mean)).toBe(low > 0 ? 1 : -1);
    }
  });
});

describe('the quantile of a mixture of normals', () => {
  const weight = Float64Array.of(0.7, 0.25, 0.05);
  const mean = Float64Array.of(0, 0.3, 2);
  const sd = Float64Array.of(0.1, 0.4, 1.5);

  test('is where its distribution reaches p', () => {
    for (const p of [0.001, 0.05, 0.25, 0.5, 0.75, 0.95, 0.999]) {
      expect(mixtureCdf(weight, mean, sd, 0, 3, mixtureQuantile(weight, mean, sd, 0, 3, p))).toBeCloseTo(p, 7);
    }
  });

  test('of two far parts lies in the gap between them', () => {
    const x = mixtureQuantile(
      Float64Array.of(0.5, 0.5),
      Float64Array.of(-10, 10),
      Float64Array.of(0.1, 0.1),
      0,
      2,
      0.4,
    );
    expect(x).toBeCloseTo(-10 + 0.1 * 0.8416212335729143, 5);
  });
});

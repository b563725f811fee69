import { expect, test } from 'vitest';
import { countQuantiles } from '../../core/numerics/countQuantiles.ts';

const ends = [0.025, 0.05, 0.5, 0.95, 0.975];

// Answers of scipy 1.17.1: stats.poisson, nbinom (r = m²/(v − m), p = m/v) and binom, method ppf.
test.each([
  ['Poisson', 0.2, 0.2, [0, 0, 0, 1, 1]],
  ['Poisson', 5, 5, [1, 2, 5, 9, 10]],
  ['Poisson', 400, 400, [361, 367, 400, 433, 440]],
  ['negative binomial', 0.5, 1.5, [0, 0, 0, 3, 4]],
  ['negative binomial', 3.2, 5.6, [0, 0, 3, 8, 9]],
  ['negative binomial', 9.7, 31.4, [2, 2, 9, 20, 23]],
  ['negative binomial', 12.5, 2000, [0, 0, 0, 73, 131]],
  ['negative binomial', 4100, 260_000, [3161, 3299, 4079, 4973, 5158]],
  ['binomial of 10', 4, 2.4, [1, 2, 4, 7, 7]],
  ['binomial of 160', 120, 30, [109, 111, 120, 129, 130]],
  ['binomial of 1', 0.9, 0.09, [0, 0, 1, 1, 1]],
] as const)('%s with mean %d and variance %d has the quantiles that scipy gives', (_name, mean, variance, expected) => {
  expect(countQuantiles(mean, variance, ends)).toEqual(expected);
});

// Exact confidence limits rest on the same sums. F. Garwood, Biometrika 28 (1936) 437, limits of 95 % (from memory):
// 5 counted, 1.62 to 11.67 expected.
test('5 are counted at the ends of the published 95 % limits of a Poisson mean', () => {
  expect(countQuantiles(1.62, 1.62, [0.974])[0]).toBe(4);
  expect(countQuantiles(1.63, 1.63, [0.9755])[0]).toBe(5);
  expect(countQuantiles(11.67, 11.67, [0.026])[0]).toBe(6);
  expect(countQuantiles(11.67, 11.67, [0.0245])[0]).toBe(5);
});

test('nothing to come is 0, and moments that no count has are refused', () => {
  expect(countQuantiles(0, 0, ends)).toEqual([0, 0, 0, 0, 0]);
  expect(countQuantiles(3, 0, [0.05, 0.95])).toEqual([3, 3]);
  expect(() => countQuantiles(-1, 1, ends)).toThrow(RangeError);
  expect(() => countQuantiles(1, Number.NaN, ends)).toThrow(RangeError);
  expect(() => countQuantiles(1, 1, [1])).toThrow(RangeError);
});

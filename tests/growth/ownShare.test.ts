import { expect, test } from 'vitest';
import { ownShare } from '../../core/growth/ownShare.ts';

const year = 365.25;
const spread = { slopeSd: 0.05, eventSd: 0.2 };

test('the share of own tests is the shrinkage factor of a slope: by hand for tests 0, 3, 6 and 9 years apart', () => {
  // Σ(t − 4.5)² = 45; own precision 45/0.04 = 1125, the cohort's 1/0.0025 = 400.
  expect(ownShare([0, 3 * year, 6 * year, 9 * year], [], spread)).toBeCloseTo(1125 / 1525, 12);
});

test('one test carries nothing of a growth, and an intervention begins a level of its own', () => {
  expect(ownShare([1000], [], spread)).toBe(0);
  // Two eras of two tests, 3 years apart each: Σ = 4.5 + 4.5 = 9; 9/0.04 = 225.
  expect(ownShare([0, 3 * year, 6 * year, 9 * year], [5 * year], spread)).toBeCloseTo(225 / 625, 12);
  expect(ownShare([0, 9 * year], [5 * year], spread)).toBe(0);
});

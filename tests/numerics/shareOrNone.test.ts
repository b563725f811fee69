import { describe, expect, test } from 'vitest';
import { shareOrNone } from '../../core/numerics/shareOrNone.ts';

/** Cases that tell their part for sure, up to a factor e^`sure`. */
const told = (yes: number, no: number, sure = 60) =>
  Float64Array.from({ length: yes + no }, (_, i) => (i < yes ? Math.exp(sure) : 0));

function logFactorial(n: number): number {
  let sum = 0;
  for (let i = 2; i <= n; i++) sum += Math.log(i);
  return sum;
}

describe('a share that may be nothing', () => {
  // Laplace (1774): after k of n, uniform beforehand, the next one is to be expected with (k + 1)/(n + 2).
  test.each([
    [1, 1],
    [3, 12],
    [40, 360],
    [2, 9998],
  ])('follows the rule of succession: %i yes, %i no', (yes, no) => {
    const { chance, share } = shareOrNone(told(yes, no), { chance: 0.5, against: 1 });
    expect(share / ((yes + 1) / (yes + no + 2))).toBeCloseTo(1, 4);
    expect(chance).toBeCloseTo(1, 9);
  });

  // Beta–binomial in closed form: ∫ against (1 − p)^(against − 1 + n) dp = against ÷ (against + n).
  test.each([1, 10, 400])('that nothing shows in %i cases: against ÷ (against + n) for some, 1 for none', (n) => {
    const found = shareOrNone(told(0, n), { chance: 0.5, against: 10 });
    const some = 10 / (10 + n);
    expect(found.chance).toBeCloseTo(some / (1 + some), 4);
    expect(found.share).toBeCloseTo(1 / (11 + n), 4);
  });

  test('weighs k of n cases by their likelihood ratio as the beta–binomial does', () => {
    const [k, n, against, ratio] = [2, 50, 10, 20];
    const mixed = Float64Array.from({ length: n }, (_, i) => (i < k ? ratio : 0));
    // The two may be of the part or of the others: Σ over how many of them are.
    let some = 0;
    for (let j = 0; j <= k; j++) {
      const logBeta = logFactorial(j) + logFactorial(against - 1 + n - j) - logFactorial(against + n);
      some += (j === 1 ? 2 : 1) * ratio ** j * against * Math.exp(logBeta);
    }
    expect(shareOrNone(mixed, { chance: 0.5, against }).chance).toBeCloseTo(some / (1 + some), 4);
  });

  test('is as it was beforehand where no case tells anything, or there is none', () => {
    for (const ratio of [new Float64Array(0), new Float64Array(300).fill(1)]) {
      const found = shareOrNone(ratio, { chance: 0.3, against: 9 });
      expect(found.chance).toBeCloseTo(0.3, 4);
      expect(found.share).toBeCloseTo(0.1, 4);
    }
  });
});

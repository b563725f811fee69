import { describe, expect, test } from 'vitest';
import { concordance } from '../../core/numerics/concordance.ts';
import { maximise } from '../../core/numerics/newton.ts';

describe('concordance', () => {
  test('of five patients worked by hand is 7 of 8 pairs (definition: Harrell et al., JAMA 247 (1982) 2543)', () => {
    // Deaths at 1, 2, 4; cut off at 3 and 5. Pairs: 4 with the first, 3 with the second, 1 with the third.
    const found = concordance([9, 5, 6, 4, 1], [0, 0, 0, 0, 0], [1, 2, 3, 4, 5], [1, 1, 0, 1, 0]);
    expect(found).toEqual({ known: true, share: 7 / 8, pairs: 8 });
  });

  test('counts equal scores as half, and leaves out who came under observation later', () => {
    expect(concordance([1, 1], [0, 0], [1, 2], [1, 0])).toEqual({ known: true, share: 0.5, pairs: 1 });
    expect(concordance([1, 0], [0, 1], [1, 2], [1, 0])).toEqual({ known: false, because: 'no pair to compare' });
  });
});

describe('the climb to a maximum', () => {
  test('finds the top of −(x − 2)⁴ − y² + x y from far away, gradient nought there', () => {
    const top = maximise(
      ([x = 0, y = 0], gradient, hessian) => {
        gradient[0] = -4 * (x - 2) ** 3 + y;
        gradient[1] = -2 * y + x;
        hessian.set([-12 * (x - 2) ** 2, 1, 1, -2]);
        return -((x - 2) ** 4) - y * y + x * y;
      },
      [40, -30],
    );
    if (!top.known) throw new Error(top.because);
    const [x, y] = top.theta;
    expect(-4 * (x! - 2) ** 3 + y!).toBeCloseTo(0, 5);
    expect(y).toBeCloseTo(x! / 2, 6);
  });

  test('says when there is no top, and when the start has no value', () => {
    const rising = maximise(
      ([x = 0], gradient, hessian) => {
        gradient[0] = Math.exp(-x);
        hessian[0] = -Math.exp(-x);
        return -Math.exp(-x);
      },
      [0],
    );
    expect(rising.known).toBe(false);
    expect(maximise(() => Number.NaN, [0])).toEqual({
      known: false,
      because: 'the function has no value at the start',
    });
  });
});

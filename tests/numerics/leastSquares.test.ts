import { describe, expect, test } from 'vitest';
import { choleskyFactor, choleskyInverse, choleskySolve } from '../../core/numerics/cholesky.ts';
import { leastSquares } from '../../core/numerics/leastSquares.ts';

describe('least squares', () => {
  test('a weight of two is the same as writing the observation twice, and of nought as leaving it out', () => {
    const weighted = leastSquares([1, 0, 1, 1, 1, 2, 1, 3], 2, [1, 3, 4, 90], [1, 2, 1, 0]);
    const written = leastSquares([1, 0, 1, 1, 1, 1, 1, 2], 2, [1, 3, 3, 4]);
    if (!weighted.known || !written.known) throw new Error('both have a line');
    expect(weighted.coefficients[0]).toBeCloseTo(written.coefficients[0]!, 13);
    expect(weighted.coefficients[1]).toBeCloseTo(written.coefficients[1]!, 13);
    expect(weighted.degreesOfFreedom).toBe(1);
  });

  test('says when columns depend on each other, and when there are too few observations', () => {
    expect(leastSquares([1, 2, 1, 2, 1, 2], 2, [1, 2, 3])).toEqual({
      known: false,
      because: 'the columns depend on each other',
    });
    expect(leastSquares([1, 2], 2, [1])).toEqual({ known: false, because: 'fewer observations than coefficients' });
  });

  test('leaves errors as not a number when the line goes through every point', () => {
    const fit = leastSquares([1, 0, 1, 1], 2, [1, 3]);
    expect(fit.known && [...fit.coefficients]).toEqual([expect.closeTo(1, 14), expect.closeTo(2, 14)]);
    expect(fit.known && fit.residualVariance).toBeNaN();
  });
});

describe('Cholesky', () => {
  const a = Float64Array.of(4, 12, -16, 12, 37, -43, -16, -43, 98);

  test('factors 4 12 −16 / 12 37 −43 / −16 −43 98 into 2, 6 1, −8 5 3 (the common textbook example)', () => {
    const lower = new Float64Array(9);
    expect(choleskyFactor(a, 3, lower)).toBe(true);
    expect([...lower]).toEqual([2, 0, 0, 6, 1, 0, -8, 5, 3]);
  });

  test('solves and inverts', () => {
    const lower = new Float64Array(9);
    choleskyFactor(a, 3, lower);
    const b = Float64Array.of(-20, -43, 192);
    choleskySolve(lower, 3, b);
    [1, 2, 3].forEach((x, i) => {
      expect(b[i]).toBeCloseTo(x, 9);
    });
    const inverse = choleskyInverse(lower, 3);
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) {
        let sum = 0;
        for (let k = 0; k < 3; k++) sum += a[i * 3 + k]! * inverse[k * 3 + j]!;
        expect(sum).toBeCloseTo(i === j ? 1 : 0, 9);
      }
    }
  });

  test('refuses a matrix that is not positive definite', () => {
    expect(choleskyFactor(Float64Array.of(1, 2, 2, 1), 2, new Float64Array(4))).toBe(false);
  });
});

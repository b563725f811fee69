import { choleskyFactor, choleskySolve } from './cholesky.ts';

export interface SmallSolution {
  readonly coefficients: Float64Array;
  /** Residual sum of squares over the degrees of freedom left. */
  readonly residualVariance: number;
}

/** Least squares that takes its rows one by one and keeps only their sums. */
export interface SmallLeastSquares {
  /** One row; its first `size` entries count. */
  add(row: ArrayLike<number>, y: number): void;
  count(): number;
  /** Undefined where the columns cannot be told apart or no degree of freedom is left. */
  solve(): SmallSolution | undefined;
}

export function leastSquaresSmall(size: number): SmallLeastSquares {
  const normal = new Float64Array(size * size);
  const right = new Float64Array(size);
  let squares = 0;
  let count = 0;
  return {
    add(row, y) {
      count++;
      squares += y * y;
      for (let i = 0; i < size; i++) {
        right[i]! += row[i]! * y;
        for (let j = 0; j <= i; j++) normal[i * size + j]! += row[i]! * row[j]!;
      }
    },
    count: () => count,
    solve() {
      if (count <= size) return undefined;
      const factor = new Float64Array(size * size);
      if (!choleskyFactor(normal, size, factor)) return undefined;
      const coefficients = right.slice();
      choleskySolve(factor, size, coefficients);
      let residual = squares;
      for (let i = 0; i < size; i++) residual -= coefficients[i]! * right[i]!;
      return { coefficients, residualVariance: Math.max(0, residual) / (count - size) };
    },
  };
}

export type LeastSquares =
  | {
      readonly known: true;
      readonly coefficients: Float64Array;
      /** Covariance of the coefficients, row by row, scaled by the residual variance; NaN where no degree is left. */
      readonly covariance: Float64Array;
      /** Weighted sum of squared residuals over the degrees of freedom; NaN where none is left. */
      readonly residualVariance: number;
      readonly degreesOfFreedom: number;
    }
  | { readonly known: false; readonly because: string };

/** A column whose length falls under this share of itself once the earlier ones are taken out depends on them. */
const dependence = 1e-11;

/**
 * Linear regression by Householder reflections, which keep the digits that the normal equations lose.
 * `design` holds a row an observation, `columns` numbers a row (write the ones of an intercept yourself).
 * Weights multiply squared residuals: an inverse variance up to a factor. Observations of weight 0 do not count.
 * Unknown when the columns depend on each other or outnumber the observations.
 * Source: G. H. Golub and C. F. Van Loan, Matrix Computations (4th ed. 2013) §5.3.
 */
export function leastSquares(
  design: ArrayLike<number>,
  columns: number,
  y: ArrayLike<number>,
  weights?: ArrayLike<number>,
): LeastSquares {
  const rows = y.length;
  const a = new Float64Array(rows * columns);
  const b = new Float64Array(rows);
  let counted = 0;
  for (let i = 0; i < rows; i++) {
    const root = weights ? Math.sqrt(weights[i]!) : 1;
    if (root > 0) counted++;
    b[i] = root * y[i]!;
    for (let j = 0; j < columns; j++) a[i * columns + j] = root * design[i * columns + j]!;
  }
  if (counted < columns) return { known: false, because: 'fewer observations than coefficients' };
  if (!triangulate(a, b, rows, columns)) return { known: false, because: 'the columns depend on each other' };

  const coefficients = new Float64Array(columns);
  for (let j = columns - 1; j >= 0; j--) {
    let sum = b[j]!;
    for (let k = j + 1; k < columns; k++) sum -= a[j * columns + k]! * coefficients[k]!;
    coefficients[j] = sum / a[j * columns + j]!;
  }
  let left = 0;
  for (let i = columns; i < rows; i++) left += b[i]! * b[i]!;
  const degreesOfFreedom = counted - columns;
  const residualVariance = degreesOfFreedom > 0 ? left / degreesOfFreedom : Number.NaN;
  return {
    known: true,
    coefficients,
    covariance: spread(a, columns, residualVariance),
    residualVariance,
    degreesOfFreedom,
  };
}

/** Turns `a` into its upper triangle and `b` with it. */
function triangulate(a: Float64Array, b: Float64Array, rows: number, columns: number): boolean {
  for (let j = 0; j < columns; j++) {
    let whole = 0;
    for (let i = 0; i < rows; i++) whole += a[i * columns + j]! ** 2;
    let rest = 0;
    for (let i = j; i < rows; i++) rest += a[i * columns + j]! ** 2;
    if (!(rest > 0 && Math.sqrt(rest) > dependence * Math.sqrt(whole))) return false;
    const diagonal = a[j * columns + j]!;
    const turned = diagonal > 0 ? -Math.sqrt(rest) : Math.sqrt(rest);
    const head = diagonal - turned;
    // The reflection's vector is (head, the column below the diagonal); 2 / |v|² = −1 / (turned · head).
    const scale = -1 / (turned * head);
    const reflect = (column: Float64Array, stride: number, at: number): void => {
      let dot = head * column[j * stride + at]!;
      for (let i = j + 1; i < rows; i++) dot += a[i * columns + j]! * column[i * stride + at]!;
      dot *= scale;
      column[j * stride + at]! -= dot * head;
      for (let i = j + 1; i < rows; i++) column[i * stride + at]! -= dot * a[i * columns + j]!;
    };
    for (let k = j + 1; k < columns; k++) reflect(a, columns, k);
    reflect(b, 1, 0);
    a[j * columns + j] = turned;
  }
  return true;
}

/** (R'R)⁻¹ times the variance, from the upper triangle R. */
function spread(upper: Float64Array, size: number, variance: number): Float64Array {
  const inverse = new Float64Array(size * size);
  for (let j = 0; j < size; j++) {
    inverse[j * size + j] = 1 / upper[j * size + j]!;
    for (let i = j - 1; i >= 0; i--) {
      let sum = 0;
      for (let k = i + 1; k <= j; k++) sum += upper[i * size + k]! * inverse[k * size + j]!;
      inverse[i * size + j] = -sum / upper[i * size + i]!;
    }
  }
  const covariance = new Float64Array(size * size);
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) {
      let sum = 0;
      for (let k = Math.max(i, j); k < size; k++) sum += inverse[i * size + k]! * inverse[j * size + k]!;
      covariance[i * size + j] = variance * sum;
    }
  }
  return covariance;
}

/**
 * The lower triangle L with L L' = A of a symmetric positive definite matrix (row by row, only its lower triangle is
 * read), written into `lower`, which may be `matrix` itself. False, with `lower` half written, when A is not
 * positive definite.
 */
export function choleskyFactor(matrix: Float64Array, size: number, lower: Float64Array): boolean {
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * size + j]!;
      for (let k = 0; k < j; k++) sum -= lower[i * size + k]! * lower[j * size + k]!;
      if (i > j) lower[i * size + j] = sum / lower[j * size + j]!;
      else if (sum > 0) lower[i * size + i] = Math.sqrt(sum);
      else return false;
    }
  }
  return true;
}

/** Solves L L' x = b in place, L from `choleskyFactor`. */
export function choleskySolve(lower: Float64Array, size: number, b: Float64Array): void {
  for (let i = 0; i < size; i++) {
    let sum = b[i]!;
    for (let k = 0; k < i; k++) sum -= lower[i * size + k]! * b[k]!;
    b[i] = sum / lower[i * size + i]!;
  }
  for (let i = size - 1; i >= 0; i--) {
    let sum = b[i]!;
    for (let k = i + 1; k < size; k++) sum -= lower[k * size + i]! * b[k]!;
    b[i] = sum / lower[i * size + i]!;
  }
}

/** The inverse of L L', full and symmetric, row by row. */
export function choleskyInverse(lower: Float64Array, size: number): Float64Array {
  const inverse = new Float64Array(size * size);
  const column = new Float64Array(size);
  for (let j = 0; j < size; j++) {
    column.fill(0);
    column[j] = 1;
    choleskySolve(lower, size, column);
    for (let i = 0; i < size; i++) inverse[i * size + j] = column[i]!;
  }
  return inverse;
}

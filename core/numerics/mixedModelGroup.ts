import { choleskyFactor } from './cholesky.ts';

/** Most step indicators that one group may carry. */
export const mostSteps = 4;
/** Level, slope and the steps. */
export const mostRandom = 2 + mostSteps;

/**
 * Rows of a linear mixed model, group by group:
 * response = x'θ + u + v·time + Σ d_k·[step k] + ε, with (u, v) ~ N(0, G), d_k ~ N(0, δ²) and
 * ε ~ N(0, σ² + extraVariance).
 */
export interface MixedModelRows {
  readonly groupCount: number;
  /** Rows of group g are rowStart[g] … rowStart[g + 1] − 1. */
  readonly rowStart: Int32Array;
  readonly response: Float64Array;
  readonly time: Float64Array;
  /** Known variance of each row on top of σ². */
  readonly extraVariance: Float64Array;
  /** How many steps each group carries (at most `mostSteps`). */
  readonly stepCount: Uint8Array;
  /** Bit k set: the row carries the group's step k. */
  readonly stepBits: Uint8Array;
  /** Number of fixed effects in the whole model. */
  readonly fixedCount: number;
  /** The fixed effects in which group g has values: columnIndex[columnStart[g]] … */
  readonly columnStart: Int32Array;
  readonly columnIndex: Int32Array;
  /** Row r of group g has its values from valueStart[g] + (r − rowStart[g])·columns on. */
  readonly valueStart: Int32Array;
  readonly values: Float64Array;
}

/** Variances of the model. */
export interface VarianceComponents {
  readonly levelVariance: number;
  readonly covariance: number;
  readonly slopeVariance: number;
  readonly stepVariance: number;
  readonly errorVariance: number;
}

/** Room for one group at a time; made once, so that nothing is allocated in the passes over the rows. */
export interface GroupScratch {
  /** Random effects and fixed effects of the group at hand. */
  random: number;
  fixed: number;
  /** A = Σ W z z'. */
  readonly a: Float64Array;
  /** S = (A + G⁻¹)⁻¹, the conditional covariance of the random effects. */
  readonly s: Float64Array;
  /** B = Σ W z x', `random` rows of `fixed`. */
  readonly b: Float64Array;
  /** S B, the same shape. */
  readonly sb: Float64Array;
  /** c = Σ W z y. */
  readonly c: Float64Array;
  /** log |A + G⁻¹|. */
  logDeterminant: number;
  /** Room for the group's share of the normal equations: `fixed` × `fixed`, and its right side. */
  readonly local: Float64Array;
  readonly localRight: Float64Array;
  readonly z: Float64Array;
  readonly factor: Float64Array;
  readonly work: Float64Array;
}

export function groupScratch(mostFixed: number): GroupScratch {
  const dd = mostRandom * mostRandom;
  return {
    random: 0,
    fixed: 0,
    a: new Float64Array(dd),
    s: new Float64Array(dd),
    b: new Float64Array(mostRandom * mostFixed),
    sb: new Float64Array(mostRandom * mostFixed),
    c: new Float64Array(mostRandom),
    logDeterminant: 0,
    local: new Float64Array(mostFixed * mostFixed),
    localRight: new Float64Array(mostFixed),
    z: new Float64Array(mostRandom),
    factor: new Float64Array(dd),
    work: new Float64Array(Math.max(mostRandom, mostFixed) * 2),
  };
}

/** Writes z = (1, time, steps) of a row. */
export function writeRandomRow(rows: MixedModelRows, row: number, random: number, z: Float64Array): void {
  z[0] = 1;
  z[1] = rows.time[row]!;
  const bits = rows.stepBits[row]!;
  for (let k = 2; k < random; k++) z[k] = (bits >> (k - 2)) & 1;
}

/** The inverse of a small positive definite matrix into `inverse`; returns log |matrix|, NaN when not positive definite. */
export function invertSmall(
  matrix: Float64Array,
  size: number,
  inverse: Float64Array,
  factor: Float64Array,
  work: Float64Array,
): number {
  if (size === 2) {
    const p = matrix[0]!;
    const q = matrix[1]!;
    const r = matrix[3]!;
    const determinant = p * r - q * q;
    if (!(determinant > 0 && p > 0)) return Number.NaN;
    inverse[0] = r / determinant;
    inverse[1] = -q / determinant;
    inverse[2] = inverse[1]!;
    inverse[3] = p / determinant;
    return Math.log(determinant);
  }
  if (!choleskyFactor(matrix, size, factor)) return Number.NaN;
  let root = 1;
  for (let i = 0; i < size; i++) root *= factor[i * size + i]!;
  for (let j = 0; j < size; j++) {
    for (let i = 0; i < size; i++) {
      let sum = i === j ? 1 : 0;
      for (let k = j; k < i; k++) sum -= factor[i * size + k]! * work[k]!;
      work[i] = i < j ? 0 : sum / factor[i * size + i]!;
    }
    for (let i = size - 1; i >= 0; i--) {
      let sum = work[i]!;
      for (let k = i + 1; k < size; k++) sum -= factor[k * size + i]! * work[k]!;
      work[i] = sum / factor[i * size + i]!;
      inverse[i * size + j] = work[i]!;
    }
  }
  return 2 * Math.log(root);
}

/**
 * Sums of one group under the given variances: A, S, B, S B and c of the scratch. Returns −Σ log W, the part of the
 * error terms in log |V|.
 */
export function assembleGroup(rows: MixedModelRows, g: number, v: VarianceComponents, scratch: GroupScratch): number {
  const first = rows.rowStart[g]!;
  const end = rows.rowStart[g + 1]!;
  const d = 2 + rows.stepCount[g]!;
  const p = rows.columnStart[g + 1]! - rows.columnStart[g]!;
  const { a, b, c, z } = scratch;
  scratch.random = d;
  scratch.fixed = p;
  a.fill(0, 0, d * d);
  b.fill(0, 0, d * p);
  c.fill(0, 0, d);
  let logError = 0;
  // Variances are multiplied up and their logarithm taken now and then: logarithms are dear.
  let variances = 1;
  const { values } = rows;
  let value = rows.valueStart[g]!;
  for (let row = first; row < end; row++) {
    const variance = v.errorVariance + rows.extraVariance[row]!;
    const w = 1 / variance;
    const y = rows.response[row]!;
    variances *= variance;
    if (!(variances > 1e-100 && variances < 1e100)) {
      logError += Math.log(variances);
      variances = 1;
    }
    if (d === 2) {
      const wt = w * rows.time[row]!;
      c[0]! += w * y;
      c[1]! += wt * y;
      a[0]! += w;
      a[2]! += wt;
      a[3]! += wt * rows.time[row]!;
      for (let j = 0; j < p; j++) {
        const x = values[value + j]!;
        b[j]! += w * x;
        b[p + j]! += wt * x;
      }
    } else {
      writeRandomRow(rows, row, d, z);
      for (let i = 0; i < d; i++) {
        const wz = w * z[i]!;
        if (wz === 0) continue;
        c[i]! += wz * y;
        for (let j = 0; j <= i; j++) a[i * d + j]! += wz * z[j]!;
        const at = i * p;
        for (let j = 0; j < p; j++) b[at + j]! += wz * values[value + j]!;
      }
    }
    value += p;
  }
  for (let i = 0; i < d; i++) for (let j = 0; j < i; j++) a[j * d + i] = a[i * d + j]!;
  addPrior(a, d, v, scratch.factor);
  // `invertSmall` reads the sum of A and G⁻¹ from `factor` only where the size is 2; otherwise it may overwrite it.
  scratch.logDeterminant = invertSmall(scratch.factor, d, scratch.s, scratch.factor, scratch.work);
  multiply(scratch.s, b, d, d, p, scratch.sb);
  return logError + Math.log(variances);
}

/** sum = A + G⁻¹. */
function addPrior(a: Float64Array, d: number, v: VarianceComponents, sum: Float64Array): void {
  const determinant = v.levelVariance * v.slopeVariance - v.covariance * v.covariance;
  for (let i = 0; i < d * d; i++) sum[i] = a[i]!;
  sum[0]! += v.slopeVariance / determinant;
  sum[1]! -= v.covariance / determinant;
  sum[d]! -= v.covariance / determinant;
  sum[d + 1]! += v.levelVariance / determinant;
  for (let k = 2; k < d; k++) sum[k * d + k]! += 1 / v.stepVariance;
}

/** product = left (n × m) times right (m × p), row by row. */
export function multiply(
  left: Float64Array,
  right: Float64Array,
  n: number,
  m: number,
  p: number,
  product: Float64Array,
): void {
  if (n === 2 && m === 2) {
    const s0 = left[0]!;
    const s1 = left[1]!;
    const s2 = left[2]!;
    const s3 = left[3]!;
    for (let j = 0; j < p; j++) {
      const above = right[j]!;
      const below = right[p + j]!;
      product[j] = s0 * above + s1 * below;
      product[p + j] = s2 * above + s3 * below;
    }
    return;
  }
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < p; j++) {
      let sum = 0;
      for (let k = 0; k < m; k++) sum += left[i * m + k]! * right[k * p + j]!;
      product[i * p + j] = sum;
    }
  }
}

/** log |G| of a group with its steps. */
export function logPriorDeterminant(random: number, v: VarianceComponents): number {
  const determinant = v.levelVariance * v.slopeVariance - v.covariance * v.covariance;
  return Math.log(determinant) + (random - 2) * Math.log(v.stepVariance);
}

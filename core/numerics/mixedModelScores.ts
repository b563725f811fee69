import {
  assembleGroup,
  type GroupScratch,
  type MixedModelRows,
  multiply,
  type VarianceComponents,
  writeRandomRow,
} from './mixedModelGroup.ts';

/** Level variance, covariance, slope variance, step variance, error variance: the order of scores and information. */
export const varianceCount = 5;

/** First derivatives of the log-likelihood by the variances, and their expected information. */
export interface VarianceScores {
  readonly score: Float64Array;
  /** varianceCount × varianceCount. */
  readonly information: Float64Array;
}

/** Room of its own for the scores, beside the group's. */
interface ScoreScratch {
  readonly m: Float64Array;
  readonly q: Float64Array;
  readonly u: Float64Array;
  readonly n: Float64Array;
  readonly nc: Float64Array;
  readonly localTheta: Float64Array;
  readonly local: Float64Array;
  readonly k: Float64Array;
  readonly a2: Float64Array;
  readonly a3: Float64Array;
  readonly left: Float64Array;
  readonly right: Float64Array;
  readonly outer: Float64Array;
}

export function scoreScratch(mostFixed: number): ScoreScratch {
  const dd = 36;
  const dp = 6 * mostFixed;
  return {
    m: new Float64Array(dd),
    q: new Float64Array(6),
    u: new Float64Array(6),
    n: new Float64Array(dp),
    nc: new Float64Array(dp),
    localTheta: new Float64Array(mostFixed),
    local: new Float64Array(mostFixed * mostFixed),
    k: new Float64Array(mostFixed),
    a2: new Float64Array(dd),
    a3: new Float64Array(dd),
    left: new Float64Array(dd),
    right: new Float64Array(dd),
    outer: new Float64Array(dd),
  };
}

/**
 * Scores ½ Σ tr(E_a (q q' − M + N C N')) with q = Z'V⁻¹(y − Xθ), M = Z'V⁻¹Z, N = Z'V⁻¹X and C the covariance of the
 * fixed effects (left out for maximum likelihood); information ½ Σ tr(E_a M E_b M). The error variance has
 * E = I on the rows.
 */
export function varianceScores(
  rows: MixedModelRows,
  v: VarianceComponents,
  theta: Float64Array,
  covariance: Float64Array,
  restricted: boolean,
  stride: number,
  scratch: GroupScratch,
  room: ScoreScratch,
): VarianceScores {
  const score = new Float64Array(varianceCount);
  const information = new Float64Array(varianceCount * varianceCount);
  for (let g = 0; g < rows.groupCount; g += stride) {
    if (rows.rowStart[g] === rows.rowStart[g + 1]) continue;
    assembleGroup(rows, g, v, scratch);
    addGroup(rows, g, v, theta, covariance, restricted, scratch, room, score, information);
  }
  for (let i = 0; i < varianceCount; i++) {
    score[i]! *= 0.5;
    for (let j = 0; j <= i; j++) {
      information[i * varianceCount + j]! *= 0.5;
      information[j * varianceCount + i] = information[i * varianceCount + j]!;
    }
  }
  return { score, information };
}

function addGroup(
  rows: MixedModelRows,
  g: number,
  v: VarianceComponents,
  theta: Float64Array,
  covariance: Float64Array,
  restricted: boolean,
  scratch: GroupScratch,
  room: ScoreScratch,
  score: Float64Array,
  information: Float64Array,
): void {
  const { random: d, fixed: p, a, s, b, sb, c, z } = scratch;
  const { values } = rows;
  const { m, q, u, n, nc, localTheta, local, k, a2, a3, left, right, outer } = room;
  const column = rows.columnStart[g]!;
  const size = rows.fixedCount;
  for (let j = 0; j < p; j++) localTheta[j] = theta[rows.columnIndex[column + j]!]!;
  for (let i = 0; i < d; i++) {
    let sum = c[i]!;
    for (let j = 0; j < p; j++) sum -= b[i * p + j]! * localTheta[j]!;
    q[i] = sum;
  }
  for (let i = 0; i < d; i++) {
    let sum = 0;
    for (let j = 0; j < d; j++) sum += s[i * d + j]! * q[j]!;
    u[i] = sum;
  }
  for (let i = 0; i < d; i++) for (let j = 0; j < d; j++) q[i]! -= a[i * d + j]! * u[j]!;
  // M = A − A S A.
  multiply(a, s, d, d, d, left);
  multiply(left, a, d, d, d, m);
  for (let i = 0; i < d * d; i++) m[i] = a[i]! - m[i]!;
  if (restricted) {
    for (let i = 0; i < p; i++) {
      const at = rows.columnIndex[column + i]! * size;
      for (let j = 0; j < p; j++) local[i * p + j] = covariance[at + rows.columnIndex[column + j]!]!;
    }
    for (let i = 0; i < d; i++) {
      for (let j = 0; j < p; j++) {
        let sum = b[i * p + j]!;
        for (let l = 0; l < d; l++) sum -= a[i * d + l]! * sb[l * p + j]!;
        n[i * p + j] = sum;
      }
      for (let j = 0; j < p; j++) {
        let sum = 0;
        for (let l = 0; l < p; l++) sum += n[i * p + l]! * local[l * p + j]!;
        nc[i * p + j] = sum;
      }
    }
  }
  for (let i = 0; i < d; i++) {
    for (let j = 0; j < d; j++) {
      let sum = q[i]! * q[j]! - m[i * d + j]!;
      if (restricted) for (let l = 0; l < p; l++) sum += nc[i * p + l]! * n[j * p + l]!;
      outer[i * d + j] = sum;
    }
  }
  score[0]! += outer[0]!;
  score[1]! += 2 * outer[1]!;
  score[2]! += outer[d + 1]!;
  for (let i = 2; i < d; i++) score[3]! += outer[i * d + i]!;

  // The error variance: rows of V⁻¹(y − Xθ), V⁻¹ and V⁻¹X.
  a2.fill(0, 0, d * d);
  a3.fill(0, 0, d * d);
  let squares = 0;
  let value = rows.valueStart[g]!;
  for (let row = rows.rowStart[g]!; row < rows.rowStart[g + 1]!; row++) {
    const w = 1 / (v.errorVariance + rows.extraVariance[row]!);
    writeRandomRow(rows, row, d, z);
    let residual = rows.response[row]!;
    for (let j = 0; j < p; j++) residual -= values[value + j]! * localTheta[j]!;
    let quadratic = 0;
    if (d === 2) {
      const time = z[1]!;
      const w2 = w * w;
      const w2t = w2 * time;
      residual -= u[0]! + time * u[1]!;
      quadratic = s[0]! + time * (s[1]! + s[2]! + time * s[3]!);
      a2[0]! += w2;
      a2[1]! += w2t;
      a2[3]! += w2t * time;
      a3[0]! += w2 * w;
      a3[1]! += w2t * w;
      a3[3]! += w2t * time * w;
    } else {
      for (let i = 0; i < d; i++) {
        const zi = z[i]!;
        if (zi === 0) continue;
        residual -= zi * u[i]!;
        const w2 = w * w * zi;
        for (let j = 0; j < d; j++) {
          const zz = z[j]!;
          quadratic += zi * zz * s[i * d + j]!;
          a2[i * d + j]! += w2 * zz;
          a3[i * d + j]! += w2 * w * zz;
        }
      }
    }
    const e = w * residual;
    let sum = e * e - w + w * w * quadratic;
    squares += w * w;
    if (restricted) {
      for (let j = 0; j < p; j++) {
        let kj = values[value + j]!;
        if (d === 2) kj -= sb[j]! + sb[p + j]! * z[1]!;
        else for (let i = 0; i < d; i++) kj -= sb[i * p + j]! * z[i]!;
        k[j] = w * kj;
      }
      for (let i = 0; i < p; i++) {
        let half = 0.5 * k[i]! * local[i * p + i]!;
        for (let j = 0; j < i; j++) half += k[j]! * local[i * p + j]!;
        sum += 2 * k[i]! * half;
      }
    }
    score[4]! += sum;
    value += p;
  }

  const m00 = m[0]!;
  const m01 = m[1]!;
  const m11 = m[d + 1]!;
  information[0]! += m00 * m00;
  information[5]! += 2 * m00 * m01;
  information[6]! += 2 * (m00 * m11 + m01 * m01);
  information[10]! += m01 * m01;
  information[11]! += 2 * m01 * m11;
  information[12]! += m11 * m11;
  for (let i = 2; i < d; i++) {
    const mi0 = m[i * d]!;
    const mi1 = m[i * d + 1]!;
    information[15]! += mi0 * mi0;
    information[16]! += 2 * mi0 * mi1;
    information[17]! += mi1 * mi1;
    for (let j = 2; j < d; j++) information[18]! += m[i * d + j]! * m[i * d + j]!;
  }
  if (d === 2) {
    a2[2] = a2[1]!;
    a3[2] = a3[1]!;
  }
  // Z'V⁻²Z = (I − A S) A₂ (I − S A); tr V⁻² = ΣW² − 2 tr(S A₃) + tr(S A₂ S A₂).
  multiply(s, a2, d, d, d, right);
  let trace = squares;
  for (let i = 0; i < d; i++) {
    for (let j = 0; j < d; j++) {
      trace += right[i * d + j]! * right[j * d + i]! - 2 * s[i * d + j]! * a3[j * d + i]!;
    }
  }
  information[24]! += trace;
  // `left` still holds A S.
  for (let i = 0; i < d * d; i++) outer[i] = -left[i]!;
  for (let i = 0; i < d; i++) outer[i * d + i]! += 1;
  multiply(outer, a2, d, d, d, right);
  for (let i = 0; i < d; i++) {
    for (let j = 0; j < d; j++) {
      let sum = 0;
      for (let l = 0; l < d; l++) sum += right[i * d + l]! * outer[j * d + l]!;
      m[i * d + j] = sum;
    }
  }
  information[20]! += m[0]!;
  information[21]! += 2 * m[1]!;
  information[22]! += m[d + 1]!;
  for (let i = 2; i < d; i++) information[23]! += m[i * d + i]!;
}

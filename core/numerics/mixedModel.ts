import { choleskyFactor, choleskyInverse, choleskySolve } from './cholesky.ts';
import {
  assembleGroup,
  type GroupScratch,
  groupScratch,
  logPriorDeterminant,
  type MixedModelRows,
  type VarianceComponents,
} from './mixedModelGroup.ts';
import { scoreScratch, type VarianceScores, varianceCount, varianceScores } from './mixedModelScores.ts';

/** A normal prior of the fixed effects. */
export interface FixedPrior {
  readonly mean: Float64Array;
  /** Inverse covariance, fixedCount × fixedCount; zeros where nothing is known beforehand. */
  readonly precision: Float64Array;
}

/** What the variances are taken to be before the data, each as if seen in `count` cases; covariance: none. */
export interface VariancePrior {
  readonly level: { readonly count: number; readonly value: number };
  readonly slope: { readonly count: number; readonly value: number };
  readonly step: { readonly count: number; readonly value: number };
  readonly error: { readonly count: number; readonly value: number };
  readonly covarianceCount: number;
}

export interface MixedModelOptions {
  /** Restricted likelihood (true) or maximum likelihood. */
  readonly restricted: boolean;
  readonly start: VarianceComponents;
  readonly prior?: FixedPrior;
  readonly variancePrior?: VariancePrior;
  readonly mostPasses: number;
  /** Stop when no variance changes by more than this share of itself. */
  readonly tolerance: number;
  /** Use every n-th group only: for the first, rough passes over a very large model. */
  readonly stride?: number;
}

export interface MixedModelFit {
  readonly variances: VarianceComponents;
  /** Standard errors in the order of `varianceCount`: level, covariance, slope, step, error. */
  readonly varianceErrors: Float64Array;
  readonly fixed: Float64Array;
  readonly fixedCovariance: Float64Array;
  /** −2 log likelihood (restricted where asked for), without the terms of the prior. */
  readonly criterion: number;
  readonly passes: number;
  readonly converged: boolean;
}

/** Fits a linear mixed model by generalised least squares for θ and Fisher scoring for the variances. Linear in the rows. */
export function fitMixedModel(rows: MixedModelRows, options: MixedModelOptions): MixedModelFit {
  const mostFixed = mostColumns(rows);
  const scratch = groupScratch(mostFixed);
  const room = scoreScratch(mostFixed);
  const stride = options.stride ?? 1;
  const hasSteps = rows.stepCount.some((count) => count > 0);
  let variances = options.start;
  let fixed = solveFixed(rows, variances, options, stride, scratch);
  let passes = 0;
  let converged = false;
  let scores: VarianceScores = { score: new Float64Array(0), information: new Float64Array(0) };
  while (passes < options.mostPasses) {
    passes++;
    scores = varianceScores(rows, variances, fixed.theta, fixed.covariance, options.restricted, stride, scratch, room);
    if (options.variancePrior) addVariancePrior(scores, variances, options.variancePrior);
    const next = step(variances, scores.score, scores.information, hasSteps);
    const change = largestChange(variances, next);
    variances = next;
    fixed = solveFixed(rows, variances, options, stride, scratch);
    if (change < options.tolerance) {
      converged = true;
      break;
    }
  }
  return {
    variances,
    varianceErrors: standardErrors(scores.information, hasSteps),
    fixed: fixed.theta,
    fixedCovariance: fixed.covariance,
    criterion: fixed.criterion,
    passes,
    converged,
  };
}

export function mostColumns(rows: MixedModelRows): number {
  let most = 1;
  for (let g = 0; g < rows.groupCount; g++) most = Math.max(most, rows.columnStart[g + 1]! - rows.columnStart[g]!);
  return most;
}

interface FixedSolution {
  readonly theta: Float64Array;
  readonly covariance: Float64Array;
  readonly criterion: number;
}

export interface RandomEffects {
  /** Level and slope of group g at [2 g] and [2 g + 1]; 0 where it has no rows. */
  readonly mean: Float64Array;
  /** Conditional variance of the level, covariance, and variance of the slope at [3 g] …, given θ and the variances. */
  readonly covariance: Float64Array;
}

/** The groups' own levels and slopes given the fit (best linear unbiased predictions). */
export function randomEffects(rows: MixedModelRows, fit: MixedModelFit): RandomEffects {
  const scratch = groupScratch(mostColumns(rows));
  const mean = new Float64Array(2 * rows.groupCount);
  const covariance = new Float64Array(3 * rows.groupCount);
  for (let g = 0; g < rows.groupCount; g++) {
    assembleGroup(rows, g, fit.variances, scratch);
    const { random: d, fixed: p, s, sb, c } = scratch;
    for (let i = 0; i < 2; i++) {
      let sum = 0;
      for (let j = 0; j < d; j++) sum += s[i * d + j]! * c[j]!;
      for (let j = 0; j < p; j++) sum -= sb[i * p + j]! * fit.fixed[rows.columnIndex[rows.columnStart[g]! + j]!]!;
      mean[2 * g + i] = sum;
    }
    covariance[3 * g] = s[0]!;
    covariance[3 * g + 1] = s[1]!;
    covariance[3 * g + 2] = s[d + 1]!;
  }
  return { mean, covariance };
}

/** θ = (X'V⁻¹X + P)⁻¹(X'V⁻¹y + P m), and the criterion at it. */
function solveFixed(
  rows: MixedModelRows,
  v: VarianceComponents,
  options: MixedModelOptions,
  stride: number,
  scratch: GroupScratch,
): FixedSolution {
  const size = rows.fixedCount;
  const normal = new Float64Array(size * size);
  const right = new Float64Array(size);
  const work = new Float64Array(6);
  const { values, columnIndex } = rows;
  let quadratic = 0;
  let logV = 0;
  let count = 0;
  for (let g = 0; g < rows.groupCount; g += stride) {
    const first = rows.rowStart[g]!;
    const end = rows.rowStart[g + 1]!;
    if (first === end) continue;
    const logError = assembleGroup(rows, g, v, scratch);
    const { random: d, fixed: p, s, b, sb, c } = scratch;
    const column = rows.columnStart[g]!;
    count += end - first;
    logV += logError + logPriorDeterminant(d, v) + scratch.logDeterminant;
    // X'WX − B'SB and X'Wy − B'Sc of the group alone (lower half), then put where its columns stand.
    const { local, localRight } = scratch;
    for (let i = 0; i < d; i++) {
      let sum = 0;
      for (let j = 0; j < d; j++) sum += s[i * d + j]! * c[j]!;
      work[i] = sum;
      quadratic -= sum * c[i]!;
    }
    for (let i = 0; i < p; i++) {
      let right = 0;
      for (let l = 0; l < d; l++) right -= b[l * p + i]! * work[l]!;
      localRight[i] = right;
      for (let j = 0; j <= i; j++) {
        let sum = 0;
        for (let l = 0; l < d; l++) sum -= b[l * p + i]! * sb[l * p + j]!;
        local[i * p + j] = sum;
      }
    }
    let value = rows.valueStart[g]!;
    for (let row = first; row < end; row++) {
      const w = 1 / (v.errorVariance + rows.extraVariance[row]!);
      const y = rows.response[row]!;
      quadratic += w * y * y;
      for (let i = 0; i < p; i++) {
        const wx = w * values[value + i]!;
        if (wx === 0) continue;
        localRight[i]! += wx * y;
        for (let j = 0; j <= i; j++) local[i * p + j]! += wx * values[value + j]!;
      }
      value += p;
    }
    for (let i = 0; i < p; i++) {
      const index = columnIndex[column + i]!;
      right[index]! += localRight[i]!;
      for (let j = 0; j <= i; j++) normal[index * size + columnIndex[column + j]!]! += local[i * p + j]!;
    }
  }
  // Each pair of columns was written once, on whichever side of the diagonal its order put it.
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < i; j++) {
      const both = normal[i * size + j]! + normal[j * size + i]!;
      normal[i * size + j] = both;
      normal[j * size + i] = both;
    }
  }
  const plain = normal.slice();
  const plainRight = right.slice();
  const prior = options.prior;
  if (prior) {
    for (let i = 0; i < size; i++) {
      for (let j = 0; j < size; j++) {
        normal[i * size + j]! += prior.precision[i * size + j]!;
        right[i]! += prior.precision[i * size + j]! * prior.mean[j]!;
      }
    }
  }
  const factor = new Float64Array(size * size);
  if (!choleskyFactor(normal, size, factor)) {
    // A column that no row of the (thinned) model carries: hold it at 0 instead of failing.
    for (let i = 0; i < size; i++) normal[i * size + i] = normal[i * size + i]! * (1 + 1e-10) + 1e-8;
    if (!choleskyFactor(normal, size, factor)) throw new Error('The fixed effects cannot be told apart in these rows.');
  }
  const theta = right.slice();
  choleskySolve(factor, size, theta);
  let residual = quadratic;
  let logNormal = 0;
  for (let i = 0; i < size; i++) {
    logNormal += 2 * Math.log(factor[i * size + i]!);
    residual -= 2 * theta[i]! * plainRight[i]!;
    for (let j = 0; j < size; j++) residual += theta[i]! * plain[i * size + j]! * theta[j]!;
  }
  const free = options.restricted ? count - size : count;
  const criterion = free * Math.log(2 * Math.PI) + logV + residual + (options.restricted ? logNormal : 0);
  return { theta, covariance: choleskyInverse(factor, size), criterion };
}

/** Adds the derivative and the information of the prior cases: each draws its variance towards its value. */
function addVariancePrior(scores: VarianceScores, v: VarianceComponents, prior: VariancePrior): void {
  const draw = (at: number, variance: number, count: number, value: number) => {
    scores.score[at]! += (0.5 * count * (value / variance - 1)) / variance;
    scores.information[at * varianceCount + at]! += (0.5 * count) / (variance * variance);
  };
  draw(0, v.levelVariance, prior.level.count, prior.level.value);
  draw(2, v.slopeVariance, prior.slope.count, prior.slope.value);
  draw(3, v.stepVariance, prior.step.count, prior.step.value);
  draw(4, v.errorVariance, prior.error.count, prior.error.value);
  const product = v.levelVariance * v.slopeVariance;
  scores.score[1]! -= (prior.covarianceCount * v.covariance) / product;
  scores.information[varianceCount + 1]! += prior.covarianceCount / product;
}

/** A scoring step, halved until G is positive definite and no variance collapses or explodes at once. */
function step(
  v: VarianceComponents,
  score: Float64Array,
  information: Float64Array,
  hasSteps: boolean,
): VarianceComponents {
  const move = solveInformation(information, score, hasSteps);
  for (let share = 1; share > 1e-4; share /= 2) {
    const next: VarianceComponents = {
      levelVariance: v.levelVariance + share * move[0]!,
      covariance: v.covariance + share * move[1]!,
      slopeVariance: v.slopeVariance + share * move[2]!,
      stepVariance: hasSteps ? bounded(v.stepVariance + share * move[3]!, v.stepVariance) : v.stepVariance,
      errorVariance: bounded(v.errorVariance + share * move[4]!, v.errorVariance),
    };
    const room = 1 - 1e-4;
    if (
      next.levelVariance > 0.1 * v.levelVariance &&
      next.slopeVariance > 0.1 * v.slopeVariance &&
      next.levelVariance < 10 * v.levelVariance &&
      next.slopeVariance < 10 * v.slopeVariance &&
      next.covariance * next.covariance < room * next.levelVariance * next.slopeVariance
    ) {
      return next;
    }
  }
  return { ...v, errorVariance: bounded(v.errorVariance + move[4]!, v.errorVariance) };
}

function bounded(value: number, old: number): number {
  return Math.max(old / 5, Math.min(old * 5, value));
}

/** information⁻¹·score, with the step variance left out where no group has a step. */
function solveInformation(information: Float64Array, score: Float64Array, hasSteps: boolean): Float64Array {
  const size = varianceCount;
  const matrix = new Float64Array(size * size);
  // Scaled to a unit diagonal: the variances differ by many powers of ten.
  const scale = new Float64Array(size);
  for (let i = 0; i < size; i++) scale[i] = i === 3 && !hasSteps ? 0 : 1 / Math.sqrt(information[i * size + i]! || 1);
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) matrix[i * size + j] = information[i * size + j]! * scale[i]! * scale[j]!;
    matrix[i * size + i]! += scale[i] === 0 ? 1 : 1e-12;
  }
  const move = new Float64Array(size);
  for (let i = 0; i < size; i++) move[i] = score[i]! * scale[i]!;
  if (!choleskyFactor(matrix, size, matrix)) return move.fill(0);
  choleskySolve(matrix, size, move);
  for (let i = 0; i < size; i++) move[i]! *= scale[i]!;
  return move;
}

function standardErrors(information: Float64Array, hasSteps: boolean): Float64Array {
  const errors = new Float64Array(varianceCount).fill(Number.NaN);
  if (information.length === 0) return errors;
  for (let i = 0; i < varianceCount; i++) {
    const unit = new Float64Array(varianceCount);
    unit[i] = 1;
    if (i !== 3 || hasSteps) errors[i] = Math.sqrt(solveInformation(information, unit, hasSteps)[i]!);
  }
  return errors;
}

function largestChange(a: VarianceComponents, b: VarianceComponents): number {
  const correlationScale = Math.sqrt(a.levelVariance * a.slopeVariance);
  return Math.max(
    Math.abs(b.levelVariance / a.levelVariance - 1),
    Math.abs(b.slopeVariance / a.slopeVariance - 1),
    Math.abs(b.covariance - a.covariance) / correlationScale,
    Math.abs(b.stepVariance / a.stepVariance - 1),
    Math.abs(b.errorVariance / a.errorVariance - 1),
  );
}

import { choleskyFactor, choleskyInverse, choleskySolve } from './cholesky.ts';

/** Writes gradient and second derivatives (row by row, full) of a function at θ, and gives its value. */
export type Twice = (theta: Float64Array, gradient: Float64Array, hessian: Float64Array) => number;

export type Maximum =
  | {
      readonly known: true;
      readonly theta: Float64Array;
      readonly value: number;
      /** Inverse of the negative second derivatives at the top: the covariance when the value is a log-likelihood. */
      readonly covariance: Float64Array;
      readonly passes: number;
    }
  | { readonly known: false; readonly because: string };

/** Half the squared Newton step in the curvature's measure: how much higher the top can still be. */
const closeEnough = 1e-12;
const mostPasses = 100;

/**
 * The top of a smooth function by Newton's steps, halved while they do not climb, and bent towards the gradient where
 * the function is not yet concave. Unknown when it never settles or the top is flat in some direction.
 */
export function maximise(f: Twice, start: ArrayLike<number>): Maximum {
  const size = start.length;
  let theta = Float64Array.from(start);
  let gradient = new Float64Array(size);
  let hessian = new Float64Array(size * size);
  let trial = new Float64Array(size);
  let trialGradient = new Float64Array(size);
  let trialHessian = new Float64Array(size * size);
  const factor = new Float64Array(size * size);
  const step = new Float64Array(size);
  let value = f(theta, gradient, hessian);
  if (!Number.isFinite(value)) return { known: false, because: 'the function has no value at the start' };

  for (let passes = 1; passes <= mostPasses; passes++) {
    if (!factorNegated(hessian, size, factor)) return { known: false, because: 'the curvature is not a number' };
    step.set(gradient);
    choleskySolve(factor, size, step);
    let rise = 0;
    for (let i = 0; i < size; i++) rise += 0.5 * step[i]! * gradient[i]!;
    let length = 1;
    let higher = Number.NaN;
    for (let halving = 0; halving < 40; halving++, length /= 2) {
      for (let i = 0; i < size; i++) trial[i] = theta[i]! + length * step[i]!;
      higher = f(trial, trialGradient, trialHessian);
      if (higher >= value) break;
    }
    if (higher >= value) {
      [theta, trial] = [trial, theta];
      [gradient, trialGradient] = [trialGradient, gradient];
      [hessian, trialHessian] = [trialHessian, hessian];
      value = higher;
    }
    if (rise <= closeEnough * Math.max(1, Math.abs(value)) || !(higher >= value)) {
      return atTheTop(theta, value, gradient, hessian, passes);
    }
  }
  return { known: false, because: `not settled after ${mostPasses} passes` };
}

function atTheTop(
  theta: Float64Array,
  value: number,
  gradient: Float64Array,
  hessian: Float64Array,
  passes: number,
): Maximum {
  const size = theta.length;
  const factor = hessian.map((entry) => -entry);
  if (!choleskyFactor(factor, size, factor)) return { known: false, because: 'flat at the top: the data cannot tell' };
  const left = Float64Array.from(gradient);
  choleskySolve(factor, size, left);
  const rest = left.reduce((sum, entry, i) => sum + 0.5 * entry * gradient[i]!, 0);
  if (rest > 1e-6 * Math.max(1, Math.abs(value))) return { known: false, because: 'the climb stopped before the top' };
  const covariance = choleskyInverse(factor, size);
  for (let i = 0; i < size; i++) {
    // A direction in which the value hardly changes over many units is a coefficient running off to infinity.
    if (covariance[i * size + i]! > 1e8) return { known: false, because: 'flat at the top: the data cannot tell' };
  }
  return { known: true, theta, value, covariance, passes };
}

/** Factors −H, its diagonal raised until that works. */
function factorNegated(hessian: Float64Array, size: number, factor: Float64Array): boolean {
  let largest = 0;
  for (let i = 0; i < size; i++) largest = Math.max(largest, Math.abs(hessian[i * size + i]!));
  if (!Number.isFinite(largest)) return false;
  for (let ridge = 0; ridge <= 1e6; ridge = ridge === 0 ? 1e-6 : ridge * 10) {
    for (let i = 0; i < size * size; i++) factor[i] = -hessian[i]!;
    for (let i = 0; i < size; i++) factor[i * size + i]! += ridge * (largest || 1);
    if (choleskyFactor(factor, size, factor)) return true;
  }
  return false;
}

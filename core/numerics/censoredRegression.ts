import { leastSquares } from './leastSquares.ts';
import { maximise } from './newton.ts';
import { normalInverseMills, normalLogCdf } from './normal.ts';

export type CensoredRegression =
  | {
      readonly known: true;
      readonly coefficients: Float64Array;
      readonly lnScale: number;
      /** Of the coefficients and, last, ln scale; from the observed information. */
      readonly covariance: Float64Array;
      readonly logLikelihood: number;
      readonly passes: number;
    }
  | { readonly known: false; readonly because: string };

/**
 * Linear regression with normal errors where some values are known only to lie under or over what is written
 * (the Tobit model), by maximum likelihood.
 * `design` holds `columns` numbers a row; `side` is −1 where the truth lies under y, +1 over it, 0 where y is it.
 * Source: J. Tobin, Econometrica 26 (1958) 24; T. Amemiya, Journal of Econometrics 24 (1984) 3.
 * Unknown when no value is exact, or the columns depend on each other.
 */
export function censoredRegression(
  design: ArrayLike<number>,
  columns: number,
  y: ArrayLike<number>,
  side: ArrayLike<number>,
): CensoredRegression {
  const rows = y.length;
  const size = columns + 1;
  let exact = 0;
  for (let i = 0; i < rows; i++) if (side[i] === 0) exact++;
  if (exact <= columns) return { known: false, because: 'too few exact values' };
  const plain = leastSquares(design, columns, y);
  if (!plain.known) return plain;

  const start = new Float64Array(size);
  start.set(plain.coefficients);
  start[columns] = 0.5 * Math.log(Math.max(plain.residualVariance, Number.MIN_VALUE));
  const top = maximise((theta, gradient, hessian) => {
    gradient.fill(0);
    hessian.fill(0);
    const lnScale = theta[columns]!;
    const scale = Math.exp(lnScale);
    let value = 0;
    for (let i = 0; i < rows; i++) {
      const at = i * columns;
      let fitted = 0;
      for (let j = 0; j < columns; j++) fitted += design[at + j]! * theta[j]!;
      const z = (y[i]! - fitted) / scale;
      // Slope and bend of the observation's log-likelihood in z.
      let slope = -z;
      let bend = -1;
      if (side[i] === 0) {
        value -= lnScale + 0.5 * z * z + 0.5 * Math.log(2 * Math.PI);
        gradient[columns]! -= 1;
      } else {
        const inward = side[i]! < 0 ? z : -z;
        const ratio = normalInverseMills(inward);
        value += normalLogCdf(inward);
        slope = side[i]! < 0 ? ratio : -ratio;
        bend = -ratio * (inward + ratio);
      }
      gradient[columns]! -= slope * z;
      hessian[size * size - 1]! += bend * z * z + slope * z;
      for (let j = 0; j < columns; j++) {
        const x = design[at + j]! / scale;
        gradient[j]! -= slope * x;
        hessian[columns * size + j]! += (bend * z + slope) * x;
        for (let k = 0; k <= j; k++) hessian[j * size + k]! += (bend * x * design[at + k]!) / scale;
      }
    }
    for (let j = 0; j < size; j++) for (let k = 0; k < j; k++) hessian[k * size + j] = hessian[j * size + k]!;
    return value;
  }, start);
  if (!top.known) return top;
  return {
    known: true,
    coefficients: top.theta.slice(0, columns),
    lnScale: top.theta[columns]!,
    covariance: top.covariance,
    logLikelihood: top.value,
    passes: top.passes,
  };
}

import { normalCdf, normalPdf } from './normal.ts';

/**
 * Chance that a chi-square of so many whole degrees of freedom exceeds x.
 * Source: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions (1964), 26.4.4 and 26.4.5.
 * RangeError unless the degrees are a whole number from 1.
 */
export function chiSquareUpper(x: number, degrees: number): number {
  if (!(Number.isInteger(degrees) && degrees >= 1)) {
    throw new RangeError(`chiSquareUpper needs whole degrees of freedom from 1, not ${degrees}`);
  }
  if (x <= 0) return 1;
  const odd = degrees % 2 === 1;
  const root = Math.sqrt(x);
  let term = odd ? 2 * normalPdf(root) * root : Math.exp(-x / 2);
  let sum = odd ? 2 * normalCdf(-root) : 0;
  for (let k = odd ? 1 : 0; k < degrees - 1; k += 2) {
    sum += term;
    term *= x / (k + 2);
  }
  return sum;
}

/**
 * Present values with flows at the end of their year.
 * Source: Fuller and Petersen, Life-Cycle Costing Manual, NIST Handbook 135 (1995): single present value, uniform
 * present value, and residual value in proportion to the life that is left (from memory, unverified; the factors agree
 * with the worked solutions named in the reference test).
 */

/** Factor that brings money at the end of year `year` (1 is the first) to today. Rate as a fraction a year. */
export const singlePresentValue = (rate: number, year: number): number => (1 + rate) ** -year;

/** Factor that brings equal yearly amounts of `years` years to today; `years` itself at rate 0. */
export const uniformPresentValue = (rate: number, years: number): number =>
  rate === 0 ? years : (1 - (1 + rate) ** -years) / rate;

/** Equal yearly amount over `years` years with the present value `presentValue`. */
export const annualEquivalent = (presentValue: number, rate: number, years: number): number =>
  presentValue / uniformPresentValue(rate, years);

/** Discount factors of the years 1 to `years`; index 0 is year 1. */
export function discountFactors(rate: number, years: number): Float64Array {
  const factors = new Float64Array(years);
  for (let j = 0; j < years; j++) factors[j] = singlePresentValue(rate, j + 1);
  return factors;
}

/** Share of its cost that a thing of `lifeYears` is still worth after `usedYears`, in a straight line, never below 0. */
export const residualShare = (usedYears: number, lifeYears: number): number => Math.max(0, 1 - usedYears / lifeYears);

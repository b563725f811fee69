import { writeColumns } from './design.ts';
import type { FailureModel } from './fit.ts';

/** Segments as they stand today, or as they would stand: a new cable is one of age 0. */
export interface SegmentsNow {
  readonly count: number;
  /** Years since energising or since its section was replaced. */
  readonly ageYears: Float64Array;
  /** Index into the families of the lives the model was fitted to. */
  readonly family: Uint8Array;
  /** Length times the number of phases. */
  readonly conductorKm: Float64Array;
  /** Today's; NaN where unknown, here and below: the fleet's mean stands in. */
  readonly splicesPerKm: Float64Array;
  /** Change of ln(specific leakage) per year. */
  readonly growthPerYear: Float64Array;
  readonly lnLevelToLimit: Float64Array;
}

/** Chances of at least one failure, row by row a segment, column by column the coming years. */
export interface FailureForecast {
  readonly years: number;
  readonly probability: Float64Array;
  /** Ends of the 90 % interval: how well the model's coefficients are known, not what they cannot tell. */
  readonly low: Float64Array;
  readonly high: Float64Array;
}

/** 90 % intervals. */
const reach = 1.6448536269514722;

/**
 * Chance of failure in each of the coming years, 1 − exp(−(H(t + 1) − H(t))), growth and level staying as known today.
 * The interval is normal on ln(H(t + 1) − H(t)), by the delta method.
 */
export function forecastFailures(model: FailureModel, now: SegmentsNow, years: number): FailureForecast {
  const { design, weibull } = model;
  const columns = design.terms.length;
  const size = columns + 1;
  const shape = Math.exp(weibull.lnShape);
  const x = new Float64Array(size);
  const forecast = {
    years,
    probability: new Float64Array(now.count * years),
    low: new Float64Array(now.count * years),
    high: new Float64Array(now.count * years),
  };
  for (let s = 0; s < now.count; s++) {
    writeColumns(
      design,
      {
        family: now.family[s]!,
        conductorKm: now.conductorKm[s]!,
        splicesPerKm: now.splicesPerKm[s]!,
        growthPerYear: now.growthPerYear[s]!,
        lnLevelToLimit: now.lnLevelToLimit[s]!,
      },
      x,
      0,
    );
    let score = 0;
    for (let j = 0; j < columns; j++) score += x[j]! * weibull.coefficients[j]!;
    // Variance of x'g, its covariance with ln shape, and ln shape's own variance serve every year.
    let variance = 0;
    let mixed = 0;
    for (let i = 0; i < columns; i++) {
      for (let j = 0; j < columns; j++) variance += x[i]! * x[j]! * weibull.covariance[i * size + j]!;
      mixed += x[i]! * weibull.covariance[i * size + columns]!;
    }
    const shapeVariance = weibull.covariance[size * size - 1]!;
    let age = Math.max(0, now.ageYears[s]!);
    let before = (age / weibull.referenceAge) ** shape;
    for (let year = 0; year < years; year++, age++) {
      const after = ((age + 1) / weibull.referenceAge) ** shape;
      const lnRise = (power: number, at: number): number =>
        power > 0 ? power * shape * Math.log(at / weibull.referenceAge) : 0;
      const slope = (lnRise(after, age + 1) - lnRise(before, age)) / (after - before);
      const sd = Math.sqrt(Math.max(0, variance + 2 * slope * mixed + slope * slope * shapeVariance));
      const lnHazard = score + Math.log(after - before);
      const at = s * years + year;
      forecast.probability[at] = -Math.expm1(-Math.exp(lnHazard));
      forecast.low[at] = -Math.expm1(-Math.exp(lnHazard - reach * sd));
      forecast.high[at] = -Math.expm1(-Math.exp(lnHazard + reach * sd));
      before = after;
    }
  }
  return forecast;
}

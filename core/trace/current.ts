import { leastSquares } from '../numerics/leastSquares.ts';
import { normalCdf } from '../numerics/normal.ts';
import { median, robustSpread } from '../numerics/quantile.ts';
import { type CleanSamples, sampleNoise, smallestStep } from './samples.ts';

/** Current at a time of a dwell, from the samples around it. */
export interface LocalCurrent {
  readonly ua: number;
  readonly sdUa: number;
  /** Spread of single samples about the line through them, µA. */
  readonly spreadUa: number;
  /** Resolution of the range then in use, µA. */
  readonly stepUa: number;
  readonly samples: number;
}

/** A straight line through the samples first … last that wild samples cannot bend, read at `atS`. Null under three samples. */
export const currentAtTime = (s: CleanSamples, first: number, last: number, atS: number): LocalCurrent | null => {
  const n = last - first + 1;
  if (n < 1) return null;
  const stepUa = smallestStep(s.currentUa, first, last + 1);
  if (n < 3) {
    const ua = median(s.currentUa.subarray(first, last + 1));
    return { ua, sdUa: stepUa / 2, spreadUa: 0, stepUa, samples: n };
  }
  const design = new Float64Array(2 * n);
  const y = s.currentUa.subarray(first, last + 1);
  for (let i = 0; i < n; i++) {
    design[2 * i] = 1;
    design[2 * i + 1] = s.timeS[first + i]! - atS;
  }
  const fit = robustLeastSquares(design, 2, y);
  if (fit === null) return null;
  return {
    ua: fit.coefficients[0]!,
    sdUa: Math.sqrt(Math.max(fit.covariance[0]!, 0)),
    spreadUa: robustSpread(fit.residuals, 0),
    stepUa,
    samples: n,
  };
};

/** The samples of [fromS, toS] within first … last, widened to at least `atLeast` samples where there are so many. */
export const rowsBetween = (
  s: CleanSamples,
  first: number,
  last: number,
  fromS: number,
  toS: number,
  atLeast = 6,
): readonly [number, number] => {
  let low = first;
  while (low < last && s.timeS[low]! < fromS) low++;
  let high = last;
  while (high > low && s.timeS[high]! > toS) high--;
  while (high - low + 1 < atLeast && (low > first || high < last)) {
    if (low > first) low--;
    if (high < last && high - low + 1 < atLeast) high++;
  }
  return [low, high];
};

export interface RobustFit {
  readonly coefficients: Float64Array;
  readonly covariance: Float64Array;
  readonly residuals: Float64Array;
  readonly weights: Float64Array;
}

/** Least squares, repeated with Tukey's weights on residuals beyond a few spreads. Null where the columns depend. */
export const robustLeastSquares = (
  design: Float64Array,
  columns: number,
  y: ArrayLike<number>,
  prior?: ArrayLike<number>,
): RobustFit | null => {
  const n = y.length;
  const weights = Float64Array.from({ length: n }, (_, i) => prior?.[i] ?? 1);
  const residuals = new Float64Array(n);
  let fit = leastSquares(design, columns, y, weights);
  for (let pass = 0; pass < 6 && fit.known; pass++) {
    for (let i = 0; i < n; i++) {
      let at = 0;
      for (let j = 0; j < columns; j++) at += design[i * columns + j]! * fit.coefficients[j]!;
      residuals[i] = (y[i]! - at) * Math.sqrt(prior?.[i] ?? 1);
    }
    const spread = Math.max(robustSpread(residuals, 0), 1e-12);
    for (let i = 0; i < n; i++) {
      const u = residuals[i]! / (6 * spread);
      weights[i] = (prior?.[i] ?? 1) * (Math.abs(u) < 1 ? (1 - u * u) ** 2 : 0);
    }
    const next = leastSquares(design, columns, y, weights);
    if (!next.known) break;
    fit = next;
  }
  if (!fit.known) return null;
  for (let i = 0; i < n; i++) {
    let at = 0;
    for (let j = 0; j < columns; j++) at += design[i * columns + j]! * fit.coefficients[j]!;
    residuals[i] = y[i]! - at;
  }
  return { coefficients: fit.coefficients, covariance: fit.covariance, residuals, weights };
};

export interface CurrentTrend {
  /** Slope over the second half of the dwell, µA a minute. */
  readonly uaPerMin: number;
  readonly sdUaPerMin: number;
  /** Chance of so high a slope, were there none; one-sided. */
  readonly pRising: number;
  /** Significant, and more than 1 % of the leakage and one resolution step over the half. */
  readonly rising: boolean;
}

/** Does the current rise at constant voltage? Means of twenty blocks, which ripple and coarse steps do not fool. */
export const currentTrend = (
  s: CleanSamples,
  first: number,
  last: number,
  startS: number,
  endS: number,
): CurrentTrend | null => {
  const fromS = startS + (endS - startS) / 2;
  const [low, high] = rowsBetween(s, first, last, fromS, endS, 1);
  const blocks = Math.min(20, high - low + 1);
  if (blocks < 6) return null;
  const design = new Float64Array(2 * blocks);
  const means = new Float64Array(blocks);
  for (let b = 0; b < blocks; b++) {
    const from = low + Math.floor((b * (high - low + 1)) / blocks);
    const to = low + Math.floor(((b + 1) * (high - low + 1)) / blocks);
    means[b] = trimmedMean(s.currentUa.subarray(from, to));
    design[2 * b] = 1;
    design[2 * b + 1] = (s.timeS[from]! + s.timeS[to - 1]!) / 2 - fromS;
  }
  const fit = leastSquares(design, 2, means);
  if (!fit.known) return null;
  const slope = fit.coefficients[1]!;
  const stepUa = smallestStep(s.currentUa, low, high + 1);
  const floor = (stepUa / Math.sqrt(12) / Math.max(endS - fromS, 1)) * 0.5;
  const sd = Math.sqrt(Math.max(fit.covariance[3]!, 0) + floor * floor);
  const pRising = sd > 0 ? 1 - normalCdf(slope / sd) : slope > 0 ? 0 : 1;
  const over = slope * (endS - fromS);
  return {
    uaPerMin: slope * 60,
    sdUaPerMin: sd * 60,
    pRising,
    rising: pRising < 0.001 && over > 0.01 * Math.abs(means[0]!) && over > stepUa,
  };
};

/** Mean of the middle 80 %. */
export const trimmedMean = (values: Float64Array): number => {
  const sorted = Float64Array.from(values).sort();
  const cut = sorted.length >= 5 ? Math.floor(sorted.length * 0.1) : 0;
  let sum = 0;
  for (let i = cut; i < sorted.length - cut; i++) sum += sorted[i]!;
  return sum / (sorted.length - 2 * cut);
};

/** Noise of the current as √(fixed² + (share · current)²), from the beginning and the end of a dwell. */
export const currentNoise = (s: CleanSamples, first: number, last: number) => {
  const n = last - first + 1;
  const late = Math.max(first, last - Math.max(20, Math.floor(n / 3)));
  const early = Math.min(last + 1, first + 2 + Math.max(14, Math.floor(n / 20)));
  const fixed = sampleNoise(s.currentUa, late, last + 1);
  const stepUa = smallestStep(s.currentUa, late, last + 1);
  const earlyNoise = sampleNoise(s.currentUa, Math.min(first + 2, early), early);
  const earlyUa = Math.abs(median(s.currentUa.subarray(first, early)));
  const lateUa = Math.abs(median(s.currentUa.subarray(late, last + 1)));
  const excess = Math.max(earlyNoise ** 2 - fixed ** 2, 0);
  const apart = Math.max(earlyUa ** 2 - lateUa ** 2, 0);
  const share = apart > 0.2 * earlyUa ** 2 ? Math.sqrt(excess / apart) : 0;
  const base = Math.max(fixed ** 2 - (share * lateUa) ** 2, (0.2 * fixed) ** 2);
  return { varianceAt: (ua: number) => base + (share * ua) ** 2, stepUa };
};

import { leastSquares } from '../numerics/leastSquares.ts';
import { median } from '../numerics/quantile.ts';
import { exponentPrior } from '../trade/absorption.ts';
import { currentNoise, trimmedMean } from './current.ts';
import type { CleanSamples } from './samples.ts';

/** Absorption A·t⁻ⁿ and steady conduction during a dwell, t in seconds from its start. */
export interface AbsorptionFit {
  readonly n: number;
  readonly sdN: number;
  /** Absorption current at one second, µA. */
  readonly aUa: number;
  readonly steadyUa: number;
  readonly sdSteadyUa: number;
  /**
   * Whether the charge is taken to have gone in at once at the start of the dwell, or evenly during the ramp (the
   * answer of a linear dielectric to a ramp; the same as A·t⁻ⁿ once the ramp is long past).
   */
  readonly shape: 'step' | 'ramp';
  /** Current and its standard deviation at a time since the start of the dwell, also past its end. */
  readonly at: (t: number) => { readonly ua: number; readonly sdUa: number };
}

interface Points {
  readonly t: Float64Array;
  readonly ua: Float64Array;
  readonly weight: Float64Array;
}

/**
 * Profile over n: for every exponent the amplitude and the steady part follow linearly, neither below zero. Points are
 * means of short spans that lengthen with time; spans far off the curve lose their weight. Null with a reason where
 * the dwell is short, has few samples, or shows no fall.
 */
export const fitAbsorption = (
  s: CleanSamples,
  first: number,
  last: number,
  startS: number,
  rampS: number,
  drifting: boolean,
): AbsorptionFit | { readonly because: string } => {
  const points = spans(s, first, last, startS);
  if (points === null) return { because: 'the dwell has too few samples for a fit' };
  const step = bestExponent(points, stepShape, drifting);
  const ramped = rampS > 1 ? bestExponent(points, rampShape(rampS), drifting) : null;
  // Same number of unknowns: the ramp's answer is taken where it fits clearly better.
  const useRamp = ramped !== null && step !== null && ramped.loss < step.loss - 8;
  const best = useRamp ? ramped : step;
  if (best === null) return { because: 'the current does not fall as absorption does' };
  return described(points, best, useRamp ? rampShape(rampS) : stepShape, useRamp ? 'ramp' : 'step', drifting);
};

type Shape = (t: number, n: number) => number;
const stepShape: Shape = (t, n) => t ** -n;
const rampShape =
  (rampS: number): Shape =>
  (t, n) =>
    Math.abs(n - 1) < 1e-6
      ? Math.log((t + rampS) / t) / rampS
      : ((t + rampS) ** (1 - n) - t ** (1 - n)) / ((1 - n) * rampS);

const spans = (s: CleanSamples, first: number, last: number, startS: number): Points | null => {
  const noise = currentNoise(s, first, last);
  const t: number[] = [];
  const ua: number[] = [];
  const samples: number[] = [];
  const earliest = Math.max(1, 1.2 * s.periodS);
  let from = first;
  while (from <= last && s.timeS[from]! - startS < earliest) from++;
  while (from <= last) {
    const until = (s.timeS[from]! - startS) * 1.07;
    let to = from + 1;
    while (to <= last && s.timeS[to]! - startS <= until) to++;
    let meanT = 0;
    for (let i = from; i < to; i++) meanT += s.timeS[i]! - startS;
    const inside = s.currentUa.subarray(from, to);
    t.push(meanT / (to - from));
    ua.push(to - from < 5 ? median(inside) : trimmedMean(inside));
    samples.push(to - from);
    from = to;
  }
  if (t.length < 8 || t[t.length - 1]! < 4 * t[0]!) return null;
  const weight = ua.map((current, i) => {
    const usual = usualAt(ua, i);
    // A span far from both its neighbours is a slip of the recorder: a falling current lies between them.
    if (Math.abs(current - usual) > 0.3 * Math.abs(usual)) return 0;
    const variance = noise.varianceAt(usual);
    // Quantisation averages out only where the noise dithers it.
    const q = noise.stepUa;
    const coarse = q > 0 ? ((q * q) / 12) * Math.exp((-4 * Math.PI ** 2 * variance) / (q * q)) : 0;
    return 1 / (variance / samples[i]! + coarse + 1e-12 + (1e-5 * usual) ** 2);
  });
  return { t: Float64Array.from(t), ua: Float64Array.from(ua), weight: Float64Array.from(weight) };
};

const usualAt = (ua: readonly number[], i: number): number =>
  i === 0
    ? Math.max(ua[0]!, ua[1]!)
    : i === ua.length - 1
      ? median(ua.slice(-3))
      : median([ua[i - 1]!, ua[i]!, ua[i + 1]!]);

interface Best {
  readonly n: number;
  readonly loss: number;
  readonly weight: Float64Array;
  readonly linear: Float64Array;
}

const bestExponent = (points: Points, shape: Shape, drifting: boolean): Best | null => {
  let weight: Float64Array = points.weight;
  let best: Best | null = null;
  for (let pass = 0; pass < 5; pass++) {
    best = profile(points, shape, weight, drifting, best?.n ?? null);
    if (best === null) return null;
    const found = best;
    const scaled = points.t.map(
      (t, i) => (points.ua[i]! - curve(found.linear, shape(t, found.n), t)) * Math.sqrt(points.weight[i]!),
    );
    const spread = Math.max(median(scaled.map(Math.abs)) * 1.4826, 0.5);
    weight = points.weight.map((w, i) => {
      const u = scaled[i]! / (5 * spread);
      return Math.abs(u) < 1 ? w * (1 - u * u) ** 2 : 0;
    });
  }
  return best;
};

const curve = (linear: Float64Array, shape: number, t: number): number =>
  linear[0]! * shape + linear[1]! + (linear[2] ?? 0) * t;

const profile = (
  points: Points,
  shape: Shape,
  weight: Float64Array,
  drifting: boolean,
  near: number | null,
): Best | null => {
  const lossAt = (n: number) => linearPart(points, shape, n, weight, drifting);
  // All exponents at first; once outliers have lost their weight the best one moves little.
  const [from, to] = near === null ? [exponentPrior.low, exponentPrior.high] : [near - 0.15, near + 0.15];
  const within = (n: number): number => Math.min(exponentPrior.high, Math.max(exponentPrior.low, n));
  let bestN = within(from);
  let bestLoss = Number.POSITIVE_INFINITY;
  for (let n = within(from); n <= within(to) + 1e-9; n += 0.05) {
    const { loss } = lossAt(n);
    if (loss < bestLoss) (bestLoss = loss), (bestN = n);
  }
  let low = within(bestN - 0.05);
  let high = within(bestN + 0.05);
  const golden = (Math.sqrt(5) - 1) / 2;
  let a = high - golden * (high - low);
  let b = low + golden * (high - low);
  let lossA = lossAt(a).loss;
  let lossB = lossAt(b).loss;
  while (high - low > 5e-4) {
    if (lossA < lossB) {
      [high, b, lossB] = [b, a, lossA];
      a = high - golden * (high - low);
      lossA = lossAt(a).loss;
    } else {
      [low, a, lossA] = [a, b, lossB];
      b = low + golden * (high - low);
      lossB = lossAt(b).loss;
    }
  }
  const n = (low + high) / 2;
  const { loss, linear } = lossAt(n);
  return linear === null ? null : { n, loss, weight, linear };
};

/** Amplitude, steady part (and drift) for one exponent by weighted least squares, amplitude and steady part at least 0. */
const linearPart = (points: Points, shape: Shape, n: number, weight: Float64Array, drifting: boolean) => {
  const rows = points.t.length;
  const x = new Float64Array(rows);
  for (let i = 0; i < rows; i++) x[i] = shape(points.t[i]!, n);
  const linear = drifting ? withDrift(points, x, weight) : twoParts(points, x, weight);
  if (linear === null || !(linear[0]! > 0)) return { loss: Number.POSITIVE_INFINITY, linear: null };
  let loss = 0;
  for (let i = 0; i < rows; i++) loss += weight[i]! * (points.ua[i]! - curve(linear, x[i]!, points.t[i]!)) ** 2;
  return { loss, linear };
};

const twoParts = (points: Points, x: Float64Array, weight: Float64Array): Float64Array | null => {
  let w = 0;
  let meanX = 0;
  let meanY = 0;
  for (let i = 0; i < x.length; i++) {
    w += weight[i]!;
    meanX += weight[i]! * x[i]!;
    meanY += weight[i]! * points.ua[i]!;
  }
  if (!(w > 0)) return null;
  meanX /= w;
  meanY /= w;
  let xx = 0;
  let xy = 0;
  let xxRaw = 0;
  let xyRaw = 0;
  for (let i = 0; i < x.length; i++) {
    xx += weight[i]! * (x[i]! - meanX) ** 2;
    xy += weight[i]! * (x[i]! - meanX) * (points.ua[i]! - meanY);
    xxRaw += weight[i]! * x[i]! * x[i]!;
    xyRaw += weight[i]! * x[i]! * points.ua[i]!;
  }
  if (!(xx > 0)) return null;
  const amplitude = xy / xx;
  const steady = meanY - amplitude * meanX;
  return steady >= 0 ? Float64Array.of(amplitude, steady) : Float64Array.of(xyRaw / xxRaw, 0);
};

const withDrift = (points: Points, x: Float64Array, weight: Float64Array): Float64Array | null => {
  const design = new Float64Array(3 * x.length);
  for (let i = 0; i < x.length; i++) {
    design[3 * i] = x[i]!;
    design[3 * i + 1] = 1;
    design[3 * i + 2] = points.t[i]!;
  }
  const fit = leastSquares(design, 3, points.ua, weight);
  return fit.known ? fit.coefficients : null;
};

/** The fit with its uncertainty, by linearising at the best point. */
const described = (
  points: Points,
  best: Best,
  shape: Shape,
  name: AbsorptionFit['shape'],
  drifting: boolean,
): AbsorptionFit | { readonly because: string } => {
  const { n, linear, weight } = best;
  const columns = drifting ? 4 : 3;
  const slope = (t: number): number => (linear[0]! * (shape(t, n + 1e-4) - shape(t, n - 1e-4))) / 2e-4;
  const rowAt = (t: number): number[] => [shape(t, n), 1, slope(t), ...(drifting ? [t] : [])];
  const design = Float64Array.from([...points.t].flatMap(rowAt));
  const residuals = points.t.map((t, i) => points.ua[i]! - curve(linear, shape(t, n), t));
  const spread = leastSquares(design, columns, residuals, weight);
  if (!spread.known) return { because: 'the current does not settle enough to tell absorption from conduction' };
  // With few spans, never surer than the noise of the samples allows, however well the curve happens to fit.
  const few = spread.degreesOfFreedom < 15;
  // Tukey's weights at five spreads leave out 15 % of a normal error's variance: given back here.
  const inflate = few ? Math.max(1.18, 1 / Math.max(spread.residualVariance, 1e-12)) : 1.18;
  const variance = (row: readonly number[]): number => {
    let sum = 0;
    for (let i = 0; i < columns; i++)
      for (let j = 0; j < columns; j++) sum += row[i]! * row[j]! * spread.covariance[i * columns + j]!;
    return Math.max(sum * Math.min(inflate, 1e6), 0);
  };
  const sdN = Math.sqrt(variance([0, 0, 1, 0]));
  const fall = linear[0]! * (shape(points.t[0]!, n) - shape(points.t[points.t.length - 1]!, n));
  const sdFall = Math.sqrt(2 / Math.max(...points.weight.subarray(0, 5)));
  if (!(fall > 3 * sdFall) || sdN > 0.5) return { because: 'the current shows no absorption above its noise' };
  return {
    n,
    sdN,
    aUa: linear[0]!,
    steadyUa: linear[1]!,
    sdSteadyUa: Math.sqrt(variance([0, 1, 0, 0])),
    shape: name,
    at: (t) => ({ ua: curve(linear, shape(t, n), t), sdUa: Math.sqrt(variance(rowAt(t))) }),
  };
};

import { median, quantile } from '../numerics/quantile.ts';

/** The samples of one phase of one test as a tester wrote them. NaN where a cell was empty or unreadable. */
export interface TraceSamples {
  /** Seconds, in the file's own origin. */
  readonly timeS: Float64Array;
  readonly voltageKv: Float64Array;
  readonly currentUa: Float64Array;
}

/** Samples fit for reading: rising time, finite voltage and current, both turned positive. */
export interface CleanSamples extends TraceSamples {
  readonly polarity: 'positive' | 'negative';
  /** Usual spacing, seconds. */
  readonly periodS: number;
  /** A high voltage of the trace that a few wild samples cannot move, kV. */
  readonly topKv: number;
  /** Smallest step of the voltage column, kV; 0 where none was seen. */
  readonly voltageStepKv: number;
  /** Sample-to-sample noise of the voltage, kV. */
  readonly voltageNoiseKv: number;
}

export const fewestSamples = 4;

/**
 * Drops rows that cannot be used, among them zeros that a tester writes while it changes range; sorts by time and turns
 * a negative test positive. With a reason instead where too little is left.
 */
export const cleanSamples = (raw: TraceSamples): CleanSamples | { readonly because: string } => {
  const order: number[] = [];
  for (let i = 0; i < raw.timeS.length; i++)
    if (Number.isFinite(raw.timeS[i]!) && Number.isFinite(raw.voltageKv[i]!) && Number.isFinite(raw.currentUa[i]!))
      order.push(i);
  if (order.length < fewestSamples) return { because: `only ${order.length} complete samples` };
  order.sort((a, b) => raw.timeS[a]! - raw.timeS[b]! || a - b);
  const distinct = order.filter((row, at) => at === 0 || raw.timeS[row]! > raw.timeS[order[at - 1]!]!);
  if (distinct.length < fewestSamples) return { because: 'the time does not run' };
  const sizeKv = quantile(
    Float64Array.from(distinct, (row) => Math.abs(raw.voltageKv[row]!)),
    0.99,
  );
  if (!(sizeKv > 0)) return { because: 'the voltage is zero throughout' };
  // Signs are judged while the voltage is on: a discharge runs backwards.
  const lastOn = distinct.findLastIndex((row) => Math.abs(raw.voltageKv[row]!) > 0.9 * sizeKv);
  const on = distinct.slice(0, lastOn + 1).filter((row) => Math.abs(raw.voltageKv[row]!) > sizeKv / 3);
  const negative = median(on.map((row) => raw.voltageKv[row]!)) < 0;
  const usualUa = median(on.map((row) => raw.currentUa[row]!));
  const zeroIsSlip = Math.abs(usualUa) > 5 * smallestStep(on.map((row) => raw.currentUa[row]!));
  const rows = distinct.filter(
    (row) => !(zeroIsSlip && raw.currentUa[row] === 0 && Math.abs(raw.voltageKv[row]!) > sizeKv / 3),
  );
  if (rows.length < fewestSamples) return { because: `only ${rows.length} complete samples` };
  const timeS = Float64Array.from(rows, (row) => raw.timeS[row]!);
  const voltageKv = despiked(Float64Array.from(rows, (row) => raw.voltageKv[row]! * (negative ? -1 : 1)));
  const currentUa = Float64Array.from(rows, (row) => raw.currentUa[row]! * (usualUa < 0 ? -1 : 1));

  const gaps = Float64Array.from({ length: timeS.length - 1 }, (_, i) => timeS[i + 1]! - timeS[i]!);
  return {
    timeS,
    voltageKv,
    currentUa,
    polarity: negative ? 'negative' : 'positive',
    periodS: median(gaps),
    topKv: quantile(voltageKv, 0.995),
    voltageStepKv: smallestStep(voltageKv),
    voltageNoiseKv: sampleNoise(voltageKv),
  };
};

/** A lone voltage sample far from two neighbours that agree is a slip of the recorder, not of the cable. */
const despiked = (values: Float64Array): Float64Array => {
  const out = Float64Array.from(values);
  for (let i = 1; i < values.length - 1; i++) {
    const before = out[i - 1]!;
    const after = values[i + 1]!;
    const apart = Math.abs(after - before);
    const away = Math.min(Math.abs(values[i]! - before), Math.abs(values[i]! - after));
    const size = Math.max(Math.abs(before), Math.abs(after));
    if (away > 4 * apart && away > 0.25 * size && apart < 0.1 * size) out[i] = (before + after) / 2;
  }
  return out;
};

/** The smallest difference between distinct values: the resolution of what wrote them. 0 where all are equal. */
export const smallestStep = (values: ArrayLike<number>, from = 0, to = values.length): number => {
  const sorted = Float64Array.from({ length: to - from }, (_, i) => values[from + i]!).sort();
  const size = Math.max(Math.abs(sorted[0] ?? 0), Math.abs(sorted[sorted.length - 1] ?? 0));
  let step = Number.POSITIVE_INFINITY;
  for (let i = 1; i < sorted.length; i++) {
    const apart = sorted[i]! - sorted[i - 1]!;
    if (apart > 1e-9 * size && apart < step) step = apart;
  }
  return Number.isFinite(step) ? step : 0;
};

/** Standard deviation of the noise between neighbours, from second differences, which a trend does not touch. */
export const sampleNoise = (values: ArrayLike<number>, from = 0, to = values.length): number => {
  if (to - from < 5) return 0;
  const bends = Float64Array.from({ length: to - from - 2 }, (_, i) =>
    Math.abs(values[from + i]! - 2 * values[from + i + 1]! + values[from + i + 2]!),
  );
  return median(bends) / (0.67449 * Math.sqrt(6));
};

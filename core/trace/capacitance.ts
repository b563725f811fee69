import { leastSquares } from '../numerics/leastSquares.ts';
import { median } from '../numerics/quantile.ts';
import { robustLeastSquares } from './current.ts';
import type { Dwell } from './dwells.ts';
import type { CleanSamples } from './samples.ts';

/** A stretch of rising voltage, as indices. */
export interface Rise {
  readonly first: number;
  readonly last: number;
  readonly kvPerS: number;
  /** True where a straight line describes it. */
  readonly steady: boolean;
  /** Voltage and current at the end of the hold before; 0 at the beginning. */
  readonly fromKv: number;
  readonly fromUa: number;
}

export interface RampCapacitance {
  readonly nf: number;
  readonly sdNf: number;
}

/** The rises before the first dwell and between dwells; `until` is the last sample before a breakdown, if one came. */
export const findRises = (s: CleanSamples, dwells: readonly Dwell[], until: number): readonly Rise[] => {
  const rises: Rise[] = [];
  let from = 0;
  const ends = [...dwells.filter((dwell) => dwell.first <= until).map((dwell) => dwell.first), until];
  const resumes = [...dwells.map((dwell) => dwell.last), s.timeS.length];
  for (let k = 0; k < ends.length; k++) {
    const rise = riseWithin(s, from, ends[k]!);
    const hold = k > 0 ? dwells[k - 1]! : null;
    const late = hold ? lastSeconds(s, hold) : null;
    if (rise) rises.push({ ...rise, fromKv: hold?.voltageKv ?? 0, fromUa: late ? median(late) : 0 });
    from = resumes[k]!;
    if (from >= until) break;
  }
  return rises;
};

/** Currents at the end of a hold, before the knob is turned again. */
const lastSeconds = (s: CleanSamples, hold: Dwell): Float64Array => {
  let last = hold.last;
  while (last > hold.first && s.timeS[last]! > hold.endS - s.periodS) last--;
  return s.currentUa.subarray(Math.max(hold.first, last - 10), last + 1);
};

const riseWithin = (s: CleanSamples, from: number, to: number): Omit<Rise, 'fromKv' | 'fromUa'> | null => {
  if (to - from < 2) return null;
  const lowKv = Math.min(...s.voltageKv.subarray(from, to + 1));
  const highKv = s.voltageKv[to]!;
  const span = highKv - lowKv;
  if (span < 0.03 * s.topKv) return null;
  let last = to;
  while (last > from && s.voltageKv[last]! > highKv - 0.04 * span) last--;
  let first = last;
  while (first > from && s.voltageKv[first - 1]! > lowKv + 0.04 * span) first--;
  const n = last - first + 1;
  if (n < 2) return null;
  const design = new Float64Array(2 * n);
  for (let i = 0; i < n; i++) {
    design[2 * i] = 1;
    design[2 * i + 1] = s.timeS[first + i]! - s.timeS[first]!;
  }
  const fit = leastSquares(design, 2, s.voltageKv.subarray(first, last + 1));
  if (!fit.known || !(fit.coefficients[1]! > 0)) return null;
  const bend = Math.sqrt(Math.max(fit.residualVariance || 0, 0));
  const allowed = Math.max(0.012 * span, 2 * s.voltageNoiseKv, 0.6 * s.voltageStepKv);
  return { first, last, kvPerS: fit.coefficients[1]!, steady: n < 4 || bend <= allowed };
};

/**
 * Capacitance from the charging current: I = C·dV/dt + G·V over all rises, each counted from the
 * hold before it, wild samples weighed down. `conductionNs`
 * is what the dwell says of G (µA/kV); it steadies short ramps. `absorbedUa` is the absorption current to leave out. Null where no rise has two samples.
 */
export const rampCapacitance = (
  s: CleanSamples,
  rises: readonly Rise[],
  conductionNs: number | null,
  absorbedUa: (rise: Rise, i: number) => number,
): RampCapacitance | null => {
  const rates: number[] = [];
  const volts: number[] = [];
  const current: number[] = [];
  for (const rise of rises) {
    if (rise.last - rise.first < 1) continue;
    for (let i = rise.first; i <= rise.last; i++) {
      const rate = rise.steady ? rise.kvPerS : localRate(s, rise, i);
      if (!(rate > 0)) continue;
      rates.push(rate);
      volts.push(s.voltageKv[i]! - rise.fromKv);
      current.push(s.currentUa[i]! - rise.fromUa - absorbedUa(rise, i));
    }
  }
  const n = rates.length;
  if (n < 2) return null;
  const guess = conductionNs ?? 0;
  const start = Float64Array.from(rates.flatMap((rate, i) => [rate, volts[i]!]));
  const first = n >= 4 ? robustLeastSquares(start, 2, current) : null;
  if (first !== null && first.coefficients[0]! > 0 && first.coefficients[1]! > -0.2 * Math.max(guess, 0.05)) {
    const nf = first.coefficients[0]!;
    const sdNf = Math.sqrt(Math.max(first.covariance[0]!, 0));
    // Without a dwell nothing else is known of conduction: the wide answer is the honest one.
    if (sdNf < (conductionNs === null ? 0.1 : 0.015) * nf) return { nf, sdNf };
  }
  // Few samples, or conduction and charging not told apart: take the dwell's word for conduction.
  const charging = Float64Array.from(current.map((ua, i) => ua - guess * volts[i]!));
  const alone = robustLeastSquares(Float64Array.from(rates), 1, charging);
  return alone === null || !(alone.coefficients[0]! > 0)
    ? null
    : { nf: alone.coefficients[0]!, sdNf: Math.sqrt(Math.max(alone.covariance[0]!, 0)) };
};

const localRate = (s: CleanSamples, rise: Rise, i: number): number => {
  const half = Math.max(2, Math.min(8, Math.round(1.5 / s.periodS)));
  const low = Math.max(rise.first, i - half);
  const high = Math.min(rise.last, i + half);
  const n = high - low + 1;
  let t = 0;
  let v = 0;
  for (let k = low; k <= high; k++) (t += s.timeS[k]! / n), (v += s.voltageKv[k]! / n);
  let tt = 0;
  let tv = 0;
  for (let k = low; k <= high; k++) {
    tt += (s.timeS[k]! - t) ** 2;
    tv += (s.timeS[k]! - t) * (s.voltageKv[k]! - v);
  }
  return tt > 0 ? tv / tt : Number.NaN;
};

import type { ReadingColumns } from './columns.ts';

/** Mantissas of the steps that instruments are built with. */
const mantissas = [5, 2, 1] as const;
/** Readings of one instrument needed before its scale is believed. */
const enough = 12;
/** Share of readings that must lie on the scale: the rest may come from another range. */
const onScale = 0.98;

/**
 * The step of each instrument's scale in µA, found from its readings: the coarsest of 1, 2, 5 × 10^k on whose
 * multiples nearly all of them lie. The last entry is that of unnamed instruments. 0 where no step shows.
 */
export function instrumentSteps(readings: ReadingColumns): Float64Array {
  let instruments = 0;
  for (let r = 0; r < readings.count; r++) instruments = Math.max(instruments, readings.instrument[r]! + 1);
  const groups = instruments + 1;
  const steps = new Float64Array(groups);
  const total = new Int32Array(groups);
  const exponents = [3, 2, 1, 0, -1, -2, -3];
  const candidates: number[] = [];
  for (const exponent of exponents) for (const mantissa of mantissas) candidates.push(mantissa * 10 ** exponent);
  const hits = new Int32Array(groups * candidates.length);
  const stride = Math.max(1, Math.floor(readings.count / 200_000));
  for (let r = 0; r < readings.count; r += stride) {
    const leakage = readings.leakageUa[r]!;
    if (!(leakage > 0)) continue;
    const group = readings.instrument[r]! < 0 ? instruments : readings.instrument[r]!;
    total[group]!++;
    for (let c = 0; c < candidates.length; c++) {
      const steps = leakage / candidates[c]!;
      if (Math.abs(steps - Math.round(steps)) < 1e-6 * Math.max(1, steps) && steps > 0.5) {
        hits[group * candidates.length + c]!++;
      }
    }
  }
  for (let group = 0; group < groups; group++) {
    if (total[group]! < enough) continue;
    for (let c = 0; c < candidates.length; c++) {
      if (hits[group * candidates.length + c]! >= onScale * total[group]!) {
        steps[group] = candidates[c]!;
        break;
      }
    }
  }
  return steps;
}

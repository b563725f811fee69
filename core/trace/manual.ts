import { median } from '../numerics/quantile.ts';
import type { Dwell } from './dwells.ts';
import type { CleanSamples } from './samples.ts';

/** Rows this far apart were written by hand or on the minute. */
const handPeriodS = 10;

export const looksWrittenByHand = (s: CleanSamples): boolean => s.periodS >= handPeriodS && s.timeS.length <= 60;

/**
 * Dwells of a table written by hand: consecutive rows of the same voltage are one step. The voltage is taken to have
 * been raised right after the last reading of the step before.
 */
export const dwellsByHand = (s: CleanSamples): readonly Dwell[] => {
  const dwells: Dwell[] = [];
  let first = 0;
  for (let i = 1; i <= s.timeS.length; i++) {
    if (i < s.timeS.length && Math.abs(s.voltageKv[i]! - s.voltageKv[first]!) <= 0.01 * s.topKv) continue;
    const voltageKv = median(s.voltageKv.subarray(first, i));
    const before = dwells[dwells.length - 1];
    if (voltageKv > 0.05 * s.topKv && (!before || voltageKv > before.voltageKv)) {
      const startS = first > 0 ? s.timeS[first - 1]! : Math.min(s.timeS[0]!, i > 1 ? s.timeS[0]! : 0);
      dwells.push({ first, last: i - 1, voltageKv, startS, endS: s.timeS[i - 1]! });
    }
    first = i;
  }
  return dwells;
};

import type { Breakdown } from './breakdown.ts';
import type { CurrentTrend } from './current.ts';
import type { Dwell } from './dwells.ts';
import type { Outcome, TracePlan } from './reading.ts';
import type { CleanSamples } from './samples.ts';

/** A hold shorter than this is no withstand, whatever was planned. */
const shortestWithstandS = 55;

/**
 * Withstood, broke down, or stopped by hand. Samples alone cannot tell a short plan from an early stop; what the plan
 * says decides where there is one.
 */
export const judgeOutcome = (
  s: CleanSamples,
  main: Dwell | null,
  breakdown: Breakdown | null,
  trend: CurrentTrend | null,
  plan: TracePlan,
): { readonly outcome: Outcome; readonly because: string } => {
  if (breakdown !== null) return { outcome: 'breakdown', because: `the voltage collapsed, seen in ${breakdown.sign}` };
  if (main === null) return { outcome: 'stopped', because: 'no voltage was held' };
  if (/abort|stopp|interrupt|cancel/i.test(plan.resultText ?? ''))
    return { outcome: 'stopped', because: 'the record says that it was stopped' };
  const heldS = main.endS - main.startS;
  const planned = plan.dwellS ?? null;
  if (plan.voltageKv && main.voltageKv < 0.95 * plan.voltageKv)
    return { outcome: 'stopped', because: 'the planned voltage was not reached' };
  if (planned !== null)
    return heldS >= 0.97 * planned - 2
      ? { outcome: 'withstood', because: 'held for the planned time' }
      : { outcome: 'stopped', because: 'lowered before the planned time' };
  if (s.topKv > 1.05 * main.voltageKv && s.voltageKv.subarray(main.last).some((kv) => kv > 1.05 * main.voltageKv))
    return { outcome: 'stopped', because: 'lowered while the voltage was being raised' };
  if (heldS < shortestWithstandS) return { outcome: 'stopped', because: 'held for less than a minute' };
  const offMinute = Math.abs(heldS - 60 * Math.round(heldS / 60));
  if (trend?.rising && offMinute > Math.max(3, 2 * s.periodS))
    return { outcome: 'stopped', because: 'lowered within a minute while the current was rising' };
  return { outcome: 'withstood', because: 'held, then lowered' };
};

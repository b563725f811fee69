import { median } from '../numerics/quantile.ts';
import type { CleanSamples } from './samples.ts';

export interface Breakdown {
  /** Last sample before the collapse. */
  readonly before: number;
  readonly atS: number;
  readonly voltageKv: number;
  /** How it was seen. */
  readonly sign: 'voltage and current' | 'voltage' | 'current at the limit';
}

/**
 * The first collapse: voltage falls by more than half within a second (or between two samples, where they are further
 * apart) and does not come back, or the current jumps to a limit and stays there. A cable that is bled quickly by its
 * tester falls as fast; its current goes to zero or below and the fall begins after whole minutes of dwell, and
 * such a fall is no breakdown.
 */
export const findBreakdown = (s: CleanSamples, dwellStartsS: readonly number[]): Breakdown | null => {
  const { timeS, voltageKv, currentUa } = s;
  const count = timeS.length;
  for (let i = 0; i < count - 1; i++) {
    const from = voltageKv[i]!;
    if (from < 0.15 * s.topKv) continue;
    const to = collapseEnd(s, i);
    if (to === null) continue;
    // The last sample without a visible loss is the last good one.
    let before = to - 1;
    while (before > i && voltageKv[before]! < 0.93 * from) before--;
    if (voltageKv[before]! < 0.8 * recentTop(s, before)) continue;
    const atS = (timeS[before]! + timeS[before + 1]!) / 2;
    const spike = hasSpike(s, before, to);
    if (!spike && looksSwitchedOff(s, before, to, dwellStartsS)) continue;
    return { before, atS, voltageKv: heldBefore(s, before), sign: spike ? 'voltage and current' : 'voltage' };
  }
  return atLimit(currentUa, s);
};

const collapseEnd = (s: CleanSamples, i: number): number | null => {
  const { timeS, voltageKv } = s;
  for (let j = i + 1; j < timeS.length && (j === i + 1 || timeS[j]! - timeS[i]! <= 1.001); j++) {
    // Between samples further apart than a second an ordinary bleed falls further too.
    const half = voltageKv[i]! * 0.5 ** Math.min(4, Math.max(1, timeS[j]! - timeS[i]!));
    if (voltageKv[j]! >= half) continue;
    const until = Math.min(timeS.length, j + 4);
    for (let k = j; k < until; k++) if (voltageKv[k]! > 0.7 * voltageKv[i]!) return null;
    return j;
  }
  return null;
};

/** The highest voltage of the last seconds: what is lowered or bled has left it already, what collapses has not. */
const recentTop = (s: CleanSamples, before: number): number => {
  let top = 0;
  for (let k = before; k >= 0 && (before - k < 3 || s.timeS[before]! - s.timeS[k]! <= 3); k--)
    top = Math.max(top, s.voltageKv[k]!);
  return top;
};

/** A current far above what flowed in the seconds before, in the collapse or beside it. */
const hasSpike = (s: CleanSamples, before: number, to: number): boolean => {
  const usual = median(s.currentUa.subarray(Math.max(0, before - 12), Math.max(1, before - 1)));
  const noise = Math.max(Math.abs(usual) * 0.05, 0.05);
  for (let k = before; k <= Math.min(to + 1, s.currentUa.length - 1); k++)
    if (s.currentUa[k]! > 3 * Math.max(usual, 0) + 20 * noise) return true;
  return false;
};

const looksSwitchedOff = (s: CleanSamples, before: number, to: number, dwellStartsS: readonly number[]): boolean => {
  const start = dwellStartsS.filter((startS) => startS <= s.timeS[before]!).at(-1);
  if (start === undefined) return false;
  const heldS = (s.timeS[before]! + s.timeS[before + 1]!) / 2 - start;
  const fromWhole = Math.abs(heldS - 60 * Math.round(heldS / 60));
  const usual = Math.abs(median(s.currentUa.subarray(Math.max(0, before - 12), before + 1)));
  const after = s.currentUa.subarray(before + 1, Math.min(to + 3, s.currentUa.length));
  const discharging = after.some((ua) => ua < -Math.max(0.03 * usual, 0.01));
  return discharging || (heldS >= 55 && fromWhole <= Math.max(0.5, 0.6 * s.periodS));
};

const heldBefore = (s: CleanSamples, before: number): number => {
  let from = before;
  while (from > 0 && s.timeS[before]! - s.timeS[from]! < Math.max(2, 3 * s.periodS)) from--;
  const rise = s.voltageKv[before]! - s.voltageKv[from]!;
  if (rise < 0.01 * s.topKv) return median(s.voltageKv.subarray(from, before + 1));
  // Still rising: half a sample further, to where the collapse is put.
  const perS = rise / (s.timeS[before]! - s.timeS[from]!);
  return s.voltageKv[before]! + (perS * (s.timeS[before + 1]! - s.timeS[before]!)) / 2;
};

/** The supply holds the current at its limit and the voltage sags under it until the record ends. */
const atLimit = (currentUa: Float64Array, s: CleanSamples): Breakdown | null => {
  const last = currentUa.length - 1;
  const limit = Math.max(...currentUa.subarray(Math.max(0, last - 2)));
  let first = last;
  while (first > 0 && currentUa[first - 1]! >= 0.98 * limit) first--;
  if (first < 8 || s.voltageKv[last]! < 0.15 * s.topKv) return null;
  const usual = Math.max(median(currentUa.subarray(Math.max(0, first - 40), first)), 0.01);
  const most = currentUa.reduce((high, ua) => Math.max(high, ua), 0);
  const sag = s.voltageKv[last]! < 0.95 * s.voltageKv[first - 1]!;
  // A record that ends in its highest current ends in a trip; a lesser jump must last, and the voltage sag under it.
  if (!(limit > 8 * usual && limit >= 0.98 * most) && !(limit > 20 * usual && sag && last - first >= 2)) return null;
  return {
    before: first - 1,
    atS: (s.timeS[first - 1]! + s.timeS[first]!) / 2,
    voltageKv: heldBefore(s, first - 1),
    sign: 'current at the limit',
  };
};

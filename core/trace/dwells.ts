import { median } from '../numerics/quantile.ts';
import type { CleanSamples } from './samples.ts';

/** A stretch at constant voltage. */
export interface Dwell {
  /** First and last sample inside, as indices. */
  readonly first: number;
  readonly last: number;
  readonly voltageKv: number;
  /** Where the rise met the level and where the level was left, seconds, between samples where the slopes tell. */
  readonly startS: number;
  readonly endS: number;
}

/** A hold shorter than this is a pause of the hand on the knob. */
const shortestDwellS = 8;

/** Within this distance of a level a sample belongs to it, kV. */
export const levelToleranceKv = (s: CleanSamples): number =>
  Math.max(0.01 * s.topKv, 1.05 * s.voltageStepKv, 4.5 * s.voltageNoiseKv);

/** All stretches of constant voltage above a twentieth of the top, in order of time. */
export const findDwells = (s: CleanSamples): readonly Dwell[] => {
  const tolerance = levelToleranceKv(s);
  const found: { first: number; last: number; level: number }[] = [];
  for (const run of flatRuns(s)) {
    const grown = grow(s, run, tolerance);
    const before = found[found.length - 1];
    if (before && grown.first <= before.last + 3 && Math.abs(grown.level - before.level) <= tolerance) {
      before.last = Math.max(before.last, grown.last);
      before.level = median(s.voltageKv.subarray(before.first, before.last + 1));
    } else if (!before || grown.last > before.last) {
      found.push({ ...grown, first: before ? Math.max(grown.first, before.last + 1) : grown.first });
    }
  }
  return found
    .map(({ first, last, level }, at) => ({
      first,
      last,
      voltageKv: level,
      startS: startOf(s, first, level, at > 0 ? Math.min(found[at - 1]!.level, level) : 0, tolerance),
      endS: endOf(s, last, level, tolerance),
    }))
    .filter((dwell) => dwell.endS - dwell.startS >= shortestDwellS && dwell.last - dwell.first >= 2);
};

/** Runs of samples around which a line through a few seconds is level. */
const flatRuns = (s: CleanSamples): { first: number; last: number }[] => {
  const { timeS, voltageKv } = s;
  const count = timeS.length;
  const half = Math.max(2.5, 2.2 * s.periodS);
  const runs: { first: number; last: number }[] = [];
  const joinS = Math.max(2, 3.2 * s.periodS);
  let low = 0;
  let high = 0;
  for (let i = 0; i < count; i++) {
    while (timeS[low]! < timeS[i]! - half) low++;
    while (high < count - 1 && timeS[high + 1]! <= timeS[i]! + half) high++;
    if (voltageKv[i]! < 0.05 * s.topKv || !isLevel(s, low, high)) continue;
    const run = runs[runs.length - 1];
    if (run && timeS[i]! - timeS[run.last]! <= joinS && Math.abs(voltageKv[i]! - voltageKv[run.last]!) < 0.02 * s.topKv)
      run.last = i;
    else runs.push({ first: i, last: i });
  }
  return runs;
};

const isLevel = (s: CleanSamples, low: number, high: number): boolean => {
  const n = high - low + 1;
  if (n < 3) return false;
  const { timeS, voltageKv } = s;
  let t = 0;
  let v = 0;
  for (let i = low; i <= high; i++) {
    t += timeS[i]!;
    v += voltageKv[i]!;
  }
  t /= n;
  v /= n;
  let tt = 0;
  let tv = 0;
  for (let i = low; i <= high; i++) {
    tt += (timeS[i]! - t) ** 2;
    tv += (timeS[i]! - t) * (voltageKv[i]! - v);
  }
  const change = Math.abs(tv / tt) * (timeS[high]! - timeS[low]!);
  const byChance = 4 * s.voltageNoiseKv * Math.sqrt(12 / n);
  return change <= Math.max(0.006 * s.topKv, 1.05 * s.voltageStepKv, byChance);
};

/** Takes in the samples on both sides that are still at the level; up to two wild ones are stepped over. */
const grow = (s: CleanSamples, run: { first: number; last: number }, tolerance: number) => {
  const level = median(s.voltageKv.subarray(run.first, run.last + 1));
  const at = (i: number): boolean => i >= 0 && i < s.timeS.length && Math.abs(s.voltageKv[i]! - level) <= tolerance;
  let { first, last } = run;
  for (let skip = 1; skip <= 3; skip++) if (at(first - skip)) (first -= skip), (skip = 0);
  for (let skip = 1; skip <= 3; skip++) if (at(last + skip)) (last += skip), (skip = 0);
  return { first, last, level };
};

/** Where the line through the end of the rise meets the level. */
const startOf = (s: CleanSamples, first: number, level: number, belowKv: number, tolerance: number): number => {
  const { timeS, voltageKv } = s;
  if (first === 0) return timeS[0]!;
  const from = Math.max(belowKv + tolerance, level - 0.4 * (level - belowKv));
  const ramp: number[] = [];
  for (let i = first - 1; i >= 0 && ramp.length < 80; i--) {
    if (voltageKv[i]! > level - tolerance) continue;
    if (voltageKv[i]! < from && ramp.length > 1) break;
    if (voltageKv[i]! <= belowKv + tolerance) break;
    ramp.push(i);
  }
  for (const rows of [ramp, ramp.slice(0, Math.max(4, ramp.length >> 2)), ramp.slice(0, 3)]) {
    const line = lineThrough(s, rows);
    if (line === null || !(line.slope > 0)) continue;
    const bend = Math.max(
      ...rows.map((i) => Math.abs(voltageKv[i]! - line.voltageKv - line.slope * (timeS[i]! - line.timeS))),
    );
    if (rows.length > 4 && bend > Math.max(0.012 * level, 4 * s.voltageNoiseKv, 1.1 * s.voltageStepKv)) continue;
    const meets = line.timeS + (level - line.voltageKv) / line.slope;
    const latest = timeS[first]! + (2 * tolerance) / line.slope + 2 * s.periodS;
    if (meets >= timeS[first - 1]! - s.periodS && meets <= latest) return meets;
  }
  return (timeS[first - 1]! + timeS[first]!) / 2;
};

/** Where the voltage left the level: the line (or the exponential) through the first samples away from it, run back. */
const endOf = (s: CleanSamples, last: number, level: number, tolerance: number): number => {
  const { timeS, voltageKv } = s;
  const next = last + 1;
  if (next >= timeS.length) return timeS[last]!;
  const away: number[] = [];
  for (let i = next; i < timeS.length && away.length < 6; i++) {
    if (Math.abs(voltageKv[i]! - level) <= tolerance) continue;
    if (voltageKv[i]! < 0.03 * level) break;
    away.push(i);
  }
  const middle = (timeS[last]! + timeS[next]!) / 2;
  const [a, b] = away;
  if (a === undefined || b === undefined) return middle;
  const [kvA, kvB] = [voltageKv[a]!, voltageKv[b]!];
  const apartS = timeS[b]! - timeS[a]!;
  if ((kvA - level) * (kvB - kvA) <= 0) return middle;
  const c = away[2];
  // A bleed falls by the same share each second, a knob by the same voltage.
  const shareAB = Math.log(kvA / kvB) / apartS;
  const shareBC = c === undefined ? shareAB : Math.log(kvB / voltageKv[c]!) / (timeS[c]! - timeS[b]!);
  const bleeding = kvB < kvA && voltageKv[c ?? b]! < 0.8 * kvA && shareBC > 0.75 * shareAB && shareBC < 1.35 * shareAB;
  const left = bleeding
    ? timeS[a]! - Math.log(level / kvA) / shareAB
    : timeS[a]! - ((kvA - level) * apartS) / (kvB - kvA);
  return Math.min(Math.max(left, timeS[last]! - s.periodS - tolerance / Math.abs((kvB - kvA) / apartS)), timeS[next]!);
};

const lineThrough = (s: CleanSamples, rows: readonly number[]) => {
  if (rows.length < 2) return null;
  const timeS = rows.reduce((sum, i) => sum + s.timeS[i]!, 0) / rows.length;
  const voltageKv = rows.reduce((sum, i) => sum + s.voltageKv[i]!, 0) / rows.length;
  let tt = 0;
  let tv = 0;
  for (const i of rows) {
    tt += (s.timeS[i]! - timeS) ** 2;
    tv += (s.timeS[i]! - timeS) * (s.voltageKv[i]! - voltageKv);
  }
  return tt > 0 ? { timeS, voltageKv, slope: tv / tt } : null;
};

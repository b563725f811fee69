import type { GrowthFit } from '../growth/growthFit.ts';
import type { ModelFailure } from '../store/columns.ts';
import { calendarYear } from './days.ts';
import { eventLevels } from './event-levels.ts';
import type { ColumnsRead } from './fleet-columns.ts';
import { crossBit, levelStep, notchBit, stripYears, testedBit, yearsBack } from './strips.ts';

const yearDays = 365.25;

/**
 * One byte a segment and year: its level against the limit, and what happened. Between tests of one era the level runs
 * straight in the logarithm; before the first and after the last it follows the fitted growth; before energising and
 * where nothing is known there is none.
 */
export function fillStrips(
  read: ColumnsRead,
  fit: GrowthFit,
  year: number,
  failures: readonly ModelFailure[],
): Uint8Array {
  const { segments, interventions, asOfDay } = read.columns;
  const strips = new Uint8Array(segments.count * stripYears);
  const firstYear = year - yearsBack;
  const mark = (s: number, y: number, bit: number) => {
    const k = y - firstYear;
    if (k >= 0 && k < stripYears) strips[s * stripYears + k]! |= bit;
  };
  const mid = new Float64Array(stripYears);
  for (let k = 0; k < stripYears; k++) mid[k] = Date.UTC(firstYear + k, 6, 1) / 86_400_000;
  const days: number[] = [];
  const logs: number[] = [];
  let cut = 0;
  for (let s = 0; s < segments.count; s++) {
    const cuts: number[] = [];
    while (cut < interventions.count && interventions.segment[cut]! === s) {
      cuts.push(interventions.day[cut]!);
      mark(s, calendarYear(interventions.day[cut]!), notchBit);
      cut++;
    }
    eventLevels(read, fit.readings.adjustedNsPerKm, s, days, logs);
    for (const day of days) mark(s, calendarYear(day), testedBit);
    const limit = segments.limitNsPerKm[s]!;
    if (days.length === 0 || !(limit > 0)) continue;
    const slope = Math.log1p(fit.segments.growthPctPerYr[s]! / 100);
    const now = Math.log(fit.segments.levelNsPerKm[s]!);
    const energised = segments.energisedDay[s]!;
    const retiredOn = read.segments[s]!.retiredOn;
    const retiredYear = retiredOn === null ? Number.POSITIVE_INFINITY : Number(retiredOn.slice(0, 4));
    const bornYear = calendarYear(Number.isNaN(energised) ? days[0]! : energised);
    for (let k = 0; k < stripYears; k++) {
      const day = mid[k]!;
      if (firstYear + k < bornYear) continue;
      if (firstYear + k > retiredYear) break;
      const level =
        firstYear + k >= year ? now + (slope * (day - asOfDay)) / yearDays : pastLevel(day, days, logs, cuts, slope);
      strips[s * stripYears + k]! |= 1 + levelStep(Math.exp(level) / limit);
    }
  }
  for (const failure of failures)
    mark(read.ordinalById.get(failure.segmentId)!, Number(failure.failedOn.slice(0, 4)), crossBit);
  return strips;
}

/** ln level on a past day: between the two tests around it, in its own era. */
function pastLevel(
  day: number,
  days: readonly number[],
  logs: readonly number[],
  cuts: readonly number[],
  slope: number,
): number {
  let eraFrom = Number.NEGATIVE_INFINITY;
  let eraTo = Number.POSITIVE_INFINITY;
  for (const at of cuts) {
    if (at <= day) eraFrom = Math.max(eraFrom, at);
    else eraTo = Math.min(eraTo, at);
  }
  let before = -1;
  let after = -1;
  for (let k = 0; k < days.length; k++) {
    if (days[k]! < eraFrom || days[k]! >= eraTo) continue;
    if (days[k]! <= day) before = k;
    else if (after < 0) after = k;
  }
  if (before >= 0 && after >= 0) {
    const share = (day - days[before]!) / (days[after]! - days[before]!);
    return logs[before]! + share * (logs[after]! - logs[before]!);
  }
  if (before >= 0) return logs[before]! + (slope * (day - days[before]!)) / yearDays;
  if (after >= 0) return logs[after]! - (slope * (days[after]! - day)) / yearDays;
  // An era without a test of its own: the nearest test of another era is the best there is.
  let nearest = 0;
  for (let k = 1; k < days.length; k++) if (Math.abs(days[k]! - day) < Math.abs(days[nearest]! - day)) nearest = k;
  return logs[nearest]!;
}

import { numberCell, scaled } from './cells.ts';
import { momentOf } from './times.ts';
import { secondsPer } from './units.ts';

export interface TimeColumn {
  readonly timeS: Float64Array;
  /** Days since 1970-01-01 of the first sample, where the cells carry a date. */
  readonly day: number | null;
  /** What was mended. */
  readonly findings: readonly string[];
}

/** Seconds from the cells of a time column; NaN where a cell is none. Equal stamps of a coarse clock are spread evenly. */
export const timeColumn = (cells: readonly string[], unit: string, decimal: '.' | ','): TimeColumn => {
  const findings: string[] = [];
  const read = unit === 'clock' || unit === 'date-time' ? clockTimes(cells, unit) : numberTimes(cells, unit, decimal);
  const timeS = spreadEqual(read.timeS, findings);
  return { timeS, day: read.day, findings };
};

/** A count of seconds this high is no test: it is a Unix time, of 1973 or later. */
const epochFromS = 1e8;

const numberTimes = (cells: readonly string[], unit: string, decimal: '.' | ',') => {
  const per = secondsPer[unit] ?? 1;
  const timeS = Float64Array.from(cells, (cell) => {
    const number = numberCell(cell, decimal);
    if (number === null) return Number.NaN;
    return per === 1
      ? scaled(number.digits, 0)
      : per === 0.001
        ? scaled(number.digits, -3)
        : toMicro(Number(number.digits) * per);
  });
  const first = timeS.find((second) => Number.isFinite(second)) ?? 0;
  // Seconds since 1970 become seconds since the first sample.
  if (first < epochFromS) return { timeS, day: null };
  return { timeS: timeS.map((second) => toMicro(second - first)), day: Math.floor(first / 86_400) };
};

const clockTimes = (cells: readonly string[], unit: string) => {
  const short = shortIsMinutes(cells);
  let day: number | null = null;
  let midnights = 0;
  let before = Number.NaN;
  const absolute = Float64Array.from(cells, (cell) => {
    const moment = momentOf(cell, short);
    if (moment === null) return Number.NaN;
    if (moment.day !== null) day ??= moment.day;
    let second =
      moment.secondOfDay + (moment.day !== null && day !== null ? (moment.day - day) * 86_400 : midnights * 86_400);
    if (moment.day === null && second < before - 43_200) {
      midnights++;
      second += 86_400;
    }
    before = second;
    return second;
  });
  const origin = absolute.find((second) => Number.isFinite(second)) ?? 0;
  // A count from zero keeps its own origin; a time of day becomes time since the first sample.
  const from = unit === 'date-time' || origin > 1800 ? origin : 0;
  return { timeS: absolute.map((second) => toMicro(second - from)), day };
};

/** '01:30' is a minute and a half unless it makes sense as hours only: a wall clock read once a minute. */
const shortIsMinutes = (cells: readonly string[]): boolean => {
  const filled = cells.filter((cell) => cell !== '');
  const first = momentOf(filled[0] ?? '', false);
  const last = momentOf(filled[filled.length - 1] ?? '', false);
  if (!first || !last) return true;
  const hours = last.secondOfDay - first.secondOfDay;
  return !(first.secondOfDay > 0 && hours > 0 && hours <= 7200);
};

const toMicro = (seconds: number): number => Math.round(seconds * 1e6) / 1e6;

const spreadEqual = (timeS: Float64Array, findings: string[]): Float64Array => {
  let equal = 0;
  for (let i = 1; i < timeS.length; i++) if (timeS[i] === timeS[i - 1]) equal++;
  if (equal < 0.1 * timeS.length || equal >= timeS.length - 2) return timeS;
  findings.push('several samples share a time stamp; they were spread evenly between stamps');
  const out = Float64Array.from(timeS);
  let first = 0;
  let spacing = 0;
  for (let i = 1; i <= timeS.length; i++) {
    if (i < timeS.length && timeS[i] === timeS[first]) continue;
    const gap = i < timeS.length ? timeS[i]! - timeS[first]! : spacing * (i - first);
    if (gap > 0) {
      spacing = gap / (i - first);
      // The clock may have ticked anywhere in the first run: count it back from the next tick.
      for (let k = first + 1; k < i; k++)
        out[k] = toMicro(timeS[first]! + (first === 0 ? Math.min(spacing, gap / (i - first)) : spacing) * (k - first));
    }
    first = i;
  }
  return out;
};

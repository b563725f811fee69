import type { ShownTrace } from '../../../core/contract/shapes/records.ts';
import { type Axis, levelAxis, linearTicks } from '../../charts/scale.ts';
import { type Quantity, traceFigure } from '../../words/trace.ts';

/** Seconds along, with labels in minutes where the record is long. */
export interface TimeAxis extends Axis {
  readonly inMinutes: boolean;
}

export function timeAxis(traces: readonly ShownTrace[]): TimeAxis {
  const ends = traces.flatMap((trace) => [trace.timeS[0] ?? 0, trace.timeS.at(-1) ?? 0]);
  const min = Math.min(...ends, 0);
  const max = Math.max(...ends, 1);
  const inMinutes = max - min > 240;
  const unit = inMinutes ? 60 : 1;
  return { min, max, inMinutes, ticks: linearTicks(min / unit, max / unit, 9).map((tick) => tick * unit) };
}

/**
 * The axis of a quantity over all the traces, so that a second test is drawn on the same one. A log axis begins under
 * the least value while the voltage was held: before and after it, noise would stretch it over decades.
 */
export function quantityAxis(traces: readonly ShownTrace[], what: Quantity, log: boolean): Axis {
  const figure = traceFigure(traces, what);
  if (!log) return levelAxis({ ...figure, marks: [] });
  const held = traces.flatMap((trace) => {
    const end = trace.parts.findLast((part) => /^(?:dwell|step)/.test(part.name))?.toS ?? Number.POSITIVE_INFINITY;
    return valuesOf(trace, what).filter(
      (value, i): value is number => value !== null && value > 0 && trace.timeS[i]! >= 0 && trace.timeS[i]! < end,
    );
  });
  const floor = held.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY) / 1.5;
  const lines = figure.lines.map((line) => ({ ...line, at: line.at.filter(([, y]) => y >= floor) }));
  return levelAxis({ ...figure, yScale: 'log', lines, marks: [] });
}

export const valuesOf = (trace: ShownTrace, what: Quantity): readonly (number | null)[] =>
  what === 'voltage' ? trace.voltageKv : what === 'current' ? trace.currentUa : trace.resistanceMohm;

/** A path through the samples; it is broken where a sample is missing or lies under `least`. */
export function tracePath(
  trace: ShownTrace,
  what: Quantity,
  x: (seconds: number) => number,
  y: (value: number) => number,
  least: number,
): string {
  let path = '';
  let pen = false;
  valuesOf(trace, what).forEach((value, i) => {
    if (value === null || value < least) {
      pen = false;
      return;
    }
    path += `${pen ? 'L' : 'M'}${x(trace.timeS[i]!).toFixed(1)} ${y(value).toFixed(1)}`;
    pen = true;
  });
  return path;
}

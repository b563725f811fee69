import type { Figure } from '../../core/contract/figure.ts';

/** The span of an axis and the values that carry a label, in the figure's own unit. */
export interface Axis {
  readonly min: number;
  readonly max: number;
  readonly ticks: readonly number[];
}

/** What decides the axes of a chart. */
export type Scaled = Pick<Figure, 'xKind' | 'yScale' | 'points' | 'lines' | 'bands' | 'levels' | 'marks'>;

/** Both figures' worth of axes, so that two charts side by side can be compared by eye. */
export const scaledTogether = (a: Figure, b: Figure): Scaled => ({
  xKind: a.xKind,
  yScale: a.yScale,
  points: [...a.points, ...b.points],
  lines: [...a.lines, ...b.lines],
  bands: [...a.bands, ...b.bands],
  levels: [...a.levels, ...b.levels],
  marks: [...a.marks, ...b.marks],
});

/** How far beyond readings and limits a band may push the axis before it is cut. */
const bandReach = 6;

/** The level axis. On a log scale the labels are 1, 2, 5 of each decade, or decades alone where there are many. */
export function levelAxis(figure: Scaled): Axis {
  const log = figure.yScale === 'log';
  const seen = [...figure.points.flatMap((p) => p.at.map(([, y]) => y)), ...figure.levels.map((l) => l.y)];
  const drawn = [
    ...figure.lines.flatMap((l) => l.at.map(([, y]) => y)),
    ...figure.bands.flatMap((b) => b.at.flatMap(([, lo, hi]) => [lo, hi])),
  ];
  const usable = (values: number[]) => values.filter((y) => Number.isFinite(y) && (!log || y > 0));
  const firm = usable(seen);
  const all = usable([...seen, ...drawn]);
  if (all.length === 0) return { min: log ? 0.1 : 0, max: log ? 10 : 1, ticks: log ? [0.1, 1, 10] : [0, 1] };
  const base = firm.length > 0 ? firm : all;
  if (!log) {
    const min = Math.min(0, ...all);
    return { min, max: Math.max(...all) * 1.05, ticks: linearTicks(min, Math.max(...all) * 1.05) };
  }
  const min = Math.max(Math.min(...all), Math.min(...base) / bandReach) / 1.35;
  const max = Math.min(Math.max(...all), Math.max(...base) * bandReach) * 1.35;
  return { min, max, ticks: logTicks(min, max) };
}

function logTicks(min: number, max: number): number[] {
  const decades = Math.log10(max / min);
  const steps = decades > 3.2 ? [1] : [1, 2, 5];
  const ticks: number[] = [];
  for (let power = Math.floor(Math.log10(min)); power <= Math.ceil(Math.log10(max)); power++)
    for (const step of steps) {
      const value = Number(`${step}e${power}`);
      if (value >= min && value <= max) ticks.push(value);
    }
  return ticks;
}

export function linearTicks(min: number, max: number, about = 6): number[] {
  const raw = (max - min) / about || 1;
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = ([1, 2, 5, 10].find((s) => s * power >= raw) ?? 10) * power;
  const ticks: number[] = [];
  for (let value = Math.ceil(min / step) * step; value <= max + step * 1e-9; value += step)
    ticks.push(Number(value.toPrecision(12)));
  return ticks;
}

/** The axis along: whole years where it is years. */
export function alongAxis(figure: Scaled): Axis {
  const xs = [
    ...figure.points.flatMap((p) => p.at.map(([x]) => x)),
    ...figure.lines.flatMap((l) => l.at.map(([x]) => x)),
    ...figure.bands.flatMap((b) => b.at.map(([x]) => x)),
    ...figure.marks.map((m) => m.x),
  ].filter(Number.isFinite);
  if (xs.length === 0) return { min: 0, max: 1, ticks: [0, 1] };
  if (figure.xKind !== 'year') {
    const min = Math.min(0, ...xs);
    const max = Math.max(...xs);
    return { min, max: max + (max - min) * 0.03, ticks: linearTicks(min, max) };
  }
  const min = Math.floor(Math.min(...xs)) - 1;
  const max = Math.ceil(Math.max(...xs)) + 1;
  const step = max - min > 60 ? 10 : max - min > 14 ? 5 : max - min > 6 ? 2 : 1;
  const ticks: number[] = [];
  for (let year = Math.ceil(min / step) * step; year <= max; year += step) ticks.push(year);
  return { min, max, ticks };
}

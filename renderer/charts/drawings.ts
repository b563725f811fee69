import type { CustomSeriesOption } from 'echarts/charts';
import { format } from 'echarts/core';
import type { Figure } from '../../core/contract/figure.ts';
import type { ChartColours } from './colours.ts';
import { freePlace, type Taken } from './freePlace.ts';

/** The parts of a chart that ECharts has no series for, each a small drawing of its own. */

type Shape = NonNullable<ReturnType<NonNullable<CustomSeriesOption['renderItem']>>>;

interface Area {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

const font = '12px "Source Sans 3", system-ui, sans-serif';

function drawing(
  z: number,
  data: number[][],
  draw: (area: Area, coord: (at: number[]) => number[], index: number) => Shape,
): CustomSeriesOption {
  return {
    type: 'custom',
    silent: true,
    z,
    data,
    encode: { x: -1, y: -1 },
    renderItem: (params, api) => draw(params.coordSys as unknown as Area, (at) => api.coord(at), params.dataIndex),
  };
}

const line = (
  x1: number,
  y1: number,
  x2: number,
  y2: number,
  stroke: string,
  lineWidth: number,
  lineDash?: number[],
): Shape =>
  ({
    type: 'line',
    shape: { x1, y1, x2, y2 },
    style: { stroke, lineWidth, ...(lineDash ? { lineDash } : {}) },
  }) as Shape;

const text = (
  x: number,
  y: number,
  words: string,
  fill: string,
  align: 'left' | 'right' = 'left',
  upright: 'bottom' | 'middle' = 'bottom',
): Shape =>
  ({
    type: 'text',
    style: { x, y, text: words, fill, font, textAlign: align, textVerticalAlign: upright },
  }) as unknown as Shape;

const group = (children: Shape[]): Shape => ({ type: 'group', children }) as unknown as Shape;

/** Faint lines at the labelled levels. */
export const rulingSeries = (ticks: readonly number[], colours: ChartColours): CustomSeriesOption =>
  drawing(
    1,
    ticks.map((tick) => [0, tick]),
    (area, coord, at) => {
      const y = Math.round(coord([0, ticks[at]!])[1]!) + 0.5;
      return line(area.x, y, area.x + area.width, y, colours.grid, 1);
    },
  );

/** A band of the level to come: [x, low, high]. */
export const bandSeries = (
  at: readonly (readonly [number, number, number])[],
  sharePct: number,
  colours: ChartColours,
): CustomSeriesOption =>
  drawing(2, [[0, 0]], (_area, coord) => {
    const upper = at.map(([x, , hi]) => coord([x, hi]));
    const lower = at.map(([x, lo]) => coord([x, lo])).reverse();
    return {
      type: 'polygon',
      shape: { points: [...upper, ...lower] },
      style: { fill: colours.band, opacity: sharePct > 70 ? 0.14 : 0.2 },
    } as Shape;
  });

/** Half the size of a reading's sign, and of a drawn line, with room to breathe; px. */
const signReach = 7;
const lineReach = 3;
const labelHeight = 15;
/** A line is looked at every so many px along. */
const sampleEvery = 6;

/** A limit across the chart, its name and owner on the line where they cover neither readings nor lines. */
export function levelSeries(figure: Figure, y: (value: number) => number, colours: ChartColours): CustomSeriesOption {
  const { levels } = figure;
  const signs = figure.points.flatMap((series) => series.at.map(([x, value]) => [x, y(value)]));
  const lines = figure.lines.map((each) => each.at.map(([x, value]) => [x, y(value)]));
  return drawing(
    5,
    levels.map((l) => [0, y(l.y)]),
    (area, coord, at) => {
      const { name, y: value } = levels[at]!;
      const lineY = coord([0, y(value)])[1]!;
      const taken: Taken[] = [
        ...signs.map((sign) => takenAt(coord(sign), signReach)),
        ...lines.flatMap((each) => along(each.map(coord)).map((point) => takenAt(point, lineReach))),
        ...figure.marks.flatMap(({ x }) => upright(coord([x, 0])[0]!, area).map((point) => takenAt(point, lineReach))),
      ];
      const width = format.getTextRect(name, font).width;
      const place = freePlace(area, { width, height: labelHeight, lineY }, taken);
      return group([
        line(area.x, lineY, area.x + area.width, lineY, colours.ink, 1.3),
        text(place.x, place.y + labelHeight, name, colours.ink),
      ]);
    },
  );
}

const upright = (x: number, area: Area): number[][] =>
  along([
    [x, area.y],
    [x, area.y + area.height],
  ]);

const takenAt = ([x, y]: readonly number[], reach: number): Taken => ({ x: x!, y: y!, reach });

/** Points along a drawn line, close enough that no label fits between two. */
function along(points: readonly (readonly number[])[]): number[][] {
  const out: number[][] = [];
  for (let i = 1; i < points.length; i++) {
    const [ax, ay] = points[i - 1]! as [number, number];
    const [bx, by] = points[i]! as [number, number];
    const steps = Math.max(1, Math.ceil(Math.hypot(bx - ax, by - ay) / sampleEvery));
    for (let k = 0; k <= steps; k++) out.push([ax + ((bx - ax) * k) / steps, ay + ((by - ay) * k) / steps]);
  }
  return out;
}

/** Where an era begins, or anything else that happened on a day. */
export const markSeries = (marks: readonly { name: string; x: number }[], colours: ChartColours): CustomSeriesOption =>
  drawing(
    3,
    marks.map((m) => [m.x, 0]),
    (area, coord, at) => {
      const x = coord([marks[at]!.x, 0])[0]!;
      const right = x > area.x + area.width * 0.72;
      // Neighbours take turns on two lines above the plot, so that their words do not meet.
      const y = area.y - 6 + (at % 2) * 14;
      return group([
        line(x, area.y - 6, x, area.y + area.height, colours.tick, 1, [2, 3]),
        text(right ? x - 6 : x + 6, y + 6, marks[at]!.name, colours.second, right ? 'right' : 'left'),
      ]);
    },
  );

/** Each phase named at the right, at the height of its last reading, pushed apart where they meet. */
export function labelSeries(figure: Figure, y: (value: number) => number, colours: ChartColours): CustomSeriesOption {
  const last = new Map<'A' | 'B' | 'C', { x: number; y: number }>();
  for (const series of figure.points) {
    if (series.phase === null) continue;
    for (const [x, value] of series.at) {
      const known = last.get(series.phase);
      if (!known || x >= known.x) last.set(series.phase, { x, y: value });
    }
  }
  const named = [...last].sort(([, a], [, b]) => b.y - a.y);
  return drawing(7, named.length > 0 ? [[0, 0]] : [], (area, coord) => {
    const pitch = 18;
    const places: number[] = [];
    for (const [, at] of named) {
      const wanted = coord([at.x, y(at.y)])[1]!;
      places.push(Math.max(wanted, (places.at(-1) ?? Number.NEGATIVE_INFINITY) + pitch));
    }
    const over = Math.max(0, (places.at(-1) ?? 0) - (area.y + area.height - 4));
    const x = area.x + area.width + 14;
    return group(
      named.flatMap(([phase], at) => {
        const cy = places[at]! - over;
        return [sign(phase, x, cy, colours), text(x + 10, cy + 0.5, `phase ${phase}`, colours.ink, 'left', 'middle')];
      }),
    );
  });
}

function sign(phase: 'A' | 'B' | 'C', cx: number, cy: number, colours: ChartColours): Shape {
  const fill = colours.phases[phase];
  if (phase === 'A') return { type: 'circle', shape: { cx, cy, r: 4 }, style: { fill } } as Shape;
  if (phase === 'B')
    return {
      type: 'polygon',
      shape: {
        points: [
          [cx, cy - 5],
          [cx + 5, cy + 3.5],
          [cx - 5, cy + 3.5],
        ],
      },
      style: { fill },
    } as Shape;
  return {
    type: 'rect',
    shape: { x: cx - 3.6, y: cy - 3.6, width: 7.2, height: 7.2 },
    style: { fill: 'transparent', stroke: fill, lineWidth: 1.8 },
  } as Shape;
}

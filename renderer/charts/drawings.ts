import { format } from 'echarts/core';
import type { Figure } from '../../core/contract/figure.ts';
import type { ChartColours } from './colours.ts';
import { freePlace, type Taken } from './freePlace.ts';
import {
  type Area,
  type At,
  clipped,
  font,
  group,
  line,
  namedSize,
  polygon,
  polyline,
  readingSize,
  type Shape,
  sign,
  text,
} from './shapes.ts';

/** A figure on its way to the page: where its plot lies and where a point of it falls, px. */
export interface Plot {
  readonly figure: Figure;
  readonly colours: ChartColours;
  readonly area: Area;
  /** Labels of the level axis, in the figure's own unit. */
  readonly ticks: readonly number[];
  /** Where a point stands; a level that the axis cannot show stands at its edge. */
  readonly at: (point: readonly [number, number]) => At;
}

/** Everything between the axes, from the ground up. */
export const plotted = (plot: Plot): Shape =>
  group([
    ...rulings(plot),
    ...bands(plot),
    ...marks(plot),
    ...lines(plot),
    ...levels(plot),
    ...readings(plot),
    ...phaseNames(plot),
  ]);

/** Logarithms leave out what is not above nothing. */
const drawable =
  ({ yScale }: Figure) =>
  ([, value]: readonly [number, number]): boolean =>
    yScale === 'linear' || value > 0;

/** Faint lines at the labelled levels. */
function rulings({ area, ticks, at, colours }: Plot): Shape[] {
  return ticks.map((tick) => {
    const y = Math.round(at([0, tick])[1]!) + 0.5;
    return line([area.x, y], [area.x + area.width, y], { stroke: colours.grid, lineWidth: 1 });
  });
}

/** Bands of the level to come, cut at the edges of the plot. */
function bands({ figure, area, at, colours }: Plot): Shape[] {
  const within = ([x, y]: At): At => [x!, Math.max(area.y, Math.min(area.y + area.height, y!))];
  return figure.bands.map((band) => {
    const upper = band.at.map(([x, , hi]) => within(at([x, hi])));
    const lower = band.at.map(([x, lo]) => within(at([x, lo]))).reverse();
    return polygon([...upper, ...lower], colours.band, band.sharePct > 70 ? 0.14 : 0.2);
  });
}

/** Where an era begins, or anything else that happened on a day. */
function marks({ figure, area, at, colours }: Plot): Shape[] {
  return figure.marks.flatMap((mark, index) => {
    const x = at([mark.x, figure.yScale === 'log' ? 1 : 0])[0]!;
    const right = x > area.x + area.width * 0.72;
    // Neighbours take turns on two lines above the plot, so that their words do not meet.
    const y = area.y + (index % 2) * 14;
    return [
      line([x, area.y - 6], [x, area.y + area.height], { stroke: colours.tick, lineWidth: 1, lineDash: [2, 3] }),
      text([right ? x - 6 : x + 6, y], mark.name, colours.second, right ? 'right' : 'left'),
    ];
  });
}

/** Lines, the last the strongest. Where no readings are drawn the lines are the matter, and each is named at its end. */
function lines({ figure, area, at, colours }: Plot): Shape[] {
  const drawn = figure.lines.map(({ name, at: points }, index) => {
    const last = index === figure.lines.length - 1;
    return {
      name,
      points: points.filter(drawable(figure)).map(at),
      ink: last ? colours.ink : colours.second,
      width: last ? 1.6 : 1.1,
    };
  });
  const named = figure.points.length === 0 ? drawn.filter(({ points }) => points.length > 0) : [];
  return [
    clipped(
      drawn.map(({ points, ink, width }) => polyline(points, ink, width)),
      area,
    ),
    ...named.map(({ name, points, ink }) => {
      const [x, y] = points.at(-1)!;
      return text([x! + 5, y!], name, ink, 'left', 'middle');
    }),
  ];
}

function readings({ figure, at, colours }: Plot): Shape[] {
  return figure.points.flatMap(({ phase, faint, at: points }) => {
    const ink = phase ? colours.phases[phase] : colours.accent;
    return points.filter(drawable(figure)).map((point) => sign(phase, at(point), readingSize, ink, faint ? 0.38 : 1));
  });
}

/** Half the size of a reading's sign, and of a drawn line, with room to breathe; px. */
const signReach = 7;
const lineReach = 3;
const labelHeight = 15;
/** A line is looked at every so many px along. */
const sampleEvery = 6;

/** Limits across the chart, each with its name and owner on the line where they cover neither readings nor lines. */
function levels({ figure, area, at, colours }: Plot): Shape[] {
  if (figure.levels.length === 0) return [];
  const taken: Taken[] = [
    ...figure.points.flatMap((series) => series.at.map((point) => takenAt(at(point), signReach))),
    ...figure.lines.flatMap((each) => along(each.at.map(at)).map((point) => takenAt(point, lineReach))),
    ...figure.marks.flatMap(({ x }) => upright(at([x, 1])[0]!, area).map((point) => takenAt(point, lineReach))),
  ];
  return figure.levels.flatMap(({ name, y: value }) => {
    const lineY = at([0, value])[1]!;
    const { width } = format.getTextRect(name, font);
    const place = freePlace(area, { width, height: labelHeight, lineY }, taken);
    return [
      line([area.x, lineY], [area.x + area.width, lineY], { stroke: colours.ink, lineWidth: 1.3 }),
      text([place.x, place.y + labelHeight], name, colours.ink),
    ];
  });
}

const upright = (x: number, area: Area): At[] =>
  along([
    [x, area.y],
    [x, area.y + area.height],
  ]);

const takenAt = ([x, y]: At, reach: number): Taken => ({ x: x!, y: y!, reach });

/** Points along a drawn line, close enough that no label fits between two. */
function along(points: readonly At[]): At[] {
  const out: At[] = [];
  for (let i = 1; i < points.length; i++) {
    const [ax, ay] = points[i - 1]! as [number, number];
    const [bx, by] = points[i]! as [number, number];
    const steps = Math.max(1, Math.ceil(Math.hypot(bx - ax, by - ay) / sampleEvery));
    for (let k = 0; k <= steps; k++) out.push([ax + ((bx - ax) * k) / steps, ay + ((by - ay) * k) / steps]);
  }
  return out;
}

/** Each phase named at the right, at the height of its last reading, pushed apart where they meet. */
function phaseNames({ figure, area, at, colours }: Plot): Shape[] {
  const last = new Map<'A' | 'B' | 'C', readonly [number, number]>();
  for (const { phase, at: points } of figure.points) {
    if (phase === null) continue;
    for (const point of points) {
      const known = last.get(phase);
      if (!known || point[0] >= known[0]) last.set(phase, point);
    }
  }
  const pitch = 18;
  const places: { phase: 'A' | 'B' | 'C'; y: number }[] = [];
  for (const [phase, point] of [...last].sort(([, a], [, b]) => b[1] - a[1]))
    places.push({ phase, y: Math.max(at(point)[1]!, (places.at(-1)?.y ?? Number.NEGATIVE_INFINITY) + pitch) });
  const over = Math.max(0, (places.at(-1)?.y ?? 0) - (area.y + area.height - 4));
  const x = area.x + area.width + 14;
  return places.flatMap(({ phase, y }) => [
    sign(phase, [x, y - over], namedSize, colours.phases[phase]),
    text([x + 10, y - over + 0.5], `phase ${phase}`, colours.ink, 'left', 'middle'),
  ]);
}

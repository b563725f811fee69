import type { CustomSeriesOption } from 'echarts/charts';

/** Shapes as ECharts draws them; a later one lies on the former. */
export type Shape = NonNullable<ReturnType<NonNullable<CustomSeriesOption['renderItem']>>>;

/** A rectangle on the chart, px. */
export interface Area {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export type At = readonly number[];

export const sans = '"Source Sans 3", system-ui, sans-serif';
export const font = `12px ${sans}`;

export const line = (
  [x1, y1]: At,
  [x2, y2]: At,
  style: { stroke: string; lineWidth: number; lineDash?: number[] },
): Shape => ({ type: 'line', shape: { x1, y1, x2, y2 }, style }) as Shape;

export const polyline = (points: readonly At[], stroke: string, lineWidth: number): Shape =>
  ({ type: 'polyline', shape: { points }, style: { stroke, lineWidth, fill: 'none', lineJoin: 'bevel' } }) as Shape;

export const polygon = (points: readonly At[], fill: string, opacity: number): Shape =>
  ({ type: 'polygon', shape: { points }, style: { fill, opacity } }) as Shape;

export const text = (
  [x, y]: At,
  words: string,
  fill: string,
  align: 'left' | 'right' = 'left',
  upright: 'bottom' | 'middle' = 'bottom',
): Shape =>
  ({
    type: 'text',
    style: { x, y, text: words, fill, font, textAlign: align, textVerticalAlign: upright },
  }) as unknown as Shape;

export const group = (children: readonly Shape[]): Shape => ({ type: 'group', children }) as unknown as Shape;

/** The same, nothing of it beyond an area. */
export const clipped = (children: readonly Shape[], area: Area): Shape =>
  ({ type: 'group', children, clipPath: { type: 'rect', shape: { ...area } } }) as unknown as Shape;

/** Sizes of the sign of a phase, px. */
interface SignSize {
  readonly radius: number;
  readonly width: number;
  readonly height: number;
  readonly side: number;
}

/** A reading. */
export const readingSize: SignSize = { radius: 4.25, width: 10.5, height: 9.5, side: 7.5 };
/** The sign beside a phase's name. */
export const namedSize: SignSize = { radius: 4, width: 10, height: 8.5, side: 7.2 };

/** A dot for phase A and for what has no phase, a triangle for B, a hollow square for C. */
export function sign(phase: 'A' | 'B' | 'C' | null, [cx, cy]: At, size: SignSize, ink: string, opacity = 1): Shape {
  const [x, y] = [cx!, cy!];
  const { radius, width, height, side } = size;
  if (phase === 'B') {
    const corners = [
      [x, y - height / 2],
      [x + width / 2, y + height / 2],
      [x - width / 2, y + height / 2],
    ];
    return polygon(corners, ink, opacity);
  }
  if (phase === 'C')
    return {
      type: 'rect',
      shape: { x: x - side / 2, y: y - side / 2, width: side, height: side },
      style: { fill: 'transparent', stroke: ink, lineWidth: 1.8, opacity },
    } as Shape;
  return { type: 'circle', shape: { cx: x, cy: y, r: radius }, style: { fill: ink, opacity } } as Shape;
}

import type { YearStrip } from '../../core/contract/shapes/strip.ts';

/** Measures of a strip's cells, in px. */
export interface CellSize {
  readonly width: number;
  readonly gap: number;
  readonly height: number;
}

/** Outlines of a strip, one path a kind and level, so that a row costs a handful of elements and not one a year. */
export interface StripPaths {
  readonly solid: readonly string[];
  readonly thin: readonly string[];
  readonly hatched: readonly string[];
  readonly unknown: string;
  readonly notches: string;
  readonly crosses: string;
  /** Crosses on tested years, drawn in the colour of the paper. */
  readonly crossesOnInk: string;
  readonly width: number;
}

/** Room above the cells for the notch. */
export const notchRoom = 2;

export function stripPaths(strip: YearStrip, size: CellSize): StripPaths {
  const { width, gap, height } = size;
  const tested = new Set(strip.tested);
  const notched = new Set(strip.notches);
  const crossed = new Set(strip.crosses);
  const solid = ['', '', '', '', '', ''];
  const thin = ['', '', '', '', '', ''];
  const hatched = ['', '', '', '', '', ''];
  let unknown = '';
  let notches = '';
  let crosses = '';
  let crossesOnInk = '';
  const middle = notchRoom + height / 2;
  for (let year = strip.from; year <= strip.to; year++) {
    const x = round((year - strip.from) * (width + gap));
    const level = strip.levels[year - strip.from] ?? -1;
    if (level < 0 || level > 5) {
      if (tested.has(year)) unknown += box(x, notchRoom, width, height);
      else if (year <= strip.now) unknown += box(x, middle - 0.5, width, 1);
    } else if (year > strip.now) hatched[level] += box(x, notchRoom, width, height);
    else if (tested.has(year)) solid[level] += box(x, notchRoom, width, height);
    else thin[level] += box(x + 0.5, middle - 1.5, width - 1, 3);
    if (notched.has(year)) notches += `M${round(x - 1)} 0h4l-4 6z`;
    if (crossed.has(year)) {
      const arm = Math.min(width, height) / 2 - 1;
      const cx = x + width / 2;
      const mark = `M${round(cx - arm)} ${round(middle - arm)}l${round(2 * arm)} ${round(2 * arm)}m0 ${round(-2 * arm)}l${round(-2 * arm)} ${round(2 * arm)}`;
      if (tested.has(year)) crossesOnInk += mark;
      else crosses += mark;
    }
  }
  const years = strip.to - strip.from + 1;
  return { solid, thin, hatched, unknown, notches, crosses, crossesOnInk, width: round(years * (width + gap) - gap) };
}

const round = (value: number): number => Math.round(value * 100) / 100;
const box = (x: number, y: number, w: number, h: number): string =>
  `M${round(x)} ${round(y)}h${round(w)}v${round(h)}h${round(-w)}z`;

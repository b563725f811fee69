import type { Figure } from '../../core/contract/figure.ts';

export interface FigureRow {
  readonly key: string;
  readonly what: string;
  readonly x: string;
  readonly y: string;
  readonly lo: string;
  readonly hi: string;
}

const number = (value: number): string => String(Number(value.toPrecision(5)));

/** Every number that a figure draws, in reading order: readings, limits, marks, lines, bands. */
export function figureRows(figure: Figure): FigureRow[] {
  const along = (x: number): string => (figure.xKind === 'year' ? String(Math.round(x * 100) / 100) : number(x));
  const rows: FigureRow[] = [];
  const add = (what: string, x: string, y: string, lo = '', hi = ''): void => {
    rows.push({ key: String(rows.length), what, x, y, lo, hi });
  };
  for (const series of figure.points)
    for (const [x, y] of series.at)
      add(series.faint ? `${series.name} (counted less)` : series.name, along(x), number(y));
  for (const level of figure.levels) add(level.name, '', number(level.y));
  for (const mark of figure.marks) add(mark.name, along(mark.x), '');
  for (const line of figure.lines) for (const [x, y] of line.at) add(line.name, along(x), number(y));
  for (const band of figure.bands)
    for (const [x, lo, hi] of band.at) add(`${band.name}, ${band.sharePct} %`, along(x), '', number(lo), number(hi));
  return rows;
}

import type { Figure } from '../../core/contract/figure.ts';
import { monthYear } from './dates.ts';
import { list, measured } from './numbers.ts';

/** The caption of a chart: what is drawn, in which unit, what the bands are. */
export function figureWords(figure: Figure): string {
  const scale = figure.yScale === 'log' ? ', log scale' : '';
  const shares = [...new Set(figure.bands.map((band) => band.sharePct))].sort((a, b) => a - b);
  const bands =
    shares.length === 0
      ? ''
      : ` Band: ${list(shares.map((share) => `${share}\u00a0%`))} of the ${figure.yLabel === 'failures' ? 'number' : 'level'} to come.`;
  const unit = figure.title.toLowerCase().includes(figure.yLabel) ? '' : `, ${figure.yLabel}`;
  return `${figure.title}${unit}${scale}.${bands}`;
}

/** What the marks mean, where readings of phases are drawn. */
export function underFigureWords({ points }: Figure): string {
  const pale = points.some(({ faint }) => faint) ? 'Pale: counted less, the margin or the table says why. ' : '';
  return points.some(({ phase }) => phase !== null)
    ? `${pale}Colours and shapes of phases are not a local phase code.`
    : pale.trim();
}

/** The reading under the pointer. */
export function pointWords(figure: Figure, series: number, index: number): string | null {
  const of = figure.points[series];
  const at = of?.at[index];
  if (!of || !at) return null;
  const what = of.phase ? `phase ${of.phase}` : of.name;
  return `${alongWords(figure, at[0])}, ${what}: ${measured(at[1])}${of.faint ? ', counted less' : ''}`;
}

function alongWords(figure: Figure, x: number): string {
  if (figure.xKind !== 'year') return `${measured(x)} ${figure.xKind === 'number' ? '' : figure.xKind}`.trim();
  const month = Math.min(11, Math.floor((x - Math.floor(x)) * 12)) + 1;
  return monthYear(`${Math.floor(x)}-${String(month).padStart(2, '0')}-01`);
}

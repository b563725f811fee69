import type { Figure } from '../../core/contract/figure.ts';
import { figureRows } from './figureRows.ts';

/** A figure's numbers as CSV (RFC 4180). */
export function figureCsv(figure: Figure): string {
  const cell = (text: string): string => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  const head = ['what', figure.xLabel, figure.yLabel, 'from', 'to'];
  const rows = figureRows(figure).map((row) => [row.what, row.x, row.y, row.lo, row.hi]);
  return [head, ...rows].map((row) => `${row.map(cell).join(',')}\r\n`).join('');
}

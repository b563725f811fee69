import { pdfInk } from './pdf.ts';

export interface PictureYear {
  readonly year: number;
  readonly budget: number;
  readonly spent: number;
  readonly riskBefore: number;
  readonly riskLeft: number;
}

const width = 490;
const height = 164;
const left = 44;
const right = 6;

/** 1,250,000 as '1.25 M', 48,000 as '48 k'; the space does not break. */
export function shortMoney(x: number): string {
  const size = Math.abs(x);
  if (size >= 1e6) return `${Number((x / 1e6).toPrecision(3))}\u00a0M`;
  if (size >= 1e3) return `${Number((x / 1e3).toPrecision(3))}\u00a0k`;
  return String(Math.round(x));
}

function niceTop(x: number): number {
  if (!(x > 0)) return 1;
  const power = 10 ** Math.floor(Math.log10(x));
  for (const step of [1, 1.5, 2, 3, 4, 5, 7.5, 10]) if (step * power >= x) return step * power;
  return 10 * power;
}

const xmlText = (text: string) => text.replaceAll('&', '&amp;').replaceAll('<', '&lt;');
const text = (x: number, y: number, words: string, anchor = 'middle', ink: string = pdfInk.ink2) =>
  `<text x="${x.toFixed(1)}" y="${y.toFixed(1)}" font-family="Sans" font-size="8" fill="${ink}" text-anchor="${anchor}">${xmlText(words)}</text>`;

/**
 * The years as columns of a ledger: each year's money as a rule, what the works fill of it in ink, and over it the
 * expected cost of failures with no work (open) and with the plan (filled).
 */
export function planPicture(years: readonly PictureYear[]): string {
  const column = (width - left - right) / Math.max(1, years.length);
  const moneyTop = niceTop(Math.max(...years.map((y) => Math.max(y.budget, y.spent))));
  const riskTop = niceTop(Math.max(...years.map((y) => Math.max(y.riskBefore, y.riskLeft))));
  const base = height - 24;
  const floor = 68;
  const money = (x: number) => base - ((base - floor - 12) * x) / moneyTop;
  const risk = (x: number) => floor - 14 - (40 * x) / riskTop;
  let svg = '';
  for (const share of [0, 0.5, 1]) {
    const y = money(moneyTop * share);
    svg += `<line x1="${left}" x2="${width - right}" y1="${y}" y2="${y}" stroke="${pdfInk.rule}" stroke-width="0.6"/>`;
    svg += text(left - 4, y + 3, shortMoney(moneyTop * share), 'end');
  }
  svg += text(left - 4, risk(riskTop) + 3, shortMoney(riskTop), 'end');
  svg += text(left - 4, risk(0) + 3, '0', 'end');
  svg += `<line x1="${left}" x2="${width - right}" y1="${risk(0)}" y2="${risk(0)}" stroke="${pdfInk.rule}" stroke-width="0.6"/>`;
  const middle = (k: number) => left + column * (k + 0.5);
  years.forEach((year, k) => {
    const x = left + column * k + column * 0.2;
    const w = column * 0.6;
    svg += `<rect x="${x}" y="${money(year.spent)}" width="${w}" height="${Math.max(0, base - money(year.spent))}" fill="${pdfInk.petrol}"/>`;
    svg += `<line x1="${x - 3}" x2="${x + w + 3}" y1="${money(year.budget)}" y2="${money(year.budget)}" stroke="${pdfInk.ink}" stroke-width="1.2"/>`;
    svg += text(middle(k), base + 11, String(year.year));
  });
  const path = (of: (year: PictureYear) => number) =>
    years.map((year, k) => `${k === 0 ? 'M' : 'L'}${middle(k).toFixed(1)} ${risk(of(year)).toFixed(1)}`).join(' ');
  svg += `<path d="${path((y) => y.riskBefore)}" fill="none" stroke="${pdfInk.ink2}" stroke-width="1" stroke-dasharray="3 2"/>`;
  svg += `<path d="${path((y) => y.riskLeft)}" fill="none" stroke="${pdfInk.ink}" stroke-width="1.4"/>`;
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}">${svg}</svg>`;
}

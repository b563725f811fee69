import { pdfInk } from './pdf.ts';

export interface MethodBar {
  readonly fleet: string;
  readonly method: string;
  readonly rankCorrelation: number | null;
  readonly inside90Pct: number | null;
}

const font = 'font-family="Source Sans 3, sans-serif" font-size="12"';
const xmlText = (text: string) => text.replaceAll('&', '&amp;').replaceAll('<', '&lt;');

/**
 * Ranking quality of each method on each fleet as dots on one scale (0 to 1), ours filled, the others open; at the right
 * the coverage of our 90 % interval.
 */
export function methodPicture(bars: readonly MethodBar[], ours: string): string {
  const fleets = [...new Set(bars.map((bar) => bar.fleet))];
  const row = 34;
  const left = 150;
  const span = 420;
  const height = 64 + fleets.length * row;
  const x = (value: number) => left + span * Math.max(0, Math.min(1, value));
  let svg = `<text x="16" y="22" ${font} font-weight="600" fill="${pdfInk.ink}">Rank correlation with the true growth: ${xmlText(ours)} (filled) beside plain methods (open); coverage of its 90 % interval</text>`;
  for (const tick of [0, 0.25, 0.5, 0.75, 1])
    svg += `<line x1="${x(tick)}" x2="${x(tick)}" y1="36" y2="${height - 24}" stroke="${pdfInk.rule}"/><text x="${x(tick)}" y="${height - 8}" text-anchor="middle" ${font} fill="${pdfInk.ink2}">${tick}</text>`;
  fleets.forEach((fleet, k) => {
    const y = 52 + k * row;
    svg += `<text x="16" y="${y + 4}" ${font} fill="${pdfInk.ink}">${xmlText(fleet)}</text>`;
    for (const bar of bars.filter((one) => one.fleet === fleet)) {
      if (bar.rankCorrelation === null) continue;
      const own = bar.method === ours;
      svg += `<circle cx="${x(bar.rankCorrelation)}" cy="${y}" r="5" fill="${own ? pdfInk.petrol : 'none'}" stroke="${own ? pdfInk.petrol : pdfInk.ink2}" stroke-width="1.4"><title>${xmlText(bar.method)}: ${bar.rankCorrelation.toFixed(2)}</title></circle>`;
      if (own && bar.inside90Pct !== null)
        svg += `<text x="${left + span + 24}" y="${y + 4}" ${font} fill="${pdfInk.ink}">${bar.inside90Pct.toFixed(0)} %</text>`;
    }
  });
  return `<svg xmlns="http://www.w3.org/2000/svg" width="680" height="${height}" viewBox="0 0 680 ${height}"><rect width="680" height="${height}" fill="#fffdf8"/>${svg}</svg>\n`;
}

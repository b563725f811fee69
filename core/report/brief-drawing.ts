import type { Brief } from '../contract/shapes/retest.ts';
import type { YearStrip } from '../contract/shapes/strip.ts';
import { pdfInk } from './pdf.ts';

/** The light tokens of the look: level against the limit, six steps. */
export const levelInk = ['#efe3c8', '#dcbc92', '#bf8c75', '#8d5e76', '#5a3d70', '#2a1b44'] as const;
const phaseInk = { A: '#0d5663', B: '#a4551c', C: '#5a3d70' } as const;

const n = (value: number): string => value.toFixed(2);
const xmlText = (text: string) => text.replaceAll('&', '&amp;').replaceAll('<', '&lt;');
const label = (x: number, y: number, words: string, anchor: 'start' | 'middle' | 'end' = 'middle') =>
  `<text x="${n(x)}" y="${n(y)}" font-family="Sans" font-size="7" fill="${pdfInk.ink2}" text-anchor="${anchor}">${xmlText(words)}</text>`;
const svg = (width: number, height: number, body: string) =>
  `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}">${body}</svg>`;

/** The sign of a phase: A filled circle, B filled triangle, C open square. */
export function phaseMark(phase: 'A' | 'B' | 'C'): string {
  const ink = phaseInk[phase];
  if (phase === 'A') return svg(12, 12, `<circle cx="6" cy="6" r="4" fill="${ink}"/>`);
  if (phase === 'B') return svg(12, 12, `<path d="M6 1.5l5 8.5h-10z" fill="${ink}"/>`);
  return svg(12, 12, `<rect x="2.4" y="2.4" width="7.2" height="7.2" fill="none" stroke="${ink}" stroke-width="1.8"/>`);
}

/** The year strip across the sheet: tall tested, thin between, struck through forecast; notch work, cross failure. */
export function stripPicture(strip: YearStrip, width: number): string {
  const years = strip.to - strip.from + 1;
  const pitch = Math.min(14, width / years);
  const cell = pitch * 0.82;
  const [top, height] = [3, 13];
  const tested = new Set(strip.tested);
  let body = '';
  for (let year = strip.from; year <= strip.to; year++) {
    const x = (year - strip.from) * pitch;
    const ink = levelInk[strip.levels[year - strip.from] ?? -1];
    const rect = (y: number, h: number, look: string) =>
      `<rect x="${n(x)}" y="${n(y)}" width="${n(cell)}" height="${n(h)}" ${look}/>`;
    if (ink === undefined) body += rect(top + height / 2 - 0.3, 0.6, `fill="${pdfInk.rule}"`);
    else if (year > strip.now) {
      body += rect(top + 0.4, height - 0.8, `fill="none" stroke="${ink}" stroke-width="0.8"`);
      body += `<path d="M${n(x)} ${top + height}L${n(x + cell)} ${top}" stroke="${ink}" stroke-width="1.4"/>`;
    } else if (tested.has(year)) body += rect(top, height, `fill="${ink}"`);
    else body += rect(top + height / 2 - 1.5, 3, `fill="${ink}"`);
    if (strip.notches.includes(year)) body += `<path d="M${n(x - 1)} 0h4l-4 6z" fill="${pdfInk.ink}"/>`;
    if (strip.crosses.includes(year)) {
      const arm = Math.min(cell, height) / 2 - 1;
      const [cx, cy] = [x + cell / 2, top + height / 2];
      body += `<path d="M${n(cx - arm)} ${n(cy - arm)}L${n(cx + arm)} ${n(cy + arm)}M${n(cx - arm)} ${n(cy + arm)}L${n(cx + arm)} ${n(cy - arm)}" stroke="${tested.has(year) ? '#ffffff' : pdfInk.ink}" stroke-width="1.2"/>`;
    }
    const step = pitch > 7 ? 5 : 10;
    if (year % step === 0 && x < width - 18) body += label(x, top + height + 9, String(year), 'start');
  }
  return svg(width, 26, body);
}

const kinds: Readonly<Record<string, string>> = {
  heat_shrink: 'heat shrink',
  cold_shrink: 'cold shrink',
};
const inWords = (kind: string | null) => (kind === null ? '' : (kinds[kind] ?? kind.replaceAll('_', ' ')));

/** Splices with a place, in order along the length, and what each is; the numbers stand in the picture. */
export const spliceList = (brief: Brief, length: (metres: number) => string): string[] =>
  placedSplices(brief).map((splice, at) =>
    [
      `${at + 1}: ${length(splice.positionM!)}`,
      inWords(splice.kind),
      splice.installedOn === null ? '' : splice.installedOn.slice(0, 4),
      splice.phase === null || splice.phase === brief.phases ? '' : `phase ${splice.phase}`,
      splice.removed ? 'taken out' : '',
    ]
      .filter((word) => word !== '')
      .join(' '),
  );

const placedSplices = (brief: Brief) =>
  brief.splices.filter((splice) => splice.positionM !== null).sort((a, b) => a.positionM! - b.positionM!);

/** The cable from end to end, its splices numbered in order along the length. */
export function cablePicture(brief: Brief, width: number, length: (metres: number) => string): string {
  const pad = 5;
  const x = (metres: number) => pad + (Math.min(metres, brief.lengthM) / brief.lengthM) * (width - 2 * pad);
  let body = `<line x1="${pad}" x2="${width - pad}" y1="19" y2="19" stroke="${pdfInk.ink}" stroke-width="1.6"/>`;
  for (const at of [pad - 3, width - pad])
    body += `<rect x="${at}" y="14" width="3" height="10" fill="${pdfInk.ink}"/>`;
  let last = Number.NEGATIVE_INFINITY;
  let high = false;
  placedSplices(brief).forEach((splice, index) => {
    const at = x(splice.positionM!);
    body += `<circle cx="${n(at)}" cy="19" r="3.4" fill="#ffffff" stroke="${splice.removed ? pdfInk.rule : pdfInk.ink}" stroke-width="1.3"/>`;
    // Numbers of close neighbours take turns at two heights.
    high = at - last < 10 ? !high : false;
    last = at;
    body += label(at, high ? 6 : 13, String(index + 1));
  });
  const ends = (end: 'from' | 'to') =>
    [
      end === 'from' ? brief.fromPoint : brief.toPoint,
      ...new Set(brief.terminations.filter((one) => one.end === end).map((one) => inWords(one.kind))),
    ]
      .filter((word) => word !== null && word !== '')
      .join(', ');
  body += label(0, 33, `0 · ${ends('from') || 'from'}`, 'start');
  body += label(width, 33, `${ends('to') || 'to'} · ${length(brief.lengthM)}`, 'end');
  return svg(width, 35, body);
}

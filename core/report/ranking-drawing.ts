import type { Interval90 } from '../contract/shapes/known.ts';
import type { YearStrip } from '../contract/shapes/strip.ts';
import { levelInk } from './brief-drawing.ts';
import { pdfInk } from './pdf.ts';

const n = (value: number): string => String(Math.round(value * 100) / 100);
const svg = (width: number, height: number, body: string) =>
  `<svg xmlns="http://www.w3.org/2000/svg" width="${n(width)}" height="${height}" viewBox="0 0 ${n(width)} ${height}">${body}</svg>`;

export interface Scale {
  readonly lo: number;
  readonly hi: number;
}

const side = 5;
const rowHeight = 11;
const placeOf =
  (scale: Scale, width: number) =>
  (value: number): number =>
    side + ((Math.max(scale.lo, Math.min(scale.hi, value)) - scale.lo) / (scale.hi - scale.lo)) * (width - 2 * side);

/** An estimate as dot and line on the scale of all rows; hollow where the interval includes no growth, an arrow where it leaves the scale. */
export function intervalPicture({ value, lo, hi }: Interval90, scale: Scale, width: number): string {
  const x = placeOf(scale, width);
  const middle = rowHeight / 2;
  const sure = lo > 0 || hi < 0;
  let body = `<path d="M${n(x(0))} 0v${rowHeight}" stroke="${pdfInk.rule}" stroke-width="0.6"/>`;
  body += `<path d="M${n(x(lo))} ${middle}H${n(x(hi))}" stroke="${pdfInk.petrol}" stroke-width="1.1"/>`;
  if (hi > scale.hi && value <= scale.hi)
    body += `<path d="M${n(width - side + 3)} ${middle}l-3 -2.2v4.4z" fill="${pdfInk.petrol}"/>`;
  if (lo < scale.lo && value >= scale.lo)
    body += `<path d="M${side - 3} ${middle}l3 -2.2v4.4z" fill="${pdfInk.petrol}"/>`;
  if (value > scale.hi)
    return svg(
      width,
      rowHeight,
      `${body}<path d="M${n(width - side - 3)} ${middle - 2.6}l5 2.6l-5 2.6z" fill="${pdfInk.petrol}"/>`,
    );
  if (value < scale.lo)
    return svg(
      width,
      rowHeight,
      `${body}<path d="M${side + 3} ${middle - 2.6}l-5 2.6l5 2.6z" fill="${pdfInk.petrol}"/>`,
    );
  body += `<circle cx="${n(x(value))}" cy="${middle}" r="2.3" fill="${sure ? pdfInk.petrol : '#ffffff'}" stroke="${pdfInk.petrol}" stroke-width="0.9"/>`;
  return svg(width, rowHeight, body);
}

/** The scale of the intervals, for the head of their column. */
export function scalePicture(scale: Scale, width: number): string {
  const x = placeOf(scale, width);
  const room = scale.hi - scale.lo;
  const step = [1, 2, 5, 10, 20, 50, 100].find((each) => room / each <= 4) ?? 200;
  let body = '';
  for (let tick = Math.ceil(scale.lo / step) * step; tick <= scale.hi; tick += step)
    body += `<text x="${n(x(tick))}" y="7" font-family="Sans" font-size="6.5" fill="${pdfInk.ink2}" text-anchor="middle">${tick < 0 ? `−${-tick}` : tick}</text>`;
  return svg(width, 9, body);
}

/** A row's year strip: tall tested, thin between, open with a stroke forecast; notch work, cross failure. */
export function rowStripPicture(strip: YearStrip, width: number): string {
  const pitch = width / (strip.to - strip.from + 1);
  const cell = pitch * 0.74;
  const [top, height] = [1.5, 8];
  const middle = top + height / 2;
  const tested = new Set(strip.tested);
  const solid = new Map<string, string>();
  const open = new Map<string, string>();
  const put = (paths: Map<string, string>, ink: string, path: string) =>
    paths.set(ink, `${paths.get(ink) ?? ''}${path}`);
  const box = (x: number, y: number, w: number, h: number) => `M${n(x)} ${n(y)}h${n(w)}v${n(h)}h${n(-w)}z`;
  let marks = '';
  for (let year = strip.from; year <= strip.to; year++) {
    const x = (year - strip.from) * pitch;
    const ink = levelInk[strip.levels[year - strip.from] ?? -1];
    if (ink === undefined) put(solid, pdfInk.rule, box(x, middle - 0.3, cell, 0.6));
    else if (year > strip.now)
      put(
        open,
        ink,
        `${box(x + 0.2, top + 0.2, cell - 0.4, height - 0.4)}M${n(x)} ${top + height}L${n(x + cell)} ${top}`,
      );
    else if (tested.has(year)) put(solid, ink, box(x, top, cell, height));
    else put(solid, ink, box(x, middle - 1, cell, 2));
    if (strip.notches.includes(year)) marks += `<path d="M${n(x - 0.6)} 0h2.8l-2.8 3.6z" fill="${pdfInk.ink}"/>`;
    if (strip.crosses.includes(year)) {
      const [left, right] = [n(x + 0.2), n(x + cell - 0.2)];
      const [up, down] = [n(middle - cell / 2), n(middle + cell / 2)];
      const stroke = tested.has(year) ? '#ffffff' : pdfInk.ink;
      marks += `<path d="M${left} ${up}L${right} ${down}M${left} ${down}L${right} ${up}" stroke="${stroke}" stroke-width="0.8"/>`;
    }
  }
  let body = '';
  for (const [ink, path] of solid) body += `<path d="${path}" fill="${ink}"/>`;
  for (const [ink, path] of open) body += `<path d="${path}" fill="none" stroke="${ink}" stroke-width="0.5"/>`;
  return svg(width, rowHeight, body + marks);
}

import { type PdfContent, type PdfNode, pdfInk } from './pdf.ts';

/** Type and measures that the parts of the retest brief share: a whole record on one sheet needs small print. */
export const small = { fontSize: 7.4, lineHeight: 0.94 } as const;

export interface Units {
  readonly length: (metres: number) => string;
  readonly temperature: (celsius: number) => string;
}

export const unitsOf = (system: 'metric' | 'us'): Units =>
  system === 'us'
    ? {
        length: (m) => `${Math.round(m / 0.3048).toLocaleString('en')} ft`,
        temperature: (c) => `${Math.round(c * 1.8 + 32)} °F`,
      }
    : {
        length: (m) => (m < 2000 ? `${Math.round(m).toLocaleString('en')} m` : `${(m / 1000).toFixed(2)} km`),
        temperature: (c) => `${c.toFixed(1)} °C`,
      };

export const heading = (text: string): PdfNode => ({
  text,
  font: 'Serif',
  fontSize: 10.5,
  bold: true,
  lineHeight: 1,
  margin: [0, 3, 0, 1],
});
export const line = (text: PdfContent, more: PdfNode = {}): PdfNode => ({
  text,
  ...small,
  margin: [0, 0, 0, 0.9],
  ...more,
});
/** How far a source may be trusted, as the words of a source end with it; nothing where the document itself was read. */
const marks = /, (as quoted elsewhere|from memory, unverified|computed here|common practice, no source)$/;

/** The document and how far it may be trusted; the window shows edition and table. */
export function shortSource(source: string): string {
  const mark = marks.exec(source)?.[1];
  return source.split(/[,(;]/)[0]!.trim() + (mark === undefined ? '' : ` (${mark})`);
}
export const grey = (source: string): PdfNode => ({
  text: ` ${shortSource(source)}`,
  color: pdfInk.ink2,
  fontSize: 6.6,
});

export const cell = (text: string, right = true): PdfNode => ({
  text,
  fontSize: 7.8,
  lineHeight: 0.96,
  ...(right ? { alignment: 'right' } : {}),
});
export const headCell = (text: string, right = true): PdfNode => ({
  ...cell(text, right),
  color: pdfInk.ink2,
  fontSize: 7.5,
});

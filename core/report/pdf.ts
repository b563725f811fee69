import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { type PdfPaper, rememberShapes } from './pdf-shaping.ts';

/** What pdfmake draws: text, a node of its document language (table, stack, columns, svg …), or a list of these. */
export type PdfContent = string | PdfNode | readonly PdfContent[];
export interface PdfNode {
  readonly [key: string]: unknown;
}

export interface PdfDefinition {
  readonly content: PdfContent;
  readonly paper?: 'A4' | 'LETTER';
  readonly landscape?: boolean;
  /** Left, top, right, bottom in points, where the usual ones would cost a sheet its single page. */
  readonly margins?: readonly [number, number, number, number];
  /** Styles beside or instead of `pdfStyles`. */
  readonly styles?: { readonly [name: string]: PdfNode };
}

export interface PdfOptions {
  /** ISO 8601 UTC; stands in the file as its date, so that the same content gives the same bytes. */
  readonly createdAt: string;
  readonly title: string;
  readonly footer: PdfFooter;
}

/** What stands at the foot of every page. */
export interface PdfFooter {
  /** SHA-256 of the ledger's head, hexadecimal, so that a paper kept elsewhere pins the file; null without a ledger. */
  readonly ledgerHead: string | null;
  readonly ledgerSeq: number | null;
  /** Cautions that belong to every page; '' for none. */
  readonly caution: string;
}

/** The light tokens of the look. */
export const pdfInk = {
  ink: '#1d2830',
  ink2: '#56626a',
  rule: '#ddd5c6',
  petrol: '#0d5663',
  rust: '#94391c',
  wash: '#e2eeee',
} as const;

/** Named styles: `title` and `sentence` in the serif; tables and notes in the sans with tabular lining figures. */
export const pdfStyles = {
  title: { font: 'Serif', fontSize: 21, bold: true, lineHeight: 1.1, margin: [0, 0, 0, 8] },
  sentence: { font: 'Serif', fontSize: 13, lineHeight: 1.3, margin: [0, 0, 0, 12] },
  heading: { font: 'Serif', fontSize: 13.5, bold: true, margin: [0, 16, 0, 5] },
  note: { fontSize: 8.5, color: pdfInk.ink2 },
  caution: { fontSize: 9, color: pdfInk.rust },
  head: { fontSize: 8.5, color: pdfInk.ink2 },
  cell: { fontSize: 9 },
  large: { font: 'Serif', fontSize: 26, bold: true },
} as const;

/** Tables ruled like a ledger: a line under the head and a hairline under each row, no boxes. Use as `layout`. */
export const ruledTable = {
  hLineWidth: (line: number, node: { table: { headerRows?: number; body: unknown[] } }) =>
    line === 0 ? 0 : line === (node.table.headerRows ?? 0) ? 0.9 : 0.4,
  vLineWidth: () => 0,
  hLineColor: (line: number, node: { table: { headerRows?: number } }) =>
    line === (node.table.headerRows ?? 0) ? pdfInk.ink2 : pdfInk.rule,
  paddingLeft: (column: number) => (column === 0 ? 0 : 6),
  paddingRight: () => 6,
  paddingTop: () => 2,
  paddingBottom: () => 2,
};

interface PdfMake {
  setFonts(fonts: object): void;
  setUrlAccessPolicy(allowed: (url: string) => boolean): void;
  setLocalAccessPolicy(allowed: (path: string) => boolean): void;
  createPdf(definition: object): { getBuffer(): Promise<Uint8Array> };
}

const require = createRequire(import.meta.url);
let ready: PdfMake | undefined;

/** pdfmake with our two families, unable to fetch from a network or to read any other file of the disk. */
function pdfmake(): PdfMake {
  if (ready) return ready;
  const made = require('pdfmake') as PdfMake;
  rememberShapes((require('pdfmake/js/PDFDocument.js') as { default: PdfPaper }).default);
  const serif = family('@expo-google-fonts/source-serif-4', 'SourceSerif4');
  const sans = family('@expo-google-fonts/source-sans-3', 'SourceSans3');
  const allowed = new Set([...Object.values(serif), ...Object.values(sans)]);
  made.setFonts({ Serif: serif, Sans: sans });
  made.setUrlAccessPolicy(() => false);
  made.setLocalAccessPolicy((path) => allowed.has(path));
  ready = made;
  return made;
}

function family(pack: string, name: string): Record<'normal' | 'bold' | 'italics' | 'bolditalics', string> {
  const folder = dirname(require.resolve(`${pack}/package.json`));
  const file = (weight: string) => join(folder, weight, `${name}_${weight}.ttf`);
  return {
    normal: file('400Regular'),
    bold: file('600SemiBold'),
    italics: file('400Regular_Italic'),
    bolditalics: file('600SemiBold_Italic'),
  };
}

/**
 * A tagged PDF 1.7 in the project's look; the same definition, title and `createdAt` give the same bytes.
 * Every page carries the ledger's head, the caution and its number.
 */
export async function makePdf(definition: PdfDefinition, options: PdfOptions): Promise<Uint8Array> {
  const created = new Date(options.createdAt);
  if (Number.isNaN(created.getTime())) throw new RangeError(`'${options.createdAt}' is not a moment in ISO 8601`);
  return pdfmake()
    .createPdf({
      version: '1.7',
      tagged: true,
      displayTitle: true,
      language: 'en',
      info: { title: options.title, producer: 'Cable Yearbook', creator: 'Cable Yearbook', creationDate: created },
      pageSize: definition.paper ?? 'A4',
      pageOrientation: definition.landscape ? 'landscape' : 'portrait',
      pageMargins: definition.margins ?? [52, 48, 52, options.footer.caution === '' ? 58 : 76],
      defaultStyle: {
        font: 'Sans',
        fontSize: 10,
        lineHeight: 1.25,
        color: pdfInk.ink,
        fontFeatures: ['kern', 'liga', 'tnum', 'lnum'],
      },
      styles: { ...pdfStyles, ...definition.styles },
      content: definition.content,
      footer: (page: number, pages: number) => footer(options, page, pages, definition.margins?.[0] ?? 52),
    })
    .getBuffer();
}

/** Loads what the first paper needs, its fonts too, for whoever is likely to print next. */
export async function readyPdf(): Promise<void> {
  const fonts = (['Sans', 'Serif'] as const).flatMap((font) => [false, true].map((bold) => ({ font, bold })));
  const words = 'The quick brown fox jumps over the lazy dog: 0123456789.';
  const footer = { ledgerHead: null, ledgerSeq: null, caution: '' };
  await makePdf(
    { content: fonts.map((each) => ({ ...each, text: words })) },
    { createdAt: '2000-01-01T00:00:00Z', title: '', footer },
  );
}

function footer(
  { title, footer: { ledgerHead, ledgerSeq, caution } }: PdfOptions,
  page: number,
  pages: number,
  side: number,
): PdfNode {
  const pin =
    ledgerHead === null
      ? 'Made without a fleet file: no ledger stands behind this sheet.'
      : `Ledger line ${ledgerSeq ?? ''}, SHA-256 ${ledgerHead}`;
  return {
    margin: [side, 8, side, 0],
    lineHeight: 1.05,
    stack: [
      ...(caution === '' ? [] : [{ text: caution, fontSize: 7.5, color: pdfInk.rust, margin: [0, 0, 0, 4] }]),
      {
        columns: [
          { text: `${title}\n${pin}`, fontSize: 7, color: pdfInk.ink2, width: '*' },
          { text: `Page ${page} of ${pages}`, fontSize: 7.5, color: pdfInk.ink2, width: 'auto', alignment: 'right' },
        ],
        columnGap: 12,
      },
    ],
  };
}

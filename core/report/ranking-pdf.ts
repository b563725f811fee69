import type { RankingColumn } from '../contract/asks/ranking.ts';
import type { RankingRow } from '../contract/shapes/standing.ts';
import { makePdf, type PdfFooter, type PdfNode, pdfInk, ruledTable } from './pdf.ts';
import { measured } from './quantities.ts';
import { intervalPicture, rowStripPicture, type Scale, scalePicture } from './ranking-drawing.ts';

/** A stretch of the ranking as it is printed: rows in order, and everything that says what they are. */
export interface RankingPrint {
  readonly utility: string;
  readonly sentence: string;
  /** How to read it, under the table's head. */
  readonly notes: readonly string[];
  readonly rows: readonly (RankingRow & { readonly crosses: string })[];
  readonly scale: Scale;
  readonly without: readonly RankingColumn[];
  readonly paper: 'A4' | 'LETTER';
}

const side = 30;
const gap = 8;
const landscapeWidth = { A4: 841.89, LETTER: 792 } as const;
const leastInterval = 70;
const mostInterval = 240;

interface PrintColumn {
  readonly key: RankingColumn | 'rank' | 'name' | 'interval' | 'growth';
  readonly width: number;
  readonly head: PdfNode;
  readonly cell: (row: RankingPrint['rows'][number]) => PdfNode;
}

const fontSize = 8;
const text = (words: string, alignment = 'left', more: PdfNode = {}): PdfNode => ({
  text: words,
  fontSize,
  lineHeight: 1.05,
  alignment,
  ...more,
});
const grey = { color: pdfInk.ink2 };
const head = (words: string, alignment = 'left'): PdfNode =>
  text(words, alignment, { ...grey, bold: true, fontSize: 7.5 });

const one = (x: number) => x.toFixed(1).replace('-', '−');
const chance = (p: number) => (p < 0.01 ? '<1 %' : p > 0.99 ? '>99 %' : `${(100 * p).toFixed(0)} %`);

function movedWords({ rank, rankLastYear }: RankingRow): string {
  if (rank === null) return '';
  if (rankLastYear === null) return 'new';
  const by = rankLastYear - rank;
  return by === 0 ? '–' : by > 0 ? `up ${by}` : `down ${-by}`;
}

/** '10.6', or with the phase that surely stands above it: '8.1, A 38'. */
const levelWords = ({ levelNsPerKm, highPhase }: RankingRow): string =>
  levelNsPerKm === null
    ? '–'
    : `${measured(levelNsPerKm)}${highPhase ? `, ${highPhase.phase} ${measured(highPhase.levelNsPerKm)}` : ''}`;

function columnsOf({ rows, scale, without, paper }: RankingPrint): PrintColumn[] {
  const strip = rows[0]?.strip;
  const stripWidth = 96;
  const plain = (
    key: PrintColumn['key'],
    width: number,
    name: string,
    alignment: string,
    words: (row: RankingPrint['rows'][number]) => string,
    more: PdfNode = {},
  ): PrintColumn => ({
    key,
    width,
    head: head(name, alignment),
    cell: (row) => text(words(row), alignment, more),
  });
  const fixed: PrintColumn[] = [
    plain('rank', 24, 'Rank', 'right', (row) => (row.rank === null ? '–' : String(row.rank))),
    plain('moved', 36, 'Last year', 'left', movedWords, grey),
    plain('name', 88, 'Segment', 'left', (row) => row.name, { bold: true }),
    plain(
      'insulation',
      70,
      'Insulation, since',
      'left',
      (row) => `${row.insulation}${row.energisedYear ? `, ${row.energisedYear}` : ''}`,
      grey,
    ),
    plain('growth', 78, '% a year (90 %)', 'right', (row) =>
      row.growthPctPerYr
        ? `${one(row.growthPctPerYr.value)} (${one(row.growthPctPerYr.lo)} to ${one(row.growthPctPerYr.hi)})`
        : (row.because ?? '–'),
    ),
    plain('level', 52, 'Level, nS/km', 'right', levelWords),
    plain('crossing', 82, 'Crosses the limit', 'right', (row) => (row.rank === null ? '–' : row.crosses)),
    plain('p5', 34, 'within 5 years', 'right', (row) => (row.pExceed5y === null ? '–' : chance(row.pExceed5y))),
    plain('tests', 24, 'Tests', 'right', (row) => String(row.tests)),
    {
      key: 'strip',
      width: stripWidth,
      head: head(strip ? `Years ${strip.from} to ${strip.to}` : 'Years'),
      cell: (row) => ({ svg: rowStripPicture(row.strip, stripWidth), width: stripWidth }),
    },
  ];
  const kept = fixed.filter(({ key }) => !(without as readonly string[]).includes(key));
  const used = kept.reduce((sum, column) => sum + column.width + gap, gap);
  const width = Math.max(leastInterval, Math.min(mostInterval, landscapeWidth[paper] - 2 * side - used));
  const at = kept.findIndex(({ key }) => key === 'growth');
  kept.splice(at, 0, {
    key: 'interval',
    width,
    head: { stack: [head('Growth, 90 % interval'), { svg: scalePicture(scale, width), width }] },
    cell: ({ growthPctPerYr }) =>
      growthPctPerYr ? { svg: intervalPicture(growthPctPerYr, scale, width), width } : text(''),
  });
  return kept;
}

/** The ranking on landscape sheets, its head repeated on each: A4 or Letter. */
export function rankingPdf(
  print: RankingPrint,
  options: { createdAt: string; footer: PdfFooter },
): Promise<Uint8Array> {
  const columns = columnsOf(print);
  const title = `Growth of leakage, ${print.utility}`;
  return makePdf(
    {
      paper: print.paper,
      landscape: true,
      margins: [side, 36, side, options.footer.caution === '' ? 46 : 62],
      content: [
        { text: title, style: 'title' },
        { text: print.sentence, style: 'sentence', margin: [0, 0, 0, 6] },
        ...print.notes.map((note) => ({ text: note, style: 'note', margin: [0, 0, 0, 3] })),
        {
          margin: [0, 6, 0, 0],
          layout: {
            ...ruledTable,
            paddingLeft: (column: number) => (column === 0 ? 0 : gap / 2),
            paddingRight: () => gap / 2,
            paddingTop: () => 1.6,
            paddingBottom: () => 0.8,
          },
          table: {
            headerRows: 1,
            dontBreakRows: true,
            widths: columns.map((column) => column.width),
            body: [
              columns.map((column) => column.head),
              ...print.rows.map((row) => columns.map((column) => column.cell(row))),
            ],
          },
        },
      ],
    },
    { ...options, title },
  );
}

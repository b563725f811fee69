import { makePdf, type PdfContent, type PdfFooter, type PdfNode, pdfInk, ruledTable } from './pdf.ts';
import {
  cell,
  costsTable,
  leftOutTable,
  right,
  waitingTable,
  whatIfTable,
  whole,
  worksTable,
  yearsTable,
} from './plan-pdf-tables.ts';
import { planPicture, shortMoney } from './plan-picture.ts';
import type { PlanPrint } from './plan-print.ts';
import type { PlanTableRow } from './plan-table.ts';

/** A plan of more works than this prints the largest of each year; the workbook has them all. */
const printedInFull = 500;
const largestOfYear = 20;

/** Closer lines than elsewhere: the first page must hold its summary, and the works are many. */
const styles = {
  cell: { fontSize: 9, lineHeight: 1.08 },
  head: { fontSize: 8.5, lineHeight: 1.08, color: pdfInk.ink2 },
  note: { fontSize: 8.5, lineHeight: 1.12, color: pdfInk.ink2 },
  sentence: { font: 'Serif', fontSize: 12.5, lineHeight: 1.2, margin: [0, 0, 0, 8] },
  heading: { font: 'Serif', fontSize: 13.5, bold: true, lineHeight: 1.1, margin: [0, 12, 0, 4] },
} as const;

const pairs = (rows: readonly (readonly [string, PdfNode])[], widths: readonly string[]): PdfNode => ({
  layout: ruledTable,
  margin: [0, 0, 0, 6],
  table: {
    headerRows: 0,
    widths: [...widths],
    body: rows.map(([name, value]) => [{ text: name, style: 'note' }, value]),
  },
});

const moneyNote = ({ currency }: PlanPrint): string =>
  currency === null ? 'Money in the owner’s currency, which has no name in this fleet.' : `Money in ${currency}.`;

function summaryPage(plan: PlanPrint): PdfContent[] {
  return [
    { text: plan.utility, style: 'note', margin: [0, 0, 0, 2] },
    { text: plan.title, style: 'title' },
    { text: plan.standing, style: 'note', margin: [0, 0, 0, 10] },
    { text: plan.sentence, style: 'sentence' },
    {
      columns: plan.figures.map(([figure, words]) => ({
        stack: [
          { text: figure, style: 'large', fontSize: 22, lineHeight: 1.05 },
          { text: words, style: 'note' },
        ],
      })),
      columnGap: 16,
      margin: [0, 2, 0, 10],
    },
    {
      text: 'Money of each year (rule) and what the projects take of it (filled). Above it the expected cost of failures: with no work (dashed) and with the plan (line).',
      style: 'note',
      margin: [0, 0, 0, 2],
    },
    { svg: planPicture(plan.years), width: 490 },
    { text: 'What waiting costs', style: 'heading' },
    { text: plan.waitingSays, lineHeight: 1.15 },
    { text: 'Works that take most risk away', style: 'heading' },
    worksTable([...plan.rows].sort((a, b) => b.benefitPv - a.benefitPv).slice(0, 5)),
    { text: `${moneyNote(plan)} PV: present value.`, style: 'note', margin: [0, 4, 0, 0] },
  ];
}

function moneyPage(plan: PlanPrint): PdfContent[] {
  return [
    { text: 'The terms', style: 'heading', pageBreak: 'before' },
    pairs(
      plan.terms.map(([name, value]) => [name, cell(value)] as const),
      ['auto', '*'],
    ),
    { text: 'What it comes to, in present value', style: 'heading' },
    pairs(
      plan.money.map(([name, amount]) => [name, right(whole(amount))] as const),
      ['auto', 'auto'],
    ),
    { text: 'The years', style: 'heading' },
    yearsTable(plan.years),
    {
      text: `${moneyNote(plan)} Risk is the expected cost of failures in the year. The range beside the failures holds their number nine times in ten.`,
      style: 'note',
      margin: [0, 4, 0, 0],
    },
    ...(plan.years.some((year) => year.waiting !== null)
      ? [
          {
            unbreakable: true,
            stack: [
              { text: 'What waiting costs', style: 'heading' },
              waitingTable(plan.years),
              {
                text: 'Present values of the projects of that year, all others as they are. A minus sign says that money saved by waiting outweighs the risk that stays; it does not say that waiting is safe.',
                style: 'note',
                margin: [0, 4, 0, 0],
              },
            ],
          },
        ]
      : []),
    ...(plan.whatIf.length > 0
      ? [
          {
            unbreakable: true,
            stack: [
              { text: 'If things were otherwise', style: 'heading' },
              whatIfTable(plan.whatIf),
              {
                text: 'One change at a time, the whole plan made anew under it. Present values at different discount rates are not comparable with each other.',
                style: 'note',
                margin: [0, 4, 0, 0],
              },
            ],
          },
        ]
      : []),
  ];
}

function yearPages(plan: PlanPrint): PdfContent[] {
  const content: PdfContent[] = [];
  const inFull = plan.rows.length <= printedInFull;
  for (const year of plan.years) {
    const rows = plan.rows.filter((row) => row.year === year.year);
    const words = rows.length === 1 ? '1 project' : `${rows.length} projects`;
    if (rows.length === 0) content.push({ text: `${year.year}: no project`, style: 'heading' });
    else
      content.push(worksTable(inFull ? rows : largest(rows), `${year.year}: ${words} for ${shortMoney(year.spent)}`));
    if (inFull || rows.length <= largestOfYear) continue;
    const rest = rows.length - largest(rows).length;
    content.push({
      text: `The ${largestOfYear} that take most risk away, and what was set by hand. ${whole(rest)} more stand in the workbook.`,
      style: 'note',
      margin: [0, 3, 0, 0],
    });
  }
  if (plan.leftOut.length > 0)
    content.push(
      { text: 'Left out', style: 'heading' },
      {
        text: `${whole(plan.leftOutTotal)} segments would pay for work that the plan does not do. The first:`,
        style: 'note',
        margin: [0, 0, 0, 4],
      },
      leftOutTable(plan.leftOut.slice(0, 25)),
    );
  return content;
}

function largest(rows: readonly PlanTableRow[]): PlanTableRow[] {
  const byRisk = [...rows].sort((a, b) => b.benefitPv - a.benefitPv);
  return byRisk.filter((row, at) => at < largestOfYear || row.forced !== null);
}

const methodPages = (plan: PlanPrint): PdfContent[] => [
  { text: 'Method and its limits', style: 'heading', pageBreak: 'before' },
  ...plan.method.map((line) => ({ text: line, margin: [0, 0, 0, 4], lineHeight: 1.15 })),
  { text: 'The failure model, as fitted', style: 'heading' },
  { ul: [...plan.failureModel], fontSize: 9, lineHeight: 1.15 },
  { text: 'Assumptions', style: 'heading' },
  { ul: [...plan.assumptions], fontSize: 9, lineHeight: 1.15 },
  { text: 'Money figures it was made with, and their sources', style: 'heading' },
  costsTable(plan.costs),
  { text: moneyNote(plan), style: 'note', margin: [0, 4, 0, 0] },
];

interface PlanPaper {
  readonly paper: 'A4' | 'LETTER';
  readonly createdAt: string;
  readonly footer: PdfFooter;
}

/** The plan for the board: a page of summary with its picture, the money, the years, the method with its limits. */
export function planPdf(plan: PlanPrint, { paper, ...options }: PlanPaper): Promise<Uint8Array> {
  return makePdf(
    {
      paper,
      styles,
      margins: [52, 44, 52, 76],
      content: [...summaryPage(plan), ...moneyPage(plan), ...yearPages(plan), ...methodPages(plan)],
    },
    { ...options, title: `${plan.title}, ${plan.utility}` },
  );
}

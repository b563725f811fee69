import { type PdfNode, ruledTable } from './pdf.ts';
import type { PlanPrint, PlanPrintYear } from './plan-print.ts';
import type { PlanTableRow } from './plan-table.ts';

/** A whole number with its thousands grouped and a true minus sign. */
export const whole = (x: number): string => Math.round(x).toLocaleString('en').replace('-', '−');
const one = (x: number) => x.toFixed(1);
export const right = (text: string): PdfNode => ({ text, alignment: 'right', style: 'cell' });
export const cell = (text: string): PdfNode => ({ text, style: 'cell' });
export const head = (text: string, alignment = 'left'): PdfNode => ({ text, style: 'head', bold: true, alignment });

const actionWords: Readonly<Record<string, string>> = {
  replace: 'replace',
  replace_with_neighbours: 'replace, with neighbours',
  fluid_injection: 'inject fluid',
  splice_renewal: 'renew splices',
};

export const yearsTable = (years: readonly PlanPrintYear[]): PdfNode => ({
  layout: ruledTable,
  table: {
    headerRows: 1,
    widths: ['auto', '*', '*', '*', '*', '*', 'auto', 'auto', '*'],
    body: [
      [
        head('Year'),
        head('Budget', 'right'),
        head('Spent', 'right'),
        head('Carried on', 'right'),
        head('Risk removed', 'right'),
        head('Risk left', 'right'),
        head('Failures (90\u00a0%)', 'right'),
        head('without plan', 'right'),
        head('Customer minutes', 'right'),
      ],
      ...years.map((year) => [
        cell(String(year.year)),
        right(whole(year.budget)),
        right(whole(year.spent)),
        right(whole(year.carried)),
        right(whole(year.riskRemoved)),
        right(whole(year.riskLeft)),
        right(`${one(year.failures.mean)}\u00a0(${whole(year.failures.lo)}\u00a0to\u00a0${whole(year.failures.hi)})`),
        right(one(year.failuresBefore.mean)),
        right(whole(year.customerMinutes)),
      ]),
    ],
  },
});

/** What waiting costs, a line a year whose works could still be done a year later. */
export const waitingTable = (years: readonly PlanPrintYear[]): PdfNode => ({
  layout: ruledTable,
  table: {
    headerRows: 1,
    widths: ['*', 'auto', 'auto', 'auto', 'auto'],
    body: [
      [
        head('If the projects of a year are done a year later'),
        head('Risk that stays', 'right'),
        head('Interest saved', 'right'),
        head('Newer cable', 'right'),
        head('Cost of waiting, net', 'right'),
      ],
      ...years.flatMap(({ year, waiting }) =>
        waiting === null
          ? []
          : [
              [
                cell(`${year}, done in ${year + 1}`),
                right(whole(waiting.riskKept)),
                right(whole(waiting.interestSaved)),
                right(whole(waiting.residualGained)),
                right(whole(waiting.net)),
              ],
            ],
      ),
    ],
  },
});

export const whatIfTable = (rows: PlanPrint['whatIf']): PdfNode => ({
  layout: ruledTable,
  table: {
    headerRows: 1,
    widths: ['*', 'auto', 'auto', 'auto', 'auto', 'auto', 'auto'],
    body: [
      [
        head('What if'),
        head('Projects', 'right'),
        head('Pay for themselves', 'right'),
        head('Spent', 'right'),
        head('Risk removed, PV', 'right'),
        head('Risk left, PV', 'right'),
        head('Failures, expected', 'right'),
      ],
      ...rows.map((row) => [
        cell(row.words),
        right(whole(row.works)),
        right(whole(row.paying)),
        right(whole(row.spent)),
        right(whole(row.riskRemovedPv)),
        right(whole(row.riskLeftPv)),
        right(one(row.failures)),
      ]),
    ],
  },
});

/** Works as rows; with a title, it stands over the table on every page that the table reaches. */
export function worksTable(rows: readonly PlanTableRow[], title?: string): PdfNode {
  const widths = ['*', 'auto', 'auto', 'auto', 'auto', 'auto', 'auto'];
  const blank = widths.slice(1).map(() => '');
  return {
    layout: ruledTable,
    table: {
      headerRows: title === undefined ? 1 : 2,
      keepWithHeaderRows: 1,
      dontBreakRows: true,
      widths,
      body: [
        ...(title === undefined ? [] : [[{ text: title, style: 'heading', colSpan: widths.length }, ...blank]]),
        [
          head('Segment'),
          head('Feeder'),
          head('What is done'),
          head('Cost', 'right'),
          head('Risk removed, PV', 'right'),
          head('Net, PV', 'right'),
          head('A year’s wait', 'right'),
        ],
        ...rows.map((row) => [
          cell(row.forced ? `${row.name} (${row.forced})` : row.name),
          cell(row.feeder),
          cell(actionWords[row.action] ?? row.action),
          right(whole(row.cost)),
          right(whole(row.benefitPv)),
          right(whole(row.netPv)),
          right(row.costOfWaiting === null ? '–' : whole(row.costOfWaiting)),
        ]),
      ],
    },
  };
}

export const leftOutTable = (rows: PlanPrint['leftOut']): PdfNode => ({
  layout: ruledTable,
  table: {
    headerRows: 1,
    widths: ['*', '*', 'auto', 'auto'],
    body: [
      [head('Segment'), head('Feeder'), head('Cost', 'right'), head('Price of leaving it, PV, net', 'right')],
      ...rows.map((row) => [cell(row.name), cell(row.feeder), right(whole(row.cost)), right(whole(row.price))]),
    ],
  },
});

export const costsTable = (costs: PlanPrint['costs']): PdfNode => ({
  layout: ruledTable,
  table: {
    headerRows: 1,
    dontBreakRows: true,
    widths: ['*', 'auto', 'auto', '*'],
    body: [
      [head('Figure'), head('Value', 'right'), head('Unit'), head('Source')],
      ...costs.map((cost) => [
        cell(cost.words),
        right(cost.value.toLocaleString('en')),
        cell(cost.unit),
        { text: cost.source, style: 'note' },
      ]),
    ],
  },
});

import { makePdf, type PdfContent, type PdfFooter, type PdfNode, ruledTable } from './pdf.ts';
import { planPicture, shortMoney } from './plan-picture.ts';
import type { PlanTableRow } from './plan-table.ts';

export interface PlanPrintYear {
  readonly year: number;
  readonly budget: number;
  readonly carriedIn: number;
  readonly spent: number;
  readonly carried: number;
  readonly riskBefore: number;
  readonly riskRemoved: number;
  readonly riskLeft: number;
  readonly failuresBefore: { readonly mean: number; readonly lo: number; readonly hi: number };
  readonly failures: { readonly mean: number; readonly lo: number; readonly hi: number };
  readonly customerMinutes: number;
}

/** A plan for the board, as plain rows and sentences. */
export interface PlanPrint {
  readonly utility: string;
  readonly asOf: string;
  readonly sentence: string;
  readonly says: string;
  readonly facts: readonly (readonly [string, string])[];
  readonly rows: readonly PlanTableRow[];
  readonly years: readonly PlanPrintYear[];
  readonly leftOut: readonly {
    readonly name: string;
    readonly feeder: string;
    readonly price: number;
    readonly cost: number;
  }[];
  readonly leftOutTotal: number;
  readonly method: readonly string[];
  readonly assumptions: readonly string[];
  readonly costs: readonly {
    readonly words: string;
    readonly value: number;
    readonly unit: string;
    readonly source: string;
  }[];
}

const whole = (x: number) => Math.round(x).toLocaleString('en');
const one = (x: number) => x.toFixed(1);
const right = (text: string): PdfNode => ({ text, alignment: 'right', style: 'cell' });
const cell = (text: string): PdfNode => ({ text, style: 'cell' });
const head = (text: string, alignment = 'left'): PdfNode => ({ text, style: 'head', bold: true, alignment });

const actionWords: Readonly<Record<string, string>> = {
  replace: 'replace',
  replace_with_neighbours: 'replace, with neighbours',
  fluid_injection: 'inject fluid',
  splice_renewal: 'renew splices',
};

function yearsTable(years: readonly PlanPrintYear[]): PdfNode {
  return {
    layout: ruledTable,
    table: {
      headerRows: 1,
      widths: ['auto', '*', '*', '*', '*', '*', 'auto', 'auto'],
      body: [
        [
          head('Year'),
          head('Budget', 'right'),
          head('Spent', 'right'),
          head('Carried on', 'right'),
          head('Risk removed', 'right'),
          head('Risk left', 'right'),
          head('Failures, 90 %', 'right'),
          head('without the plan', 'right'),
        ],
        ...years.map((year) => [
          cell(String(year.year)),
          right(whole(year.budget)),
          right(whole(year.spent)),
          right(whole(year.carried)),
          right(whole(year.riskRemoved)),
          right(whole(year.riskLeft)),
          right(`${one(year.failures.mean)} (${one(year.failures.lo)} to ${one(year.failures.hi)})`),
          right(one(year.failuresBefore.mean)),
        ]),
      ],
    },
  };
}

function worksTable(rows: readonly PlanTableRow[]): PdfNode {
  return {
    layout: ruledTable,
    table: {
      headerRows: 1,
      widths: ['*', 'auto', '*', 'auto', 'auto', 'auto'],
      body: [
        [
          head('Segment'),
          head('Feeder'),
          head('What is done'),
          head('Cost', 'right'),
          head('Benefit, PV', 'right'),
          head('A year’s waiting', 'right'),
        ],
        ...rows.map((row) => [
          cell(row.forced ? `${row.name} (${row.forced})` : row.name),
          cell(row.feeder),
          cell(actionWords[row.action] ?? row.action),
          right(whole(row.cost)),
          right(whole(row.benefitPv)),
          right(row.costOfWaiting === null ? '–' : whole(row.costOfWaiting)),
        ]),
      ],
    },
  };
}

function summaryPage(plan: PlanPrint): PdfContent[] {
  return [
    { text: `Capital plan, ${plan.utility}`, style: 'title' },
    { text: plan.sentence, style: 'sentence' },
    {
      layout: ruledTable,
      margin: [0, 0, 0, 10],
      table: {
        headerRows: 0,
        widths: ['auto', '*'],
        body: plan.facts.map(([name, value]) => [{ text: name, style: 'note' }, cell(value)]),
      },
    },
    {
      text: 'Each year: money (rule) and works (filled). Above: expected cost of failures with no work (dashed) and with the plan (line).',
      style: 'note',
      margin: [0, 4, 0, 2],
    },
    { svg: planPicture(plan.years), width: 490 },
    { text: 'Works that take most risk away', style: 'heading' },
    worksTable([...plan.rows].sort((a, b) => b.benefitPv - a.benefitPv).slice(0, 6)),
  ];
}

function yearPages(plan: PlanPrint): PdfContent[] {
  const content: PdfContent[] = [{ text: 'The years', style: 'heading', pageBreak: 'before' }, yearsTable(plan.years)];
  for (const year of plan.years) {
    const rows = plan.rows.filter((row) => row.year === year.year);
    content.push({
      text: `${year.year}: ${rows.length === 0 ? 'no work' : `${rows.length} works for ${shortMoney(year.spent)}`}`,
      style: 'heading',
    });
    if (rows.length > 0) content.push(worksTable(rows));
  }
  if (plan.leftOut.length > 0)
    content.push(
      { text: 'Left out', style: 'heading' },
      {
        text: `${plan.leftOutTotal} segments would pay for work that the plan does not do. The first:`,
        style: 'note',
        margin: [0, 0, 0, 4],
      },
      {
        layout: ruledTable,
        table: {
          headerRows: 1,
          widths: ['*', '*', 'auto', 'auto'],
          body: [
            [head('Segment'), head('Feeder'), head('Cost', 'right'), head('Price of leaving it, PV', 'right')],
            ...plan.leftOut
              .slice(0, 25)
              .map((row) => [cell(row.name), cell(row.feeder), right(whole(row.cost)), right(whole(row.price))]),
          ],
        },
      },
    );
  return content;
}

function methodPages(plan: PlanPrint): PdfContent[] {
  return [
    { text: 'Method and its limits', style: 'heading', pageBreak: 'before' },
    ...plan.method.map((line) => ({ text: line, margin: [0, 0, 0, 4] })),
    { text: 'Assumptions', style: 'heading' },
    { ul: [...plan.assumptions], fontSize: 9 },
    { text: 'Money figures and their sources', style: 'heading' },
    {
      layout: ruledTable,
      table: {
        headerRows: 1,
        widths: ['*', 'auto', 'auto', '*'],
        body: [
          [head('Figure'), head('Value', 'right'), head('Unit'), head('Source')],
          ...plan.costs.map((cost) => [
            cell(cost.words),
            right(String(cost.value)),
            cell(cost.unit),
            { text: cost.source, style: 'note' },
          ]),
        ],
      },
    },
  ];
}

/** The plan for the board: a page of summary with its picture, the years, the method with its limits. */
export function planPdf(plan: PlanPrint, options: { createdAt: string; footer: PdfFooter }): Promise<Uint8Array> {
  return makePdf(
    { content: [...summaryPage(plan), ...yearPages(plan), ...methodPages(plan)] },
    { ...options, title: `Capital plan, ${plan.utility}, ${plan.asOf}` },
  );
}

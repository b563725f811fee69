import { csvText } from './csv.ts';

/** One work of a plan as plain figures for a budget system. */
export interface PlanTableRow {
  readonly year: number;
  readonly segment: string;
  readonly name: string;
  readonly feeder: string;
  readonly action: string;
  readonly cost: number;
  readonly benefitPv: number;
  readonly costPv: number;
  readonly residualPv: number;
  readonly netPv: number;
  readonly lengthM: number;
  readonly costOfWaiting: number | null;
  readonly forced: string | null;
}

const money = (x: number) => x.toFixed(2);

/**
 * The plan as CSV: `year,segment_id,action,cost,benefit_pv` and what else a budget system may want. The currency of all
 * money stands in each row's last field, empty where none is named.
 */
export const planCsv = (rows: readonly PlanTableRow[], currency: string | null): string =>
  csvText([
    [
      'year',
      'segment_id',
      'action',
      'cost',
      'benefit_pv',
      'net_pv',
      'name',
      'feeder',
      'work_m',
      'cost_of_waiting_a_year',
      'insisted_on',
      'cost_pv',
      'residual_pv',
      'currency',
    ],
    ...rows.map((row) => [
      String(row.year),
      row.segment,
      row.action,
      money(row.cost),
      money(row.benefitPv),
      money(row.netPv),
      row.name,
      row.feeder,
      row.lengthM.toFixed(1),
      row.costOfWaiting === null ? '' : money(row.costOfWaiting),
      row.forced ?? '',
      money(row.costPv),
      money(row.residualPv),
      currency ?? '',
    ]),
  ]);

export interface PlanTableYear {
  readonly year: number;
  readonly budget: number;
  readonly spent: number;
  readonly carried: number;
  readonly riskRemoved: number;
  readonly riskLeft: number;
  readonly failures: number;
}

/** What a workbook of a plan holds. */
export interface PlanWorkbook {
  readonly rows: readonly PlanTableRow[];
  readonly years: readonly PlanTableYear[];
  /** Name and value of what was asked and answered. */
  readonly facts: readonly (readonly [string, string])[];
  readonly costs: readonly {
    readonly words: string;
    readonly value: number;
    readonly unit: string;
    readonly source: string;
  }[];
  readonly currency: string | null;
}

const head = (value: string) => ({ value, type: String, fontWeight: 'bold' as const });
const text = (value: string) => ({ value, type: String });
const number = (value: number | null, format = '#,##0') => (value === null ? null : { value, type: Number, format });

/** The plan as a workbook: the projects, the years, the terms, the money figures. Text cells are text, never formulas. */
export async function planXlsx({ rows, years, facts, costs, currency }: PlanWorkbook): Promise<Buffer> {
  const inMoney = (name: string) => head(currency === null ? name : `${name}, ${currency}`);
  const works = [
    [
      ...['Year', 'Segment', 'Name', 'Feeder', 'Action', 'Metres worked on'].map(head),
      ...[
        'Cost',
        'Benefit, present value',
        'Cost, present value',
        'Residual, present value',
        'Net, present value',
        'Cost of waiting a year',
      ].map(inMoney),
      head('Insisted on'),
    ],
    ...rows.map((row) => [
      number(row.year, '0'),
      text(row.segment),
      text(row.name),
      text(row.feeder),
      text(row.action.replaceAll('_', ' ')),
      number(row.lengthM),
      number(row.cost),
      number(row.benefitPv),
      number(row.costPv),
      number(row.residualPv),
      number(row.netPv),
      number(row.costOfWaiting),
      text(row.forced ?? ''),
    ]),
  ];
  const byYear = [
    [
      head('Year'),
      ...['Budget', 'Spent', 'Carried on', 'Risk removed', 'Risk left'].map(inMoney),
      head('Expected failures'),
    ],
    ...years.map((year) => [
      number(year.year, '0'),
      number(year.budget),
      number(year.spent),
      number(year.carried),
      number(year.riskRemoved),
      number(year.riskLeft),
      number(year.failures, '0.0'),
    ]),
  ];
  const figures = [
    [head('Figure'), inMoney('Value'), head('Unit'), head('Source')],
    ...costs.map((cost) => [text(cost.words), number(cost.value, 'General'), text(cost.unit), text(cost.source)]),
  ];
  // Loaded with the first workbook: most starts of the program never make one.
  const { default: writeXlsxFile } = await import('write-excel-file/node');
  return writeXlsxFile([
    { data: works, sheet: 'Projects' },
    { data: byYear, sheet: 'Years' },
    { data: [[head('Terms'), head('')], ...facts.map(([name, value]) => [text(name), text(value)])], sheet: 'Terms' },
    { data: figures, sheet: 'Figures' },
  ]).toBuffer();
}

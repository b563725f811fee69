import writeXlsxFile from 'write-excel-file/node';
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
  readonly netPv: number;
  readonly lengthM: number;
  readonly costOfWaiting: number | null;
  readonly forced: string | null;
}

const money = (x: number) => x.toFixed(2);

/** The plan as CSV: `year,segment_id,action,cost,benefit_pv` and what else a budget system may want. */
export const planCsv = (rows: readonly PlanTableRow[]): string =>
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

/** The plan as a workbook of two sheets: the works, and the years. Text cells are text, never formulas. */
export async function planXlsx(rows: readonly PlanTableRow[], years: readonly PlanTableYear[]): Promise<Buffer> {
  const head = (value: string) => ({ value, type: String, fontWeight: 'bold' as const });
  const text = (value: string) => ({ value: value, type: String });
  const number = (value: number | null, format = '#,##0') => (value === null ? null : { value, type: Number, format });
  const works = [
    [
      'Year',
      'Segment',
      'Name',
      'Feeder',
      'Action',
      'Cost',
      'Benefit, present value',
      'Net, present value',
      'Cost of waiting a year',
    ].map(head),
    ...rows.map((row) => [
      number(row.year, '0'),
      text(row.segment),
      text(row.name),
      text(row.feeder),
      text(row.action.replaceAll('_', ' ')),
      number(row.cost),
      number(row.benefitPv),
      number(row.netPv),
      number(row.costOfWaiting),
    ]),
  ];
  const byYear = [
    ['Year', 'Budget', 'Spent', 'Carried on', 'Risk removed', 'Risk left', 'Expected failures'].map(head),
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
  return writeXlsxFile([
    { data: works, sheet: 'Works' },
    { data: byYear, sheet: 'Years' },
  ]).toBuffer();
}

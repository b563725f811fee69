import type { MadeFile } from '../contract/shapes/known.ts';
import type { PlanResult } from '../contract/shapes/plan.ts';
import { planPdf } from '../report/plan-pdf.ts';
import { shortMoney } from '../report/plan-picture.ts';
import { type PlanTableRow, planCsv, planXlsx } from '../report/plan-table.ts';
import { fleetRow } from '../store/browse.ts';
import { ledgerHead } from '../store/ledger.ts';
import type { Desk } from './desk.ts';
import { costRows } from './plan-costs.ts';

const rowsOf = (plan: PlanResult): PlanTableRow[] =>
  [...plan.items].sort((a, b) => a.year - b.year || b.netPv - a.netPv);

const yearsOf = (plan: PlanResult) => plan.byYear.map((year) => ({ ...year, failures: year.failures.mean }));

/** The plan in a sentence, as a person would say it to the board. */
export function planSentence(plan: PlanResult): string {
  const { question, byYear, items } = plan;
  if (plan.status === 'infeasible') return plan.says;
  const first = byYear[0]!.year;
  const last = byYear.at(-1)!.year;
  const share = plan.riskPvBefore > 0 ? (100 * (plan.riskPvBefore - plan.riskPvLeft)) / plan.riskPvBefore : 0;
  const before = byYear.reduce((sum, year) => sum + year.failuresBefore.mean, 0);
  const paying = items.filter((item) => item.netPv > 0).length;
  const after = byYear.reduce((sum, year) => sum + year.failures.mean, 0);
  return `${shortMoney(question.budget)} a year from ${first} to ${last} pays for ${items.length} works at ${shortMoney(plan.spent)} in all. They take away ${share.toFixed(0)} % of the expected cost of failures (present value), and bring the failures expected over these years from ${before.toFixed(0)} to ${after.toFixed(0)}. By the owner’s money figures ${paying} of the works pay for themselves within ${question.horizon} years.`;
}

const method = [
  'Each segment’s chance of failure in each year comes from the fleet’s own failures: a Weibull model in age with insulation, length, splices, growth of leakage and level against the limit; where failures are few it leans on published rates and says so. In the years to come each segment’s level follows its own growth; a level does not fall of itself.',
  'Risk is chance times consequence (repair, customers without supply, critical loads), discounted. The benefit of a work is the risk it takes away; its cost counts with its share of the setting up on the feeder, and new cable keeps a residual value at the horizon in a straight line.',
  'The selection is made by integer programming over all years at once within the budgets, what may be carried over, the crews’ kilometres and the owner’s wishes. The distance from the best possible plan is stated, never assumed.',
];

export function planPrint(desk: Desk, plan: PlanResult) {
  const { question } = plan;
  const percent = (x: number) => `${Number((100 * x).toFixed(2))} %`;
  return {
    utility: fleetRow(desk.fleet)?.utilityName ?? 'unnamed utility',
    asOf: plan.asOf,
    sentence: planSentence(plan),
    says: plan.says,
    facts: [
      ['How good', plan.says],
      ['Spent, and its present value', `${shortMoney(plan.spent)} · ${shortMoney(plan.costPv)}`],
      [
        'Risk before, removed, left (present value)',
        `${shortMoney(plan.riskPvBefore)} · ${shortMoney(plan.benefitPv)} · ${shortMoney(plan.riskPvLeft)}`,
      ],
      [
        'Asked',
        `${shortMoney(question.budget)} a year, ${question.years} years, discount rate ${percent(question.discountRate)}, risk counted over ${question.horizon} years${question.carryOver ? ', money left over is carried on' : ''}${question.crewKm ? `, crews ${question.crewKm} km a year` : ''}`,
      ],
      ['Fleet', `as of ${plan.asOf}, revision ${plan.revision}; ${plan.candidates} candidates`],
    ] as [string, string][],
    rows: rowsOf(plan),
    years: plan.byYear,
    leftOut: plan.leftOut.map((row) => ({
      name: row.name,
      feeder: row.feeder,
      price: row.priceOfLeaving,
      cost: row.cost,
    })),
    leftOutTotal: plan.leftOutTotal,
    method: [...method, ...plan.failureModel, plan.caution],
    assumptions: plan.assumptions,
    costs: costRows(desk.fleet),
  };
}

export const planCsvText = (plan: PlanResult): string => planCsv(rowsOf(plan));
export const planWorkbook = (plan: PlanResult): Promise<Buffer> => planXlsx(rowsOf(plan), yearsOf(plan));

export function planBoardPdf(desk: Desk, plan: PlanResult): Promise<Uint8Array> {
  const head = ledgerHead(desk.fleet);
  return planPdf(planPrint(desk, plan), {
    // The same plan of the same fleet gives the same bytes: the paper is dated by the ledger's last line.
    createdAt: head?.at ?? `${plan.asOf}T00:00:00Z`,
    footer: {
      ledgerHead: head ? Buffer.from(head.hash).toString('hex') : null,
      ledgerSeq: head?.seq ?? null,
      caution: plan.caution,
    },
  });
}

export async function planFile(desk: Desk, plan: PlanResult, format: 'pdf' | 'xlsx' | 'csv'): Promise<MadeFile> {
  const name = `capital-plan-${plan.asOf}.${format}`;
  if (format === 'csv') return { name, mediaType: 'text/csv', encoding: 'utf8', content: planCsvText(plan) };
  const bytes = format === 'pdf' ? await planBoardPdf(desk, plan) : await planWorkbook(plan);
  return {
    name,
    mediaType:
      format === 'pdf' ? 'application/pdf' : 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet',
    encoding: 'base64',
    content: Buffer.from(bytes).toString('base64'),
  };
}

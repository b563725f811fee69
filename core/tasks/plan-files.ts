import type { MadeFile } from '../contract/shapes/known.ts';
import type { PlanResult } from '../contract/shapes/plan.ts';
import { planPdf } from '../report/plan-pdf.ts';
import { shortMoney } from '../report/plan-picture.ts';
import type { PlanPrint, PlanPrintWaiting } from '../report/plan-print.ts';
import { type PlanTableRow, planCsv, planXlsx } from '../report/plan-table.ts';
import { fleetRow } from '../store/browse.ts';
import { ledgerHead } from '../store/ledger.ts';
import type { PlanTable } from '../store/tables.ts';
import type { Desk } from './desk.ts';
import { whatIfKept } from './plan-what-if.ts';

const rowsOf = (plan: PlanResult): PlanTableRow[] =>
  [...plan.items].sort((a, b) => a.year - b.year || b.benefitPv - a.benefitPv);

const share = (plan: PlanResult) =>
  plan.riskPvBefore > 0 ? (100 * (plan.riskPvBefore - plan.riskPvLeft)) / plan.riskPvBefore : 0;
const failures = (plan: PlanResult, which: 'failuresBefore' | 'failures') =>
  plan.byYear.reduce((sum, year) => sum + year[which].mean, 0);
const paying = (plan: PlanResult) => plan.items.filter((item) => item.netPv > 0).length;
const works = (n: number) => (n === 1 ? '1 project' : `${n.toLocaleString('en')} projects`);
const withCurrency = (amount: number, { currency }: PlanResult) =>
  currency === null ? shortMoney(amount) : `${shortMoney(amount)} ${currency}`;
const span = ({ byYear }: PlanResult) => `${byYear[0]!.year} to ${byYear.at(-1)!.year}`;

/** The plan in a sentence, as a person would say it to the board. */
export function planSentence(plan: PlanResult): string {
  const { question, items } = plan;
  if (plan.status === 'infeasible') return plan.says;
  const some = paying(plan);
  return `${withCurrency(question.budget, plan)} a year from ${span(plan)} pays for ${works(items.length)} at ${shortMoney(plan.spent)} in all. They take away ${share(plan).toFixed(0)}\u00a0% of the expected cost of failures (present value), and bring the failures expected over these years from ${failures(plan, 'failuresBefore').toFixed(0)} to ${failures(plan, 'failures').toFixed(0)}. By the money figures it rests on, ${some} of the works ${some === 1 ? 'pays for itself' : 'pay for themselves'} within ${question.horizon} years.`;
}

/** What a year's wait of all works of a year comes to; null where one of them cannot be told. */
function waitingOf(plan: PlanResult, year: number): PlanPrintWaiting | null {
  const sum = { riskKept: 0, interestSaved: 0, residualGained: 0, net: 0 };
  for (const item of plan.items) {
    if (item.year !== year) continue;
    if (item.waiting === null || item.costOfWaiting === null) return null;
    sum.riskKept += item.waiting.riskKept;
    sum.interestSaved += item.waiting.interestSaved;
    sum.residualGained += item.waiting.residualGained;
    sum.net += item.costOfWaiting;
  }
  return sum;
}

function waitingSays(plan: PlanResult): string {
  const first = plan.byYear[0]!.year;
  const now = plan.items.some((item) => item.year === first) ? waitingOf(plan, first) : null;
  if (now === null) return 'What waiting costs cannot be told for this plan.';
  const net =
    now.net > 0
      ? `waiting costs ${shortMoney(now.net)}`
      : `waiting saves ${shortMoney(-now.net)} of money, at that risk`;
  return `If all projects of ${first} wait until ${first + 1}, ${shortMoney(now.riskKept)} of expected cost of failures stays that they would take away. ${shortMoney(now.interestSaved)} of interest is saved meanwhile and ${shortMoney(now.residualGained)} by newer cable at the end: net, ${net}. All present values.`;
}

const method = [
  'Each segment’s chance of failure in each year comes from the fleet’s own failures: a Weibull model in age with insulation, length, splices, growth of leakage and level against the limit; where failures are few it leans on published rates and says so. In the years to come each segment’s level follows its own growth; a level does not fall of itself.',
  'Risk is chance times consequence (repair, customers without supply, critical loads), discounted. The benefit of a project is the risk it takes away; its cost counts with its share of the setting up on the feeder, and new cable keeps a residual value at the horizon in a straight line.',
  'The selection is made by integer programming over all years at once within the budgets, what may be carried over, the crews’ kilometres and the owner’s wishes. The distance from the best possible plan is stated, never assumed.',
];

function terms(plan: PlanResult): [string, string][] {
  const { question } = plan;
  const percent = (x: number) => `${Number((100 * x).toFixed(2))}\u00a0%`;
  const sought = question.objective === 'net-benefit' ? 'the most benefit net of cost' : 'the most risk removed';
  return [
    [
      'Asked',
      `${withCurrency(question.budget, plan)} a year for ${question.years} years, for ${sought}; discount rate ${percent(question.discountRate)}; risk counted over ${question.horizon} years; money left over ${question.carryOver ? 'goes on to the next year' : 'is lost'}${question.crewKm ? `; crews ${question.crewKm} km a year` : ''}${question.hazardGrowth === 0 ? '' : `; failure rates ${percent(question.hazardGrowth)} a year faster than fitted`}`,
    ],
    ['How good', plan.says],
    [
      'Set by hand',
      question.wishes.length === 0
        ? 'nothing'
        : `${question.wishes.length} ${question.wishes.length === 1 ? 'wish' : 'wishes'}`,
    ],
    ['Fleet', `as of ${plan.asOf}, revision ${plan.revision}; ${plan.candidates.toLocaleString('en')} candidates`],
  ];
}

function money(plan: PlanResult): [string, number][] {
  return [
    ['Risk if nothing is done', plan.riskPvBefore],
    ['Risk left with the plan', plan.riskPvLeft],
    ['Risk removed', plan.benefitPv],
    [`less the cost of the projects (${shortMoney(plan.spent)} as spent)`, -plan.costPv],
    ['plus what new cable is still worth at the horizon', plan.residualPv],
    ['Net', plan.benefitPv - plan.costPv + plan.residualPv],
  ];
}

/** The day and revision of a plan, and what it is kept as. */
function standing(plan: PlanResult, kept: PlanTable | undefined): string {
  const made = `As of ${plan.asOf}, fleet revision ${plan.revision}.`;
  if (!kept) return `${made} A plan as made; nobody has kept or approved it.`;
  const approved =
    kept.state === 'approved'
      ? `approved by ${kept.approved_by} on ${kept.approved_at?.slice(0, 10)}`
      : 'a draft that nobody has approved';
  return `${made} “${kept.name}”, ${approved}.`;
}

function planPrint(desk: Desk, plan: PlanResult, kept: PlanTable | undefined): PlanPrint {
  return {
    utility: fleetRow(desk.fleet)?.utilityName ?? 'unnamed utility',
    title: `Capital plan ${span(plan)}`,
    standing: standing(plan, kept),
    sentence: planSentence(plan),
    figures: [
      [shortMoney(plan.spent), `${plan.currency ?? 'money'} spent in ${plan.question.years} years`],
      [`${share(plan).toFixed(0)}\u00a0%`, 'of the expected cost of failures taken away'],
      [
        `${failures(plan, 'failuresBefore').toFixed(0)} → ${failures(plan, 'failures').toFixed(0)}`,
        'failures expected in these years, without and with the plan',
      ],
      [
        `${paying(plan)} of ${plan.items.length.toLocaleString('en')}`,
        `projects pay for themselves within ${plan.question.horizon} years`,
      ],
    ],
    waitingSays: waitingSays(plan),
    terms: terms(plan),
    money: money(plan),
    whatIf: whatIfKept(desk, plan) ?? [],
    rows: rowsOf(plan),
    years: plan.byYear.map((year) => ({ ...year, waiting: waitingOf(plan, year.year) })),
    leftOut: plan.leftOut.map((row) => ({
      name: row.name,
      feeder: row.feeder,
      price: row.priceOfLeaving,
      cost: row.cost,
    })),
    leftOutTotal: plan.leftOutTotal,
    method: [...method, plan.caution],
    failureModel: plan.failureModel.map((line) => line.replaceAll(' -', ' −')),
    assumptions: plan.assumptions,
    costs: plan.costs,
    currency: plan.currency,
  };
}

export const planCsvText = (plan: PlanResult): string => planCsv(rowsOf(plan), plan.currency);

export const planWorkbook = (plan: PlanResult): Promise<Buffer> =>
  planXlsx({
    rows: rowsOf(plan),
    years: plan.byYear.map((year) => ({ ...year, failures: year.failures.mean })),
    facts: [...terms(plan), ['Currency', plan.currency ?? 'none named'], ['Caution', plan.caution]],
    costs: plan.costs,
    currency: plan.currency,
  });

export type Paper = 'A4' | 'Letter';

/** `kept`: the plan as it is kept under a name, where it is. */
export function planBoardPdf(
  desk: Desk,
  plan: PlanResult,
  paper: Paper,
  kept: PlanTable | undefined,
): Promise<Uint8Array> {
  const head = ledgerHead(desk.fleet);
  return planPdf(planPrint(desk, plan, kept), {
    paper: paper === 'A4' ? 'A4' : 'LETTER',
    // The same plan of the same fleet gives the same bytes: the paper is dated by the ledger's last line.
    createdAt: head?.at ?? `${plan.asOf}T00:00:00Z`,
    footer: {
      ledgerHead: head ? Buffer.from(head.hash).toString('hex') : null,
      ledgerSeq: head?.seq ?? null,
      caution: plan.caution,
    },
  });
}

export interface PlanFileWanted {
  readonly format: 'pdf' | 'xlsx' | 'csv';
  readonly paper: Paper;
}

export async function planFile(
  desk: Desk,
  plan: PlanResult,
  kept: PlanTable | undefined,
  { format, paper }: PlanFileWanted,
): Promise<MadeFile> {
  const name = `capital-plan-${plan.asOf}.${format}`;
  if (format === 'csv') return { name, mediaType: 'text/csv', encoding: 'utf8', content: planCsvText(plan) };
  const bytes = format === 'pdf' ? await planBoardPdf(desk, plan, paper, kept) : await planWorkbook(plan);
  return {
    name,
    mediaType:
      format === 'pdf' ? 'application/pdf' : 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet',
    encoding: 'base64',
    content: Buffer.from(bytes).toString('base64'),
  };
}

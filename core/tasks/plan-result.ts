import type { SegmentId } from '../contract/ids.ts';
import type { PlanQuestion, PlanResult, PlanYearRow } from '../contract/shapes/plan.ts';
import { sha256 } from '../evidence/canonical.ts';
import { forecastCaution } from '../forecast/failure/caution.ts';
import type { Known } from '../plan/known.ts';
import { makePlan, type Plan, type PlanYear } from '../plan/plan.ts';
import type { WaitingCost } from '../plan/risk.ts';
import type { PlanStage } from '../plan/select.ts';
import { revisionOf } from '../store/ledger.ts';
import type { Fleet } from '../store/sql.ts';
import type { Desk } from './desk.ts';
import { today } from './desk.ts';
import { failureModelWords } from './failure-words.ts';
import { keep, keptKind, keptNow, revisionFor } from './kept-answers.ts';
import { costRows } from './plan-costs.ts';
import { currencyOf } from './plan-currency.ts';
import { type PlanBasis, planBasis } from './plan-inputs.ts';

/** A board's evening of other budgets and moved works, each with its table of other terms. */
const mostPlans = 60;
/** Raise the edition with every change of a computed number of the plan, or of the shape of its answer. */
const kind = keptKind({
  name: 'plan, edition 3',
  passesOver: ['calibration', 'source_file', 'trace', 'person', 'excuse', 'plan', 'layout'],
  most: mostPlans,
});
const mostLeftOut = 200;

const stageWords: Readonly<Record<PlanStage['name'], string>> = {
  greedy: 'a first plan, best value for money first',
  relaxation: 'how good a plan could be at most',
  rounding: 'improving the plan',
  search: 'searching for the best plan',
  done: 'done',
};

/** The last ledger line that a plan can be made from: one that was made before it is outdated. */
export const planRevision = (fleet: Fleet): number => revisionFor(fleet, kind);

/** Names the answer to a question: the question, the revision and the day. */
export function askedName(desk: Desk, question: PlanQuestion): string {
  const text = JSON.stringify([kind.name, question, planRevision(desk.fleet), today(desk)]);
  return sha256(text).toString('hex');
}

/** A plan as it was made, where nothing that it was made from has changed since; or undefined. */
export function keptPlan(desk: Desk, asked: string): PlanResult | undefined {
  const row = keptNow(desk.fleet, kind, asked);
  return row ? (JSON.parse(Buffer.from(row.bytes).toString()) as PlanResult) : undefined;
}

/** Makes a plan, or takes it up where the same question was asked of the same records. */
export async function planFor(desk: Desk, question: PlanQuestion): Promise<PlanResult> {
  const asked = askedName(desk, question);
  const kept = keptPlan(desk, asked);
  if (kept) return kept;
  const revision = planRevision(desk.fleet);
  const basis = planBasis(desk, question);
  const plan = await solved(desk, basis, question);
  const result = resultOf(desk, asked, question, basis, plan);
  keep(desk, kind, asked, revision, () => Buffer.from(JSON.stringify(result)));
  return result;
}

export const solved = (desk: Desk, basis: PlanBasis, question: PlanQuestion): Promise<Plan> =>
  makePlan(
    basis.inputs,
    { objective: question.objective, gapTarget: 0.005 },
    {
      onStage(stage) {
        desk.checkStop();
        desk.progress(Math.round(stage.fraction * 100), 100, stageWords[stage.name]);
      },
      nowMs: () => performance.now(),
    },
  );

const amount = (value: Known) =>
  value.known ? { known: true as const, amount: value.amount } : { known: false as const, because: value.because };

function statusWords(plan: Plan): string {
  const gap = plan.gap.known ? `${(100 * plan.gap.amount).toFixed(2)} %` : 'an unknown share';
  switch (plan.status) {
    case 'optimal':
      return 'No plan within the budget and the wishes is better.';
    case 'within-gap':
      return `No plan within the budget and the wishes is better by more than ${gap}.`;
    case 'node-limit':
    case 'time-limit':
      return `The search was ended; no plan is better by more than ${gap}.`;
    case 'stopped':
      return `Stopped early; this is the best plan so far, within ${gap} of the best possible.`;
    case 'infeasible':
      return plan.conflicts[0]?.message ?? 'The wishes cannot all be granted.';
  }
}

const waitingParts = ({ riskKept, interestSaved, residualGained }: WaitingCost) => ({
  riskKept,
  interestSaved,
  residualGained,
});

function yearRow({ lapsed: _, worthOfMoney: __, customersInterrupted: ___, ...year }: PlanYear): PlanYearRow {
  return { ...year, saidiMinutes: amount(year.saidiMinutes), saifi: amount(year.saifi) };
}

function resultOf(
  desk: Desk,
  asked: string,
  question: PlanQuestion,
  { segments, standings, risk }: PlanBasis,
  plan: Plan,
): PlanResult {
  const named = (ordinal: number) => {
    const row = segments[ordinal]!;
    return { segmentId: row.id as SegmentId, segment: row.ownerId, name: row.name, feeder: row.feederName };
  };
  return {
    asked,
    revision: revisionOf(desk.fleet),
    asOf: standings.asOf,
    question,
    status: plan.status,
    says: statusWords(plan),
    objectivePv: plan.objectivePv,
    gap: amount(plan.gap),
    greedyPv: amount(plan.greedyPv),
    spent: plan.spent,
    costPv: plan.costPv,
    benefitPv: plan.benefitPv,
    residualPv: plan.residualPv,
    riskPvBefore: plan.riskPvBefore,
    riskPvLeft: plan.riskPvLeft,
    candidates: plan.candidates,
    items: plan.items.map((item) => ({
      ...named(item.segment),
      year: item.year,
      action: item.action,
      cost: item.cost,
      benefitPv: item.benefitPv,
      costPv: item.costPv,
      residualPv: item.residualPv,
      netPv: item.netPv,
      lengthM: item.crewKm * 1000,
      forced: item.forced,
      costOfWaiting: item.waiting.known ? item.waiting.cost.total : null,
      waiting: item.waiting.known ? waitingParts(item.waiting.cost) : null,
    })),
    byYear: plan.byYear.map(yearRow),
    leftOut: plan.leftOut.slice(0, mostLeftOut).map((left) => ({
      ...named(left.segment),
      priceOfLeaving: left.priceOfLeaving,
      bestYear: left.bestYear,
      bestAction: left.bestAction,
      cost: left.cost,
    })),
    leftOutTotal: plan.leftOut.length,
    conflicts: plan.conflicts.map((conflict) => ({
      message: conflict.message,
      segments: conflict.segments.map((ordinal) => segments[ordinal]!.ownerId),
    })),
    assumptions: [...plan.assumptions],
    failureModel: risk.model.known ? failureModelWords(risk.model.report, risk) : [],
    caution: forecastCaution,
    costs: costRows(desk.fleet),
    currency: currencyOf(desk.fleet),
  };
}

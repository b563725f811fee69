import type { planAsks } from '../contract/asks/plan.ts';
import type { PlanId, SegmentId } from '../contract/ids.ts';
import { refuse } from '../contract/problem.ts';
import type { PlanQuestion, PlanResult } from '../contract/shapes/plan.ts';
import { OTHER_ASSUMPTIONS } from '../plan/actions.ts';
import { consequenceOf, interruptionOf } from '../plan/consequence.ts';
import { INSTALLATIONS } from '../plan/inputs.ts';
import type { Known } from '../plan/known.ts';
import { testsWorthDoing, worthOfTests } from '../plan/value-of-test.ts';
import { revisionOf } from '../store/ledger.ts';
import { ownerCosts, planSegments, plansKept } from '../store/plans.ts';
import { insertPlanItem, planItemsOf, recordById } from '../store/records.ts';
import { segmentRow } from '../store/segment.ts';
import type { PlanTable } from '../store/tables.ts';
import { changing } from './change.ts';
import type { Desk } from './desk.ts';
import { placeFor, writeOut } from './out-file.ts';
import { costRows, costToSet, planCosts } from './plan-costs.ts';
import { currencyOf, setCurrency } from './plan-currency.ts';
import { planBoardPdf, planCsvText, planFile, planSentence, planWorkbook } from './plan-files.ts';
import { planBasis } from './plan-inputs.ts';
import { keptOf, resultKept } from './plan-kept.ts';
import { askedName, keptPlan, planFor, solved } from './plan-result.ts';
import { whatIf } from './plan-what-if.ts';
import { needRole } from './roles.ts';
import type { TasksOf } from './task.ts';

const value = (known: Known) =>
  known.known ? { known: true as const, value: known.amount } : { known: false as const, because: known.because };

function planById(desk: Desk, id: string): PlanTable & { items: number } {
  const row = recordById(desk.fleet, 'plan', id);
  if (!row) throw refuse('not-found', 'There is no such plan in this fleet.');
  return { ...row, items: planItemsOf(desk.fleet, id).length };
}

function save(desk: Desk, asked: string, name: string): { id: PlanId; revision: number } {
  const result = keptPlan(desk, asked);
  if (!result) throw refuse('moved-on', 'The fleet has changed since this plan was made. Make it again.');
  const ids = new Map(planSegments(desk.fleet).map((segment) => [segment.ownerId, segment.id]));
  const items = result.items
    .map((item) => ({
      segment_id: ids.get(item.segment)!,
      year: item.year,
      action: item.action,
      cost: item.cost,
      benefit_pv: item.benefitPv,
      pinned: item.forced === 'pin' ? 1 : 0,
    }))
    .sort((a, b) => (a.segment_id < b.segment_id ? -1 : 1));
  const id = changing(desk, (change) => {
    const planId = change.add(
      'plan',
      {
        name,
        made_at: desk.now(),
        fleet_revision: result.revision,
        state: 'draft',
        options: JSON.stringify(result.question),
        result: JSON.stringify(result),
        approved_at: null,
        approved_by: null,
      },
      items,
    );
    for (const item of items) insertPlanItem(desk.fleet, { plan_id: planId, ...item });
    change.seal(
      { what: 'keep plan' },
      { entity: 'plan', id: planId, before: null, after: { name, items: items.length, spent: result.spent } },
    );
    return planId;
  });
  return { id: id as PlanId, revision: revisionOf(desk.fleet) };
}

function approve(desk: Desk, id: string, reason: string): { revision: number } {
  needRole(desk, 'approver', 'Approving a plan');
  const row = recordById(desk.fleet, 'plan', id);
  if (!row) throw refuse('not-found', 'There is no such plan in this fleet.');
  if (row.state === 'approved')
    throw refuse('not-allowed', `This plan was approved by ${row.approved_by} on ${row.approved_at}; it is locked.`);
  const items = planItemsOf(desk.fleet, id);
  changing(desk, (change) => {
    const after = { ...row, state: 'approved', approved_at: desk.now(), approved_by: desk.who };
    change.update('plan', row, after, { before: items, after: items });
    change.seal(
      { what: 'approve plan', why: reason },
      { entity: 'plan', id, before: { state: row.state }, after: { state: 'approved', name: row.name } },
    );
  });
  return { revision: revisionOf(desk.fleet) };
}

/** The plan of that answer and no other: as kept under a name, as just made, or made again while nothing has changed. */
async function planAsMade(
  desk: Desk,
  asked: string,
  question: PlanQuestion,
): Promise<{ readonly plan: PlanResult; readonly kept?: PlanTable }> {
  const same = plansKept(desk.fleet).filter((row) => (JSON.parse(row.result) as PlanResult).asked === asked);
  const kept = same.find((row) => row.state === 'approved') ?? same[0];
  if (kept) return { plan: resultKept(desk.fleet, kept), kept };
  const made = keptPlan(desk, asked);
  if (made) return { plan: made };
  if (askedName(desk, question) !== asked)
    throw refuse('moved-on', 'The fleet has changed since this plan was made. Make it again, or keep it first.');
  return { plan: await planFor(desk, question) };
}

/** Net present value: risk removed less what is spent, and what new cable is still worth. */
const netOf = (plan: PlanResult): number => plan.benefitPv - plan.costPv + plan.residualPv;

export const planTasks: TasksOf<keyof typeof planAsks> = {
  async 'plan.make'(desk, { csv, xlsx, pdf, paper, whatIf: asksWhatIf, ...question }) {
    // A place that cannot be written is better known before the plan is solved.
    for (const path of [csv, xlsx, pdf]) if (path) placeFor(desk, path);
    const plan = await planFor(desk, question);
    const others = asksWhatIf ? { whatIf: await whatIf(desk, question) } : {};
    const written: string[] = [];
    const write = (path: string, content: string | Uint8Array) => {
      writeOut(desk, path, content);
      written.push(path);
    };
    if (csv) write(csv, planCsvText(plan));
    if (xlsx) write(xlsx, await planWorkbook(plan));
    if (pdf) write(pdf, await planBoardPdf(desk, plan, paper, undefined));
    return { ...plan, sentence: planSentence(plan), ...others, written };
  },

  async 'plan.price'(desk, question) {
    const before = await planFor(desk, question.before);
    const after = await planFor(desk, question.after);
    const bound = (plan: PlanResult) =>
      plan.gap.known ? plan.objectivePv / Math.max(1e-9, 1 - plan.gap.amount) : null;
    const upperBefore = bound(before);
    const upperAfter = bound(after);
    return {
      before,
      after,
      price:
        after.status === 'infeasible'
          ? { known: false, because: after.says }
          : {
              known: true,
              amount: before.objectivePv - after.objectivePv,
              lo: upperAfter === null ? null : before.objectivePv - upperAfter,
              hi: upperBefore === null ? null : upperBefore - after.objectivePv,
              net: netOf(before) - netOf(after),
            },
    };
  },

  async 'plan.whatIf'(desk, { question }) {
    return { rows: await whatIf(desk, question) };
  },

  async 'plan.file'(desk, { asked, question, format, paper }) {
    const { plan, kept } = await planAsMade(desk, asked, question);
    return planFile(desk, plan, kept, { format, paper });
  },

  async 'plan.tests'(desk, { question, crewDays }) {
    const basis = planBasis(desk, question);
    const plan = await solved(desk, basis, question);
    const chosen = testsWorthDoing(worthOfTests(basis.inputs, plan), crewDays);
    const worth = chosen.reduce((sum, test) => sum + (test.value.known ? test.value.amount : 0), 0);
    return {
      sentence:
        chosen.length === 0
          ? `No test that fits into ${crewDays} crew days is worth its cost: none is expected to change the plan by more.`
          : `${chosen.length === 1 ? '1 test is' : `${chosen.length} tests are`} worth the cost within ${crewDays} crew days; the readings are expected to improve the plan by ${Math.round(worth).toLocaleString('en')} in present value.`,
      caution: OTHER_ASSUMPTIONS.retest_first.join(' '),
      tests: chosen.map((test) => {
        const row = basis.segments[test.segment]!;
        return {
          segmentId: row.id as SegmentId,
          segment: row.ownerId,
          name: row.name,
          feeder: row.feederName,
          value: test.value.known ? test.value.amount : 0,
          cost: test.cost,
          crewDays: test.crewDays,
          about: test.about ? `${test.about.action.replaceAll('_', ' ')} from ${test.about.year}` : '',
        };
      }),
    };
  },

  'plan.consequence'(desk, { segmentId }) {
    const row = segmentRow(desk.fleet, segmentId);
    if (!row) throw refuse('not-found', 'There is no such segment in this fleet.');
    const one = {
      customers: Float64Array.of(row.customers ?? Number.NaN),
      peakLoadKva: Float64Array.of(Number.NaN),
      alternateSupply: Uint8Array.of(row.alternate_supply ?? 0),
      criticalLoad: Uint8Array.of(row.critical_load ?? 0),
      installation: Uint8Array.of(Math.max(0, INSTALLATIONS.indexOf((row.installation ?? 'duct') as 'duct'))),
    };
    const costs = planCosts(desk.fleet);
    const consequence = consequenceOf(one as never, 0, costs);
    const interruption = interruptionOf(one as never, 0, costs);
    return {
      parts: [
        { name: 'repair', amount: value(consequence.repair) },
        { name: 'customers without supply', amount: value(consequence.customers) },
        { name: 'energy not supplied', amount: value(consequence.energy) },
        { name: 'critical load', amount: value(consequence.critical) },
      ],
      total: consequence.total,
      complete: consequence.complete,
      customersInterrupted: value(interruption.customersInterrupted),
      customerMinutes: value(interruption.customerMinutes),
    };
  },

  'plan.costs': (desk) => ({
    currency: currencyOf(desk.fleet),
    costs: costRows(desk.fleet),
  }),

  'plan.setCost'(desk, { name, value: amount, source }) {
    needRole(desk, 'approver', 'Setting a money figure');
    const after = costToSet(name, amount, source);
    const before = ownerCosts(desk.fleet).find((row) => row.name === name);
    changing(desk, (change) => {
      const id = before ? before.id : change.add('cost', after);
      if (before) change.update('cost', before, { id, ...after });
      change.seal(
        { what: 'set cost', why: source },
        { entity: 'cost', id, before: before ? { value: before.value } : null, after: { name, value: amount } },
      );
    });
    return { revision: revisionOf(desk.fleet) };
  },

  'plan.setCurrency': (desk, { currency, source }) => setCurrency(desk, currency, source),

  'plan.save': (desk, { asked, name }) => save(desk, asked, name),

  'plan.list'(desk) {
    return { plans: plansKept(desk.fleet).map((row) => keptOf(desk.fleet, row, resultKept(desk.fleet, row))) };
  },

  'plan.get'(desk, { id }) {
    const row = planById(desk, id);
    const result = resultKept(desk.fleet, row);
    return { plan: keptOf(desk.fleet, row, result), result };
  },

  'plan.approve': (desk, { id, reason }) => approve(desk, id, reason),

  'plan.compare'(desk, { ids }) {
    return {
      plans: ids.map((id) => {
        const row = planById(desk, id);
        const plan = resultKept(desk.fleet, row);
        return {
          name: row.name,
          currency: plan.currency,
          spent: plan.spent,
          costPv: plan.costPv,
          riskRemovedPv: plan.benefitPv,
          riskLeftPv: plan.riskPvLeft,
          netPv: netOf(plan),
          failures: plan.byYear.map((year) => ({ year: year.year, expected: year.failures })),
          customerMinutes: plan.byYear.reduce((sum, year) => sum + year.customerMinutes, 0),
        };
      }),
    };
  },
};

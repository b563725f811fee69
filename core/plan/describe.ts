import { ACTION, ACTIONS, type ActionKind, OTHER_ASSUMPTIONS } from './actions.ts';
import type { LeftOut, Plan, PlanItem, PlanYear } from './answer.ts';
import { brokenConstraints } from './checker.ts';
import type { Conflict } from './infeasible.ts';
import type { PlanInputs, PlanOptions } from './inputs.ts';
import { known, unknown } from './known.ts';
import { type Done, outlookOf } from './outlook.ts';
import { type Problem, toCents } from './problem.ts';
import { costOfWaiting, netPv, type Worth } from './risk.ts';
import { relativeGap, type Selection } from './select.ts';
import { readWishes } from './wishes.ts';

interface Chosen {
  readonly candidate: number;
  readonly row: number;
  readonly option: number;
  readonly year: number;
  readonly kind: ActionKind;
}

/** Turns a selection into a plan: items, years, what is left out. Throws where the selection breaks a constraint. */
export function describePlan(
  inputs: PlanInputs,
  options: PlanOptions,
  worth: Worth,
  p: Problem,
  selection: Selection,
  against: readonly Conflict[],
): Plan {
  const chosen: Chosen[] = [];
  for (let c = 0; c < p.row.length; c++) {
    const option = selection.choice?.[c] ?? -1;
    if (option < 0) continue;
    const kind = ACTIONS[p.optionAction[option]!]!;
    chosen.push({ candidate: c, row: p.row[c]!, option, year: p.optionYear[option]!, kind });
  }
  const items = itemsOf(inputs, worth, p, chosen);
  const broken = selection.choice
    ? brokenConstraints(
        inputs,
        items.map(({ segment, year, kind }) => ({ segment, year, action: kind })),
      )
    : [];
  // A plan that breaks a constraint is a fault of this room; it is never handed on.
  if (broken.length > 0) throw new Error(`The plan made breaks its constraints: ${broken.join(' ')}`);
  const done = new Map<number, Done>(chosen.map(({ row, kind, year }) => [row, { action: kind, year }]));
  const sum = (of: (item: PlanItem) => number) => items.reduce((total, item) => total + of(item), 0);
  const riskPvBefore = worth.riskPv.reduce((a, b) => a + b, 0);
  const benefitPv = sum((item) => item.benefitPv);
  const noBound = 'the search ended before a bound was found';
  const kinds = ACTIONS.filter((kind) => chosen.some((work) => work.kind === kind));
  return {
    status: selection.status,
    items,
    byYear: yearsOf(inputs, worth, p, chosen, done, selection),
    leftOut: leftOutOf(inputs, worth, p, selection),
    objective: options.objective ?? 'net-benefit',
    objectivePv: selection.objective,
    boundPv: selection.bound === null ? unknown(noBound) : known(selection.bound),
    gap:
      selection.bound === null || !selection.choice
        ? unknown(noBound)
        : known(relativeGap(selection.objective, selection.bound)),
    greedyPv:
      selection.greedy === null ? unknown('the greedy plan could not seat every must') : known(selection.greedy),
    spent: sum((item) => item.cost),
    costPv: sum((item) => item.costPv),
    benefitPv,
    residualPv: sum((item) => item.residualPv),
    riskPvBefore,
    riskPvLeft: riskPvBefore - benefitPv,
    conflicts: against,
    candidates: p.row.length,
    assumptions: [
      ...OTHER_ASSUMPTIONS.nothing,
      ...kinds.flatMap((kind) => ACTION[kind].assumptions),
      ...OTHER_ASSUMPTIONS.retest_first,
    ],
  };
}

function itemsOf(inputs: PlanInputs, worth: Worth, p: Problem, chosen: readonly Chosen[]): PlanItem[] {
  const { segments, years } = inputs;
  const wishes = readWishes(inputs);
  const sites = new Map<number, Chosen[]>();
  for (const work of chosen) {
    const site = p.feeder[work.candidate]! * years + work.year;
    const there = sites.get(site);
    if (there) there.push(work);
    else sites.set(site, [work]);
  }
  const items: PlanItem[] = [];
  for (const works of sites.values()) {
    const replaced = works.filter((work) => work.kind === 'replace').length;
    works.forEach((work, at) => {
      // Whole cents are shared out, the odd ones to the first works, so that items add up to the mobilisation.
      const even = Math.floor(p.mobilisationCents / works.length);
      const shareCents = even + (at < p.mobilisationCents - even * works.length ? 1 : 0);
      const { row, kind, year } = work;
      const own = p.costCents[work.option]!;
      const cost = (own + shareCents) / 100;
      const costPv = cost * worth.discount[year]!;
      const benefitPv = worth.benefitPv[kind][row * years + year]!;
      const residualPv = kind === 'replace' ? (own / 100) * worth.residualPvPerCost[year]! : 0;
      const wish = wishes.get(segments.ordinal[row]!);
      items.push({
        segment: segments.ordinal[row]!,
        feeder: segments.feeder[row]!,
        year: inputs.startYear + year,
        action: kind === 'replace' && replaced > 1 ? 'replace_with_neighbours' : kind,
        kind,
        cost,
        mobilisationShare: shareCents / 100,
        crewKm: p.crewM[work.option]! / 1000,
        benefitPv,
        costPv,
        residualPv,
        netPv: benefitPv - costPv + residualPv,
        waiting:
          year + 1 < years
            ? { known: true, cost: costOfWaiting(worth, years, kind, row, year) }
            : { known: false, because: 'this is the last year of the plan' },
        forced: wish?.pinned ? 'pin' : wish?.must ? 'must' : null,
      });
    });
  }
  return items.sort((a, b) => a.year - b.year || b.netPv - a.netPv || a.segment - b.segment);
}

function yearsOf(
  inputs: PlanInputs,
  worth: Worth,
  p: Problem,
  chosen: readonly Chosen[],
  done: ReadonlyMap<number, Done>,
  selection: Selection,
): PlanYear[] {
  const before = outlookOf(inputs, worth, new Map());
  const after = outlookOf(inputs, worth, done);
  const sites = new Set<number>();
  const spentCents = new Float64Array(inputs.years);
  const crewM = new Float64Array(inputs.years);
  for (const work of chosen) {
    spentCents[work.year]! += p.costCents[work.option]!;
    crewM[work.year]! += p.crewM[work.option]!;
    const site = p.feeder[work.candidate]! * inputs.years + work.year;
    if (!sites.has(site)) spentCents[work.year]! += toCents(inputs.costs.mobilisation);
    sites.add(site);
  }
  let carriedIn = 0;
  return before.map((without, y) => {
    const left = p.budgetCents[y]! + carriedIn - spentCents[y]!;
    // Nothing is carried out of the last year: the plan ends there and the rest lapses.
    const carried = y + 1 < inputs.years ? Math.min(left, p.carryMaxCents) : 0;
    const price = selection.pricePerMoney?.[y];
    const now = after[y]!;
    const year: PlanYear = {
      year: inputs.startYear + y,
      budget: p.budgetCents[y]! / 100,
      carriedIn: carriedIn / 100,
      spent: spentCents[y]! / 100,
      carried: carried / 100,
      lapsed: (left - carried) / 100,
      crewKm: crewM[y]! / 1000,
      riskBefore: without.riskCost,
      riskRemoved: without.riskCost - now.riskCost,
      riskLeft: now.riskCost,
      failuresBefore: without.failures,
      failures: now.failures,
      customerMinutesBefore: without.customerMinutes,
      customerMinutes: now.customerMinutes,
      customersInterrupted: now.customersInterrupted,
      saidiMinutes: now.saidiMinutes,
      saifi: now.saifi,
      worthOfMoney: price === undefined ? unknown('the relaxation was not solved') : known(price),
    };
    carriedIn = carried;
    return year;
  });
}

function leftOutOf(inputs: PlanInputs, worth: Worth, p: Problem, selection: Selection): LeftOut[] {
  const { segments, years } = inputs;
  const left: LeftOut[] = [];
  for (let c = 0; c < p.row.length; c++) {
    if ((selection.choice?.[c] ?? -1) >= 0) continue;
    let best = -1;
    let price = 0;
    for (let o = p.start[c]!; o < p.start[c + 1]!; o++) {
      const net = netPv(worth, years, ACTIONS[p.optionAction[o]!]!, p.row[c]!, p.optionYear[o]!);
      if (net <= price) continue;
      best = o;
      price = net;
    }
    if (best < 0) continue;
    left.push({
      segment: segments.ordinal[p.row[c]!]!,
      priceOfLeaving: price,
      bestYear: inputs.startYear + p.optionYear[best]!,
      bestAction: ACTIONS[p.optionAction[best]!]!,
      cost: p.costCents[best]! / 100,
    });
  }
  return left.sort((a, b) => b.priceOfLeaving - a.priceOfLeaving || a.segment - b.segment);
}

import { ACTION, type ActionKind } from './actions.ts';
import type { PlanInputs } from './inputs.ts';

/** The least a checker needs to know of a plan: what is done where and when (calendar years). */
export interface Work {
  readonly segment: number;
  readonly year: number;
  readonly action: ActionKind;
}

/**
 * Checks a plan against the inputs alone, without the code that made it: every broken constraint as a sentence, an
 * empty list for a plan that keeps them all. Money is counted in whole cents, so nothing is forgiven as rounding.
 */
export function brokenConstraints(inputs: PlanInputs, work: readonly Work[]): string[] {
  const broken: string[] = [];
  const rowOf = new Map<number, number>();
  for (let i = 0; i < inputs.segments.count; i++) rowOf.set(inputs.segments.ordinal[i]!, i);
  const workOf = new Map<number, Work>();
  const spent = new Map<number, number>();
  const metres = new Map<number, number>();
  const mobilised = new Set<string>();
  const add = (to: Map<number, number>, year: number, amount: number) => to.set(year, (to.get(year) ?? 0) + amount);
  for (const item of work) {
    const row = rowOf.get(item.segment);
    if (row === undefined) {
      broken.push(`Segment ${item.segment} is not among the inputs.`);
      continue;
    }
    if (workOf.has(item.segment)) broken.push(`Segment ${item.segment} has more than one work.`);
    workOf.set(item.segment, item);
    if (item.year < inputs.startYear || item.year >= inputs.startYear + inputs.years) {
      broken.push(`Segment ${item.segment} has work in ${item.year}, outside the plan.`);
    }
    const bar = ACTION[item.action].bar(inputs.segments, row);
    if (bar !== null) broken.push(`Segment ${item.segment} cannot have ${item.action}: ${bar}.`);
    add(spent, item.year, Math.round(ACTION[item.action].cost(inputs.segments, row, inputs.costs) * 100));
    add(metres, item.year, Math.round(ACTION[item.action].crewM(inputs.segments, row)));
    const site = `${inputs.segments.feeder[row]} in ${item.year}`;
    if (!mobilised.has(site)) add(spent, item.year, Math.round(inputs.costs.mobilisation * 100));
    mobilised.add(site);
  }
  let carried = 0;
  for (let y = 0; y < inputs.years; y++) {
    const year = inputs.startYear + y;
    const money = Math.floor(inputs.budget[y]! * 100 + 1e-6) + carried - (spent.get(year) ?? 0);
    if (money < 0) broken.push(`${year} spends ${-money / 100} more than its budget with what is carried over.`);
    carried = Math.max(0, Math.min(money, Math.floor(inputs.carryOverMax * 100 + 1e-6)));
    const limit = inputs.crewKm[y]! * 1000;
    if ((metres.get(year) ?? 0) > limit + 1e-6) broken.push(`${year} needs more crew kilometres than there are.`);
  }
  for (const wish of inputs.wishes) {
    const own = workOf.get(wish.segment);
    if (wish.kind === 'pin') {
      if ((own?.year ?? null) !== wish.year) broken.push(`Segment ${wish.segment} is not where it is pinned.`);
      if (own && wish.action && own.action !== wish.action)
        broken.push(`Segment ${wish.segment} has another action than pinned.`);
      continue;
    }
    const from = wish.fromYear ?? Number.NEGATIVE_INFINITY;
    const to = wish.toYear ?? Number.POSITIVE_INFINITY;
    const within = own !== undefined && own.year >= from && own.year <= to;
    if (wish.kind === 'must' && !within) broken.push(`Segment ${wish.segment} must be done and is not.`);
    if (wish.kind === 'must-not' && within)
      broken.push(`Segment ${wish.segment} is done in a year that is closed to it.`);
  }
  return broken;
}

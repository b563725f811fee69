import { ACTION, ACTIONS, type ActionKind } from './actions.ts';
import type { PlanInputs, PlanOptions } from './inputs.ts';
import { netPv, type Worth } from './risk.ts';
import { allowedYears, readWishes } from './wishes.ts';

/**
 * The choice as a 0/1 problem in columns: at most one option a segment, money and crews a year, one mobilisation a
 * feeder and year. Money is in whole cents and lengths in whole metres, so that sums and comparisons are exact.
 */
export interface Problem {
  readonly years: number;
  /** Rows of the segment columns, one a candidate. */
  readonly row: Int32Array;
  /** Local feeder of each candidate. */
  readonly feeder: Int32Array;
  readonly feeders: number;
  /** 1 where the candidate must have an option. */
  readonly must: Uint8Array;
  /** Options of candidate `c` are `start[c]` to `start[c + 1]`. */
  readonly start: Int32Array;
  readonly optionCandidate: Int32Array;
  readonly optionYear: Int32Array;
  /** Index into ACTIONS. */
  readonly optionAction: Uint8Array;
  /** Worth of the option to the objective, in currency, without mobilisation. */
  readonly value: Float64Array;
  readonly costCents: Float64Array;
  readonly crewM: Float64Array;
  readonly mobilisationCents: number;
  /** What a mobilisation takes from the objective, by year. */
  readonly mobilisationValue: Float64Array;
  readonly budgetCents: Float64Array;
  readonly carryMaxCents: number;
  readonly crewMaxM: Float64Array;
}

export const toCents = (money: number): number => Math.round(money * 100);
const floorCents = (money: number): number => (money === Infinity ? Infinity : Math.floor(money * 100 + 1e-6));

/** Whether `a` is at least as good as `b` in worth, money and crews, and so makes it needless in the same year. */
const covers = (problem: { value: number[]; cost: number[]; crew: number[] }, a: number, b: number): boolean =>
  problem.value[a]! >= problem.value[b]! &&
  problem.cost[a]! <= problem.cost[b]! &&
  problem.crew[a]! <= problem.crew[b]!;

/**
 * Builds the problem of every segment that could be worth an action or must have one. Options without benefit are
 * left out (all constraints are upper limits, so they can only harm), and so are options that another one of the same
 * segment and year covers; a segment with a 'must' keeps the options that harm.
 */
export function buildProblem(inputs: PlanInputs, worth: Worth, options: PlanOptions): Problem {
  const { segments, years } = inputs;
  const actions = options.actions ?? ACTIONS;
  const riskOnly = options.objective === 'risk-removed';
  const wishes = readWishes(inputs);
  const rows: number[] = [];
  const starts = [0];
  const musts: number[] = [];
  const optionCandidate: number[] = [];
  const optionYear: number[] = [];
  const optionAction: number[] = [];
  const value: number[] = [];
  const cost: number[] = [];
  const crew: number[] = [];
  const columns = { value, cost, crew };
  const spanStart = (from: number, year: number): number => {
    let first = value.length;
    while (first > from && optionYear[first - 1] === year) first--;
    return first;
  };
  for (let i = 0; i < segments.count; i++) {
    const wish = wishes.get(segments.ordinal[i]!);
    const must = wish?.must ?? false;
    const from = value.length;
    for (const y of allowedYears(wish, inputs)) {
      for (let a = 0; a < ACTIONS.length; a++) {
        const kind: ActionKind = ACTIONS[a]!;
        if (!actions.includes(kind) && wish?.action !== kind) continue;
        if (wish?.action && wish.action !== kind) continue;
        if (ACTION[kind].bar(segments, i) !== null) continue;
        const money = worth.cost[kind][i]!;
        const gain = riskOnly ? worth.benefitPv[kind][i * years + y]! : netPv(worth, years, kind, i, y);
        if (!(gain > 0) && !must) continue;
        const option = value.length;
        optionCandidate.push(rows.length);
        optionYear.push(y);
        optionAction.push(a);
        value.push(gain);
        cost.push(toCents(money));
        crew.push(Math.round(ACTION[kind].crewM(segments, i)));
        const first = spanStart(from, y);
        let needless = false;
        for (let o = first; o < option && !needless; o++) needless = covers(columns, o, option);
        if (needless) {
          for (const column of [optionCandidate, optionYear, optionAction, value, cost, crew]) column.pop();
        }
      }
    }
    if (value.length === from && !must) continue;
    rows.push(i);
    musts.push(must ? 1 : 0);
    starts.push(value.length);
  }
  const feederIndex = new Map<number, number>();
  const feeder = new Int32Array(rows.length);
  for (let c = 0; c < rows.length; c++) {
    const id = segments.feeder[rows[c]!]!;
    if (!feederIndex.has(id)) feederIndex.set(id, feederIndex.size);
    feeder[c] = feederIndex.get(id)!;
  }
  const mobilisation = inputs.costs.mobilisation;
  return {
    years,
    row: Int32Array.from(rows),
    feeder,
    feeders: feederIndex.size,
    must: Uint8Array.from(musts),
    start: Int32Array.from(starts),
    optionCandidate: Int32Array.from(optionCandidate),
    optionYear: Int32Array.from(optionYear),
    optionAction: Uint8Array.from(optionAction),
    value: Float64Array.from(value),
    costCents: Float64Array.from(cost),
    crewM: Float64Array.from(crew),
    mobilisationCents: toCents(mobilisation),
    mobilisationValue: Float64Array.from({ length: years }, (_, y) =>
      riskOnly ? 0 : mobilisation * worth.discount[y]!,
    ),
    budgetCents: inputs.budget.map(floorCents).slice(0, years),
    carryMaxCents: floorCents(inputs.carryOverMax),
    crewMaxM: inputs.crewKm.map((km) => (km === Infinity ? Infinity : Math.floor(km * 1000 + 1e-6))).slice(0, years),
  };
}

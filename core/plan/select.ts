import { fill, greedyPlans, moneyPrice, type Prices, pricedValue, roundPlan, yearPrices } from './greedy.ts';
import { improve } from './improve.ts';
import type { Problem } from './problem.ts';
import { type Relaxation, relax, type Solver, search } from './solver.ts';
import { type Choice, State } from './state.ts';

/** Where the selection stands; passed to `onStage`. */
export interface PlanStage {
  readonly name: 'greedy' | 'relaxation' | 'rounding' | 'search' | 'done';
  /** Rough share of the work done, 0 to 1. */
  readonly fraction: number;
  /** Best objective so far, in present value; null while there is none. */
  readonly objective: number | null;
  /** Proven upper bound; null while there is none. */
  readonly bound: number | null;
}

export interface PlanHooks {
  readonly onStage?: (stage: PlanStage) => void;
  /** Asked between the stages and inside the search; true ends with the best plan so far. */
  readonly shouldStop?: () => boolean;
}

export type SelectionStatus = 'optimal' | 'within-gap' | 'node-limit' | 'time-limit' | 'stopped' | 'infeasible';

export interface Selection {
  readonly status: SelectionStatus;
  readonly choice: Choice | null;
  readonly objective: number;
  readonly bound: number | null;
  readonly greedy: number | null;
  /** Worth of one more unit of money in each year; null without a relaxation. */
  readonly pricePerMoney: Float64Array | null;
}

export interface SelectionLimits {
  readonly gapTarget: number;
  readonly nodeLimit: number;
  readonly timeLimitS: number;
  readonly candidates: number;
}

/** Passes of local improvement of the greedy plans: enough to be a fair plan without a solver. */
const GREEDY_PASSES = 2;
/** Passes of local improvement; it mostly ends earlier by itself. */
const PASSES = 6;
/** Below this relative gap a plan is called optimal: the rounding of sums, not a better plan. */
const NO_GAP = 1e-9;
/** Progress of the search is told when the gap has closed by this much more. */
const LEAST_SHOWN = 1e-4;
/** Rounds of bettering a plan at prices and filling it up again. */
const PRICED_ROUNDS = 3;
/** Rounds in which further options are let into the relaxation. */
const PRICING_ROUNDS = 6;
/** Beyond this many options the exact search would not get past its first node; the plan stands with its proven gap. */
const MOST_SEARCHED = 60_000;
/** Options of a candidate in the first relaxation. */
const FIRST_OPTIONS = 6;

/**
 * Chooses options in stages: greedy with local improvement, relaxation (bound and prices), rounding by prices, removal of
 * options that the bound proves useless, exact search. Keeps the best plan of all stages, so it is never under the
 * greedy one. Deterministic unless the time limit is met.
 * @param elapsedS seconds since the start, handed in: this room has no clock
 */
export function select(
  solver: Solver,
  p: Problem,
  limits: SelectionLimits,
  hooks: PlanHooks,
  elapsedS: () => number,
): Selection {
  const shouldStop = () => hooks.shouldStop?.() ?? false;
  let best: Choice | null = null;
  let bestObjective = Number.NEGATIVE_INFINITY;
  let bound: number | null = null;
  const offer = (state: State) => {
    // Sums kept up to date gather rounding; the plan counts by its own sum.
    const fresh = new State(p, state.choice);
    if (!fresh.fits() || !fresh.keepsMusts() || fresh.objective <= bestObjective) return;
    best = fresh.choice;
    bestObjective = fresh.objective;
  };
  const late = () => shouldStop() || elapsedS() >= limits.timeLimitS;
  const report = (name: PlanStage['name'], fraction: number) =>
    hooks.onStage?.({ name, fraction, objective: best ? bestObjective : null, bound });
  const gap = () => (best && bound !== null ? relativeGap(bestObjective, bound) : Infinity);
  const answer = (status: SelectionStatus, prices: Prices | null): Selection => {
    report('done', 1);
    return {
      status,
      choice: best,
      objective: best ? bestObjective : 0,
      bound,
      greedy,
      pricePerMoney: prices ? prices.perCent.map((price) => price * 100) : null,
    };
  };

  const money = moneyPrice(p);
  if (Number.isFinite(money.bound)) bound = money.bound;
  for (const plan of greedyPlans(p, money)) {
    improve(p, plan, null, GREEDY_PASSES, late);
    offer(plan);
  }
  const greedy = best ? bestObjective : null;
  report('greedy', 0.02);
  if (p.value.length === 0) {
    const worthless: Prices = { perCent: new Float64Array(p.years), perCrewM: new Float64Array(p.years) };
    if (best) bound = 0;
    return answer(best ? 'optimal' : 'infeasible', worthless);
  }
  if (shouldStop()) return answer('stopped', null);

  const keep = firstOptions(p, yearPrices(p, money), limits.candidates);
  let relaxed: Relaxation | null = null;
  let missing = 0;
  for (let round = 0; round < PRICING_ROUNDS; round++) {
    const outcome = relax(solver, p, keep, Math.max(1, limits.timeLimitS - elapsedS()));
    if (outcome.kind === 'infeasible' && !keep.includes(0)) return answer('infeasible', null);
    if (outcome.kind === 'infeasible') {
      keep.fill(1);
      continue;
    }
    if (outcome.kind === 'unsolved') break;
    relaxed = outcome;
    missing = letIn(p, keep, outcome);
    if (missing <= limits.gapTarget * 0.25 * Math.abs(outcome.bound)) break;
  }
  if (!relaxed) return answer(best ? 'time-limit' : 'infeasible', null);
  bound = Math.min(bound ?? Infinity, relaxed.bound + missing);
  const prices: Prices = { perCent: relaxed.pricePerCent, perCrewM: relaxed.pricePerCrewM };
  report('relaxation', 0.25);
  if (shouldStop()) return answer('stopped', prices);

  let state = roundPlan(p, relaxed.share, prices);
  improve(p, state, prices, PASSES, late);
  offer(state);
  const priced = atPrices(p, prices);
  for (let round = 0; round < PRICED_ROUNDS && gap() > limits.gapTarget && !late(); round++) {
    // Better at prices first, which frees money and crews that the limits alone put no value on; then fill up again.
    const saving = new State(priced, state.choice);
    improve(priced, saving, null, PASSES, late);
    state = new State(p, saving.choice);
    improve(p, state, prices, PASSES, late);
    offer(state);
  }
  report('rounding', 0.4);
  if (best && gap() <= Math.max(limits.gapTarget, NO_GAP))
    return answer(gap() <= NO_GAP ? 'optimal' : 'within-gap', prices);
  if (shouldStop()) return answer('stopped', prices);

  const useful = usefulOptions(p, keep, relaxed, bestObjective, missing);
  if (best && useful.reduce((sum, one) => sum + one, 0) > MOST_SEARCHED) return answer('node-limit', prices);
  let shownGap = Infinity;
  const outcome = search(solver, p, useful, best, {
    gap: limits.gapTarget,
    nodes: limits.nodeLimit,
    timeS: Math.max(1, limits.timeLimitS - elapsedS()),
    shouldStop,
    onBound: (objective, proven) => {
      const reached = Math.max(bestObjective, objective);
      const capped = Math.min(bound ?? Infinity, proven);
      if (!Number.isFinite(reached) || relativeGap(reached, capped) > shownGap - LEAST_SHOWN) return;
      shownGap = relativeGap(reached, capped);
      hooks.onStage?.({ name: 'search', fraction: 0.6, objective: reached, bound: capped });
    },
  });
  if (outcome.choice) {
    state = new State(p, outcome.choice);
    if (!state.fits()) repair(p, state);
    if (outcome.ended !== 'optimal' || limits.gapTarget > 0) improve(p, state, prices, PASSES, late);
    offer(state);
  }
  if (!best) {
    const without = { infeasible: 'infeasible', nodes: 'node-limit', stopped: 'stopped' } as const;
    return answer(without[outcome.ended as keyof typeof without] ?? 'time-limit', prices);
  }
  // What the search left out cannot beat the best plan known when it began, so its bound holds for all options.
  bound = Math.min(bound, Math.max(bestObjective, outcome.bound));
  if (gap() <= NO_GAP) return answer('optimal', prices);
  if (gap() <= limits.gapTarget) return answer('within-gap', prices);
  if (outcome.ended === 'stopped') return answer('stopped', prices);
  return answer(outcome.ended === 'time' ? 'time-limit' : 'node-limit', prices);
}

/** How far a plan may be from the best one, relative to the bound; 0 when both are 0. */
export const relativeGap = (objective: number, bound: number): number =>
  Math.max(0, bound - objective) / Math.max(1e-9, Math.abs(bound));

/** The same problem with money and crews paid for at prices; its best plan is the same, its moves are judged otherwise. */
function atPrices(p: Problem, prices: Prices): Problem {
  return {
    ...p,
    value: Float64Array.from(p.value, (_, o) => pricedValue(p, prices, o)),
    mobilisationValue: p.mobilisationValue.map((value, y) => value + prices.perCent[y]! * p.mobilisationCents),
  };
}

/**
 * Opens the relaxation with the options that look best at rough prices: a few of each candidate, and of the candidates
 * those that come nearest to paying. A must keeps all its options.
 */
function firstOptions(p: Problem, rough: Prices, mostCandidates: number): Uint8Array {
  const keep = new Uint8Array(p.value.length);
  const best = new Float64Array(p.row.length).fill(Number.NEGATIVE_INFINITY);
  const worth = Float64Array.from(p.value, (_, o) => pricedValue(p, rough, o));
  for (let o = 0; o < worth.length; o++)
    best[p.optionCandidate[o]!] = Math.max(best[p.optionCandidate[o]!]!, worth[o]!);
  const order = [...best.keys()].sort((a, b) => best[b]! - best[a]! || a - b);
  for (const c of order.slice(0, mostCandidates)) {
    const own = Array.from({ length: p.start[c + 1]! - p.start[c]! }, (_, at) => p.start[c]! + at);
    own.sort((a, b) => worth[b]! - worth[a]! || a - b);
    for (const o of own.slice(0, FIRST_OPTIONS)) keep[o] = 1;
  }
  for (let o = 0; o < keep.length; o++) if (p.must[p.optionCandidate[o]!]) keep[o] = 1;
  return keep;
}

/**
 * Prices the options that are still out and lets in those that could better the relaxation. Returns how much they could
 * add to its bound at the present prices, mobilisation not counted: valid for any prices (Lagrangian bound).
 */
function letIn(p: Problem, keep: Uint8Array, relaxed: Relaxation): number {
  const prices: Prices = { perCent: relaxed.pricePerCent, perCrewM: relaxed.pricePerCrewM };
  let missing = 0;
  for (let c = 0; c < p.row.length; c++) {
    const has = Math.max(0, relaxed.candidateWorth[c]!);
    let most = 0;
    for (let o = p.start[c]!; o < p.start[c + 1]!; o++) {
      if (keep[o]) continue;
      const more = pricedValue(p, prices, o) - has;
      if (more <= 0) continue;
      most = Math.max(most, more);
      keep[o] = 1;
    }
    missing += most;
  }
  return missing;
}

/**
 * Options that a plan better than `objective` could contain: for the others the relaxation's bound, less what taking
 * the option costs it, stays below. Options that were never in the relaxation are priced, mobilisation not counted.
 */
function usefulOptions(
  p: Problem,
  keep: Uint8Array,
  relaxed: Relaxation,
  objective: number,
  missing: number,
): Uint8Array {
  const prices: Prices = { perCent: relaxed.pricePerCent, perCrewM: relaxed.pricePerCrewM };
  const useful = new Uint8Array(keep.length);
  const needed = objective - 1e-6 * Math.abs(relaxed.bound) - relaxed.bound - missing;
  for (let o = 0; o < useful.length; o++) {
    const inRelaxation = Number.isFinite(relaxed.reducedValue[o]!);
    const c = p.optionCandidate[o]!;
    const outside = pricedValue(p, prices, o) - Math.max(0, relaxed.candidateWorth[c]!);
    const loss = inRelaxation ? relaxed.reducedValue[o]! : Math.min(0, outside);
    if (loss >= needed || p.must[c]) useful[o] = 1;
  }
  return useful;
}

/** Takes works out of years that the rounding of the solver overfilled, least worth first, and fills up again. */
function repair(p: Problem, state: State): void {
  const chosen = [...state.choice.keys()].filter((c) => state.choice[c]! >= 0 && !p.must[c]);
  const worth = (c: number) => p.value[state.choice[c]!]!;
  chosen.sort((a, b) => worth(a) - worth(b) || a - b);
  for (const c of chosen) {
    if (state.fits()) break;
    state.set(c, -1);
  }
  fill(state, p, Int32Array.from(p.value.keys()));
}

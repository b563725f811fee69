import highsModule, { type Highs, type Model, type ModelData } from 'highs';
import type { Problem } from './problem.ts';

// The types of the package describe its CommonJS face; imported as an ES module its default is the loader itself.
const loadHighs = highsModule as unknown as typeof highsModule.default;

/** The solver, loaded once; HiGHS compiled to WebAssembly, one thread, synchronous. Same input, same answer. */
export type Solver = Highs;

let loading: Promise<Solver> | undefined;

/** Loads the solver. Fails only where its file cannot be read. */
export function loadSolver(): Promise<Solver> {
  if (!loading) loading = loadHighs();
  return loading;
}

/**
 * Runs one solve. Where the WebAssembly module gives up (it aborts when its memory ends), the answer is null and the
 * next plan loads a fresh module, because an aborted one cannot be used again.
 */
function guarded<T>(solve: () => T): T | null {
  try {
    return solve();
  } catch (fault) {
    if (!(fault instanceof Error && fault.name === 'RuntimeError')) throw fault;
    loading = undefined;
    return null;
  }
}

/** Money enters the solver in thousands of currency and lengths in kilometres: well scaled, and finer than a cent. */
const CENTS_PER_UNIT = 100_000;
const METRES_PER_UNIT = 1000;

/** Choice of HiGHS's simplex_strategy: the primal one took a third of the time of the dual one on 2,000 × 10. */
const PRIMAL_SIMPLEX = 4;

/** Columns of the linear model: options kept, then mobilisations, then money carried into the next year. */
interface Layout {
  readonly option: Int32Array;
  /** Column of feeder × years + year, −1 where none is needed. */
  readonly mobilisation: Int32Array;
  readonly firstCarry: number;
  readonly firstShort: number;
  readonly columns: number;
  /** Row of each candidate, −1 where it has no option. */
  readonly candidateRow: Int32Array;
  readonly budgetRow: number;
  readonly crewRow: Int32Array;
}

export interface Relaxation {
  readonly kind: 'relaxed';
  readonly bound: number;
  /** Share of each option of the problem, 0 to 1. */
  readonly share: Float64Array;
  /** What the objective loses per unit of an option that is now out: 0 or less. Index: option. */
  readonly reducedValue: Float64Array;
  /** Worth of one more cent of each year's budget. */
  readonly pricePerCent: Float64Array;
  readonly pricePerCrewM: Float64Array;
  /** What each candidate adds to the bound over the prices of all it takes; 0 for one that was left out. */
  readonly candidateWorth: Float64Array;
}

export type RelaxedOutcome =
  | Relaxation
  | { readonly kind: 'infeasible' }
  | { readonly kind: 'unsolved'; readonly because: string };

export type SearchOutcome = {
  readonly choice: Int32Array | null;
  /** Proven upper bound of the objective among the options kept. */
  readonly bound: number;
  readonly ended: 'optimal' | 'gap' | 'nodes' | 'time' | 'stopped' | 'infeasible' | 'memory';
};

/** What the model is for: options in part, whole options, or whole options with limits that may be broken at a price. */
type Purpose = 'relaxation' | 'search' | 'shortfall';

/** A kilometre of missing crew weighs as much as this many units of missing money, when both could give way. */
const MONEY_PER_CREW_KM = 100;

/** Builds the model over the options whose `keep` is 1. */
function model(solver: Solver, p: Problem, keep: Uint8Array, purpose: Purpose): { data: ModelData; layout: Layout } {
  const whole = purpose !== 'relaxation';
  const elastic = purpose === 'shortfall';
  const option: number[] = [];
  for (let o = 0; o < keep.length; o++) if (keep[o]) option.push(o);
  const mobilisation = new Int32Array(p.feeders * p.years).fill(-1);
  const mobile = p.mobilisationCents > 0;
  let columns = option.length;
  if (mobile) {
    for (const o of option) {
      const slot = p.feeder[p.optionCandidate[o]!]! * p.years + p.optionYear[o]!;
      if (mobilisation[slot] === -1) mobilisation[slot] = columns++;
    }
  }
  const firstCarry = columns;
  const carries = p.carryMaxCents > 0 ? p.years - 1 : 0;
  columns += carries;
  const firstShort = columns;
  if (elastic) columns += 2 * p.years;

  const starts: number[] = [0];
  const indices: number[] = [];
  const values: number[] = [];
  const rowLower: number[] = [];
  const rowUpper: number[] = [];
  const endRow = (low: number, high: number) => {
    starts.push(indices.length);
    rowLower.push(low);
    rowUpper.push(high);
  };
  // One option a candidate.
  const candidateRow = new Int32Array(p.row.length).fill(-1);
  let k = 0;
  for (let c = 0; c < p.row.length; c++) {
    const from = k;
    while (k < option.length && p.optionCandidate[option[k]!] === c) {
      indices.push(k++);
      values.push(1);
    }
    if (k === from && !p.must[c]) continue;
    candidateRow[c] = rowLower.length;
    endRow(p.must[c] ? 1 : -Infinity, 1);
  }
  // Work of a candidate in a year only where its feeder is mobilised.
  if (mobile) {
    for (let at = 0; at < option.length; ) {
      const c = p.optionCandidate[option[at]!]!;
      const y = p.optionYear[option[at]!]!;
      while (at < option.length && p.optionCandidate[option[at]!] === c && p.optionYear[option[at]!] === y) {
        indices.push(at++);
        values.push(1);
      }
      indices.push(mobilisation[p.feeder[c]! * p.years + y]!);
      values.push(-1);
      endRow(-Infinity, 0);
    }
  }
  const byYear: number[][] = Array.from({ length: p.years }, () => []);
  for (let at = 0; at < option.length; at++) byYear[p.optionYear[option[at]!]!]!.push(at);
  const budgetRow = rowLower.length;
  for (let y = 0; y < p.years; y++) {
    for (const at of byYear[y]!) {
      indices.push(at);
      values.push(p.costCents[option[at]!]! / CENTS_PER_UNIT);
    }
    for (let f = 0; f < p.feeders; f++) {
      const column = mobilisation[f * p.years + y]!;
      if (column < 0) continue;
      indices.push(column);
      values.push(p.mobilisationCents / CENTS_PER_UNIT);
    }
    if (carries > 0 && y > 0) {
      indices.push(firstCarry + y - 1);
      values.push(-1);
    }
    if (carries > 0 && y < p.years - 1) {
      indices.push(firstCarry + y);
      values.push(1);
    }
    if (elastic) {
      indices.push(firstShort + y);
      values.push(-1);
    }
    endRow(-Infinity, p.budgetCents[y]! / CENTS_PER_UNIT);
  }
  const crewRow = new Int32Array(p.years).fill(-1);
  for (let y = 0; y < p.years; y++) {
    if (p.crewMaxM[y] === Infinity) continue;
    for (const at of byYear[y]!) {
      indices.push(at);
      values.push(p.crewM[option[at]!]! / METRES_PER_UNIT);
    }
    if (elastic) {
      indices.push(firstShort + p.years + y);
      values.push(-1);
    }
    crewRow[y] = rowLower.length;
    endRow(-Infinity, p.crewMaxM[y]! / METRES_PER_UNIT);
  }
  const colCost = new Float64Array(columns);
  const colUpper = new Float64Array(columns).fill(1);
  for (let at = 0; at < option.length; at++) {
    colCost[at] = p.value[option[at]!]!;
    // The row of its candidate keeps it at 1 or under; a bound of its own would hide its price.
    if (!whole) colUpper[at] = Infinity;
  }
  for (let slot = 0; slot < mobilisation.length; slot++) {
    if (mobilisation[slot]! >= 0) colCost[mobilisation[slot]!] = -p.mobilisationValue[slot % p.years]!;
  }
  for (let y = 0; y < carries; y++) colUpper[firstCarry + y] = p.carryMaxCents / CENTS_PER_UNIT;
  if (elastic) {
    colCost.fill(0);
    colCost.fill(-1, firstShort, firstShort + p.years);
    colCost.fill(-MONEY_PER_CREW_KM, firstShort + p.years);
    colUpper.fill(Infinity, firstShort);
  }
  const integrality = new Int32Array(columns);
  if (whole) integrality.fill(solver.constants.variableType.integer, 0, firstCarry);
  return {
    layout: {
      option: Int32Array.from(option),
      mobilisation,
      firstCarry,
      firstShort,
      columns,
      candidateRow,
      budgetRow,
      crewRow,
    },
    data: {
      numCols: columns,
      numRows: rowLower.length,
      sense: solver.constants.objectiveSense.maximize,
      colCost,
      colLower: new Float64Array(columns),
      colUpper,
      rowLower,
      rowUpper,
      matrix: { format: 'csr', numRows: rowLower.length, numCols: columns, starts, indices, values },
      ...(whole ? { integrality } : {}),
    },
  };
}

/** Solves the relaxation in which options may be taken in part: a bound that no plan can exceed, and prices. */
export function relax(solver: Solver, p: Problem, keep: Uint8Array, timeLimitS: number): RelaxedOutcome {
  const { data, layout } = model(solver, p, keep, 'relaxation');
  const status = solver.constants.modelStatus;
  const solve = (run: Model): RelaxedOutcome => {
    run.options.set({
      output_flag: false,
      time_limit: timeLimitS,
      solver: 'simplex',
      simplex_strategy: PRIMAL_SIMPLEX,
    });
    run.run();
    const ended = run.getModelStatus();
    if (ended === status.infeasible) return { kind: 'infeasible' };
    if (ended !== status.optimal) return { kind: 'unsolved', because: `the relaxation ended with status ${ended}` };
    const { colValue, colDual, rowDual } = run.getSolution();
    const share = new Float64Array(p.value.length);
    const reducedValue = new Float64Array(p.value.length).fill(Number.NEGATIVE_INFINITY);
    for (let at = 0; at < layout.option.length; at++) {
      share[layout.option[at]!] = colValue[at]!;
      reducedValue[layout.option[at]!] = Math.min(0, colDual[at]!);
    }
    const pricePerCent = new Float64Array(p.years);
    const pricePerCrewM = new Float64Array(p.years);
    for (let y = 0; y < p.years; y++) {
      pricePerCent[y] = Math.abs(rowDual[layout.budgetRow + y]!) / CENTS_PER_UNIT;
      if (layout.crewRow[y]! >= 0) pricePerCrewM[y] = Math.abs(rowDual[layout.crewRow[y]!]!) / METRES_PER_UNIT;
    }
    const candidateWorth = new Float64Array(p.row.length);
    for (let c = 0; c < candidateWorth.length; c++) {
      if (layout.candidateRow[c]! >= 0) candidateWorth[c] = rowDual[layout.candidateRow[c]!]!;
    }
    const bound = run.getObjectiveValue();
    return { kind: 'relaxed', bound, share, reducedValue, pricePerCent, pricePerCrewM, candidateWorth };
  };
  return guarded(() => solver.withModel(data, solve)) ?? { kind: 'unsolved', because: 'the solver ran out of memory' };
}

/** Limits of the exact search. */
export interface SearchLimits {
  readonly gap: number;
  readonly nodes: number;
  readonly timeS: number;
  readonly shouldStop: () => boolean;
  readonly onBound: (objective: number, bound: number) => void;
}

/** Branch and cut over the options kept, from `start`. The choice it returns is rounded; the caller checks it. */
export function search(
  solver: Solver,
  p: Problem,
  keep: Uint8Array,
  start: Int32Array | null,
  limits: SearchLimits,
): SearchOutcome {
  const { data, layout } = model(solver, p, keep, 'search');
  const { modelStatus: status, callbackType } = solver.constants;
  const solve = (run: Model): SearchOutcome => {
    run.options.set({
      output_flag: false,
      mip_rel_gap: limits.gap,
      mip_abs_gap: 1e-6,
      // Without presolve the start is kept as it is and the search took a third of the time on tight budgets.
      presolve: 'off',
      mip_max_nodes: limits.nodes,
      time_limit: limits.timeS,
    });
    if (start) run.setSolution({ colValue: startColumns(p, layout, start) });
    let stopped = false;
    run.run({
      [callbackType.mipInterrupt]: (event) => {
        limits.onBound(event.data.mip_primal_bound ?? Number.NaN, event.data.mip_dual_bound ?? Number.NaN);
        if (limits.shouldStop()) {
          stopped = true;
          event.interrupt();
        }
        return undefined;
      },
    });
    const ended = run.getModelStatus();
    if (ended === status.infeasible) return { choice: null, bound: Number.NEGATIVE_INFINITY, ended: 'infeasible' };
    const bound = Number(run.info.get('mip_dual_bound'));
    const solved = Number(run.info.get('primal_solution_status')) === 2;
    const choice = solved ? readChoice(p, layout, run.getSolution().colValue) : null;
    if (stopped) return { choice, bound, ended: 'stopped' };
    if (ended === status.timeLimit) return { choice, bound, ended: 'time' };
    if (ended === status.optimal) return { choice, bound, ended: 'optimal' };
    return { choice, bound, ended: 'nodes' };
  };
  return guarded(() => solver.withModel(data, solve)) ?? { choice: null, bound: Infinity, ended: 'memory' };
}

/** What is missing in each year so that the candidates that must have an option can have one. */
export interface Shortfall {
  readonly choice: Int32Array;
  readonly cents: Float64Array;
  readonly crewM: Float64Array;
}

/** The least money and crews that are missing for the musts among the options kept; null where it cannot be told. */
export function shortfall(solver: Solver, p: Problem, keep: Uint8Array, timeLimitS: number): Shortfall | null {
  const { data, layout } = model(solver, p, keep, 'shortfall');
  return solver.withModel(data, (run) => {
    run.options.set({ output_flag: false, mip_rel_gap: 1e-6, time_limit: timeLimitS });
    run.run();
    if (Number(run.info.get('primal_solution_status')) !== 2) return null;
    const { colValue } = run.getSolution();
    const missing = (from: number, perUnit: number) =>
      Float64Array.from({ length: p.years }, (_, y) => Math.round(colValue[from + y]! * perUnit));
    return {
      choice: readChoice(p, layout, colValue),
      cents: missing(layout.firstShort, CENTS_PER_UNIT),
      crewM: missing(layout.firstShort + p.years, METRES_PER_UNIT),
    };
  });
}

function startColumns(p: Problem, layout: Layout, choice: Int32Array): Float64Array {
  const column = new Float64Array(layout.columns);
  const spent = new Float64Array(p.years);
  for (let at = 0; at < layout.option.length; at++) {
    const o = layout.option[at]!;
    const c = p.optionCandidate[o]!;
    if (choice[c] !== o) continue;
    const y = p.optionYear[o]!;
    column[at] = 1;
    spent[y]! += p.costCents[o]!;
    const z = layout.mobilisation[p.feeder[c]! * p.years + y]!;
    if (z >= 0 && column[z] === 0) {
      column[z] = 1;
      spent[y]! += p.mobilisationCents;
    }
  }
  let carried = 0;
  for (let y = 0; layout.firstCarry + y < layout.firstShort; y++) {
    carried = Math.min(p.carryMaxCents, p.budgetCents[y]! + carried - spent[y]!);
    column[layout.firstCarry + y] = carried / CENTS_PER_UNIT;
  }
  return column;
}

function readChoice(p: Problem, layout: Layout, column: Float64Array): Int32Array {
  const choice = new Int32Array(p.row.length).fill(-1);
  for (let at = 0; at < layout.option.length; at++) {
    if (column[at]! > 0.5) choice[p.optionCandidate[layout.option[at]!]!] = layout.option[at]!;
  }
  return choice;
}

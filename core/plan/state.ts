import type { Problem } from './problem.ts';

/** Option chosen for each candidate, −1 for none. */
export type Choice = Int32Array;

/**
 * A choice with its sums kept up to date, so that a move is judged in a few steps.
 * Invariant: `objective`, `spentCents`, `crewM` and `onFeeder` are those of `choice`.
 */
export class State {
  readonly choice: Choice;
  readonly spentCents: Float64Array;
  readonly crewM: Float64Array;
  /** Works on a feeder in a year: `feeder * years + year`. */
  readonly onFeeder: Int32Array;
  objective = 0;
  private readonly trialSpent: Float64Array;
  private readonly trialCrew: Float64Array;
  private readonly problem: Problem;

  constructor(problem: Problem, choice?: Choice) {
    this.problem = problem;
    this.choice = new Int32Array(problem.row.length).fill(-1);
    this.spentCents = new Float64Array(problem.years);
    this.crewM = new Float64Array(problem.years);
    this.trialSpent = new Float64Array(problem.years);
    this.trialCrew = new Float64Array(problem.years);
    this.onFeeder = new Int32Array(problem.feeders * problem.years);
    if (choice) for (let c = 0; c < choice.length; c++) if (choice[c]! >= 0) this.set(c, choice[c]!);
  }

  /** Gives candidate `c` the option (−1 for none) without asking whether it fits. */
  set(c: number, option: number): void {
    const p = this.problem;
    const old = this.choice[c]!;
    if (old === option) return;
    if (old >= 0) {
      const y = p.optionYear[old]!;
      const slot = p.feeder[c]! * p.years + y;
      this.spentCents[y]! -= p.costCents[old]!;
      this.crewM[y]! -= p.crewM[old]!;
      this.objective -= p.value[old]!;
      if (--this.onFeeder[slot]! === 0) {
        this.spentCents[y]! -= p.mobilisationCents;
        this.objective += p.mobilisationValue[y]!;
      }
    }
    if (option >= 0) {
      const y = p.optionYear[option]!;
      const slot = p.feeder[c]! * p.years + y;
      this.spentCents[y]! += p.costCents[option]!;
      this.crewM[y]! += p.crewM[option]!;
      this.objective += p.value[option]!;
      if (this.onFeeder[slot]!++ === 0) {
        this.spentCents[y]! += p.mobilisationCents;
        this.objective -= p.mobilisationValue[y]!;
      }
    }
    this.choice[c] = option;
  }

  /** Change of the objective if candidate `c` moved to the option. */
  gain(c: number, option: number): number {
    const p = this.problem;
    const old = this.choice[c]!;
    if (old === option) return 0;
    const base = p.feeder[c]! * p.years;
    const oldYear = old >= 0 ? p.optionYear[old]! : -1;
    const newYear = option >= 0 ? p.optionYear[option]! : -1;
    let change = (option >= 0 ? p.value[option]! : 0) - (old >= 0 ? p.value[old]! : 0);
    if (oldYear !== newYear) {
      if (old >= 0 && this.onFeeder[base + oldYear] === 1) change += p.mobilisationValue[oldYear]!;
      if (option >= 0 && this.onFeeder[base + newYear] === 0) change -= p.mobilisationValue[newYear]!;
    }
    return change;
  }

  /** Whether all limits hold if candidate `c` moved to the option. */
  fitsMove(c: number, option: number): boolean {
    const p = this.problem;
    const spent = this.trialSpent;
    const crew = this.trialCrew;
    spent.set(this.spentCents);
    crew.set(this.crewM);
    const old = this.choice[c]!;
    const base = p.feeder[c]! * p.years;
    const oldYear = old >= 0 ? p.optionYear[old]! : -1;
    const newYear = option >= 0 ? p.optionYear[option]! : -1;
    if (old >= 0) {
      spent[oldYear]! -= p.costCents[old]!;
      crew[oldYear]! -= p.crewM[old]!;
      if (oldYear !== newYear && this.onFeeder[base + oldYear] === 1) spent[oldYear]! -= p.mobilisationCents;
    }
    if (option >= 0) {
      spent[newYear]! += p.costCents[option]!;
      crew[newYear]! += p.crewM[option]!;
      if (oldYear !== newYear && this.onFeeder[base + newYear] === 0) spent[newYear]! += p.mobilisationCents;
    }
    return withinLimits(p, spent, crew);
  }

  /** Whether all limits hold now. */
  fits(): boolean {
    return withinLimits(this.problem, this.spentCents, this.crewM);
  }

  /** Whether every candidate that must have an option has one. */
  keepsMusts(): boolean {
    const { must } = this.problem;
    for (let c = 0; c < must.length; c++) if (must[c] && this.choice[c]! < 0) return false;
    return true;
  }
}

/** Whether money, with what is carried over, and crews suffice in every year. */
export function withinLimits(p: Problem, spentCents: Float64Array, crewM: Float64Array): boolean {
  let carried = 0;
  for (let y = 0; y < p.years; y++) {
    const left = p.budgetCents[y]! + carried - spentCents[y]!;
    if (left < 0 || crewM[y]! > p.crewMaxM[y]!) return false;
    carried = Math.min(left, p.carryMaxCents);
  }
  return true;
}

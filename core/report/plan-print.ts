import type { PlanTableRow } from './plan-table.ts';

interface Counted {
  readonly mean: number;
  readonly lo: number;
  readonly hi: number;
}

export interface PlanPrintYear {
  readonly year: number;
  readonly budget: number;
  readonly carriedIn: number;
  readonly spent: number;
  readonly carried: number;
  readonly riskBefore: number;
  readonly riskRemoved: number;
  readonly riskLeft: number;
  readonly failuresBefore: Counted;
  readonly failures: Counted;
  readonly customerMinutes: number;
  /** What a year's wait of all its works comes to, in present value; null where it cannot be told. */
  readonly waiting: PlanPrintWaiting | null;
}

export interface PlanPrintWaiting {
  readonly riskKept: number;
  readonly interestSaved: number;
  readonly residualGained: number;
  readonly net: number;
}

/** A plan for the board, as plain rows and sentences. Money in `currency`, null where none is named. */
export interface PlanPrint {
  readonly utility: string;
  readonly title: string;
  /** Its day and revision, its name, who approved it. */
  readonly standing: string;
  readonly sentence: string;
  /** The four figures of the first page, each with what it counts. */
  readonly figures: readonly (readonly [figure: string, words: string])[];
  readonly waitingSays: string;
  readonly terms: readonly (readonly [string, string])[];
  /** Lines of money that add up, one after the other. */
  readonly money: readonly (readonly [string, number])[];
  /** The plan under changed terms; empty where that was not worked out. */
  readonly whatIf: readonly {
    readonly words: string;
    readonly works: number;
    readonly paying: number;
    readonly spent: number;
    readonly riskRemovedPv: number;
    readonly riskLeftPv: number;
    readonly netPv: number;
    readonly failures: number;
  }[];
  readonly rows: readonly PlanTableRow[];
  readonly years: readonly PlanPrintYear[];
  readonly leftOut: readonly {
    readonly name: string;
    readonly feeder: string;
    readonly price: number;
    readonly cost: number;
  }[];
  readonly leftOutTotal: number;
  readonly method: readonly string[];
  readonly failureModel: readonly string[];
  readonly assumptions: readonly string[];
  readonly costs: readonly {
    readonly words: string;
    readonly value: number;
    readonly unit: string;
    readonly source: string;
  }[];
  readonly currency: string | null;
}

import type { Conflict } from './infeasible.ts';
import type { ActionKind, PlannedAction } from './kinds.ts';
import type { Known } from './known.ts';
import type { Expected } from './outlook.ts';
import type { WaitingCost } from './risk.ts';
import type { SelectionStatus } from './select.ts';

/** One work of a plan. Money in the currency of the costs, present values at the rate of the inputs. */
export interface PlanItem {
  readonly segment: number;
  readonly feeder: number;
  readonly year: number;
  readonly action: PlannedAction;
  /** The action without the word for its neighbours. */
  readonly kind: ActionKind;
  /** Own cost and share of the mobilisation; items of a year add up to what the year spends. */
  readonly cost: number;
  readonly mobilisationShare: number;
  readonly crewKm: number;
  readonly benefitPv: number;
  readonly costPv: number;
  readonly residualPv: number;
  /** benefitPv − costPv + residualPv. */
  readonly netPv: number;
  readonly waiting:
    | { readonly known: true; readonly cost: WaitingCost }
    | { readonly known: false; readonly because: string };
  readonly forced: 'must' | 'pin' | null;
}

/** A segment that would pay its work but has none in the plan. */
export interface LeftOut {
  readonly segment: number;
  /** Net present value of its best work within its wishes, mobilisation not counted: what leaving it gives away. */
  readonly priceOfLeaving: number;
  readonly bestYear: number;
  readonly bestAction: ActionKind;
  readonly cost: number;
}

export interface PlanYear {
  readonly year: number;
  readonly budget: number;
  readonly carriedIn: number;
  readonly spent: number;
  /** Carried into the next year; budget + carriedIn = spent + carried + lapsed. */
  readonly carried: number;
  readonly lapsed: number;
  readonly crewKm: number;
  /** Expected cost of failures in the year if nothing were ever done, undiscounted. */
  readonly riskBefore: number;
  readonly riskRemoved: number;
  readonly riskLeft: number;
  readonly failuresBefore: Expected;
  readonly failures: Expected;
  readonly customerMinutesBefore: number;
  readonly customerMinutes: number;
  readonly customersInterrupted: number;
  readonly saidiMinutes: Known;
  readonly saifi: Known;
  /** Present value gained by one more unit of money in this year, from the relaxation. */
  readonly worthOfMoney: Known;
}

export interface Plan {
  readonly status: SelectionStatus;
  readonly items: readonly PlanItem[];
  readonly byYear: readonly PlanYear[];
  readonly leftOut: readonly LeftOut[];
  /** What was maximised: net present value, or present value of risk removed. */
  readonly objective: 'net-benefit' | 'risk-removed';
  readonly objectivePv: number;
  readonly boundPv: Known;
  /** (bound − objective) / bound: no plan within the wishes is better by more than this share. */
  readonly gap: Known;
  readonly greedyPv: Known;
  readonly spent: number;
  readonly costPv: number;
  readonly benefitPv: number;
  /** What the new cable of all items is still worth at the horizon. */
  readonly residualPv: number;
  readonly riskPvBefore: number;
  readonly riskPvLeft: number;
  /** Why no plan exists; empty otherwise. */
  readonly conflicts: readonly Conflict[];
  readonly candidates: number;
  readonly assumptions: readonly string[];
}

import type { ActionKind } from './kinds.ts';

/** Insulation families in the order of the codes in {@link SegmentColumns.insulation}. */
export const INSULATIONS = ['PILC', 'HMWPE', 'XLPE', 'TR-XLPE', 'EPR', 'PVC', 'other'] as const;
export type Insulation = (typeof INSULATIONS)[number];

/** Ways of laying in the order of the codes in {@link SegmentColumns.installation}. */
export const INSTALLATIONS = ['duct', 'direct_buried', 'tray', 'submarine'] as const;
export type Installation = (typeof INSTALLATIONS)[number];

/**
 * The segments of a plan, a row each, as columns of equal length `count`.
 * NaN in a column of numbers means 'unknown' where the line says so, and nowhere else.
 */
export interface SegmentColumns {
  readonly count: number;
  /** The caller's own number of the segment; items of a plan carry it. Distinct. */
  readonly ordinal: Int32Array;
  /** The caller's own number of the feeder. */
  readonly feeder: Int32Array;
  readonly lengthM: Float64Array;
  readonly splices: Int32Array;
  /** Customers without supply when the segment fails; NaN unknown. */
  readonly customers: Float64Array;
  /** The segment's share of the peak load, kVA; NaN unknown. */
  readonly peakLoadKva: Float64Array;
  /** 1 where customers can be fed from another side while the segment is repaired. */
  readonly alternateSupply: Uint8Array;
  /** 1 where a critical customer hangs on the segment. */
  readonly criticalLoad: Uint8Array;
  /** Code into {@link INSULATIONS}. */
  readonly insulation: Uint8Array;
  /** Code into {@link INSTALLATIONS}. */
  readonly installation: Uint8Array;
  /** 1 where the conductor is stranded and never was filled or injected: fluid can flow along it. */
  readonly fillable: Uint8Array;
  readonly ageYears: Float64Array;
  /** Specific leakage today, nS/km at 20 °C; NaN unknown. Read by the worst-reading-first baseline only. */
  readonly levelNsPerKm: Float64Array;
  /** Growth, % a year; NaN unknown. Read by the worst-growth-first baseline only. */
  readonly growthPctPerYear: Float64Array;
  /** Annual probability of failure if nothing is done: row by row, `horizonYears` a segment, first plan year first. */
  readonly failureProbability: Float64Array;
  /** Lower end of its 90 % interval, same layout. */
  readonly failureProbabilityLo: Float64Array;
  /** Upper end of its 90 % interval, same layout. */
  readonly failureProbabilityHi: Float64Array;
  /** Posterior sd of the segment's own effect on ln hazard; NaN unknown. */
  readonly lnHazardSd: Float64Array;
  /** Sd with which one more test would show that effect (its error, in ln hazard); NaN unknown. */
  readonly testErrorSd: Float64Array;
}

/** What replaces a segment. */
export interface NewCable {
  /** Failures per km and year of new cable, by age: index 0 is its first year. At least `horizonYears` long. */
  readonly failuresPerKmYear: Float64Array;
  /** Years over which its cost is written off in a straight line for the residual value at the horizon. */
  readonly lifeYears: number;
}

/** The owner's money figures, in one currency, constant money. Defaults with their sources: defaults.ts. */
export interface PlanCosts {
  readonly replacementPerM: Readonly<Record<Installation, number>>;
  readonly replacementPerSplice: number;
  /** Setting up once on a feeder in a year, shared by all work there in that year. */
  readonly mobilisation: number;
  /** Finding and mending one failure, crew and material. */
  readonly repairPerFailure: number;
  readonly perCustomerHour: number;
  readonly perKwhUnserved: number;
  /** Which of the two prices of an interruption counts. 'both' adds them. */
  readonly interruptionBasis: 'customer-hours' | 'energy' | 'both';
  /** Mean load over peak load, times power factor: kW per kVA of peak. */
  readonly meanKwPerPeakKva: number;
  /** The interruption counts this many times where a critical customer is without supply. */
  readonly criticalMultiplier: number;
  readonly restorationHoursWithAlternate: number;
  readonly restorationHoursWithout: number;
  readonly injectionPerM: number;
  /** Hazard after injection over hazard before. */
  readonly injectionHazardFactor: number;
  readonly injectionEffectYears: number;
  readonly renewalPerSplice: number;
  /** Share of a segment's failures that happen at its splices. */
  readonly spliceFailureShare: number;
  /** Hazard of a renewed splice over that of the old one. */
  readonly renewalHazardFactor: number;
  readonly testPerCrewDay: number;
  readonly crewDaysPerTest: number;
}

/** What the owner insists on for one segment. Years are calendar years, both ends included. */
export type Wish =
  | { readonly kind: 'must'; readonly segment: number; readonly fromYear?: number; readonly toYear?: number }
  | { readonly kind: 'must-not'; readonly segment: number; readonly fromYear?: number; readonly toYear?: number }
  /** `year: null` pins the segment to being left alone. */
  | { readonly kind: 'pin'; readonly segment: number; readonly year: number | null; readonly action?: ActionKind };

/** Everything a plan is made from; plain data, so that a plan can be made again. */
export interface PlanInputs {
  readonly startYear: number;
  /** Years in which work can be done. */
  readonly years: number;
  /** Years over which risk is counted, at least `years`. */
  readonly horizonYears: number;
  readonly segments: SegmentColumns;
  readonly newCable: NewCable;
  readonly costs: PlanCosts;
  /** Real discount rate a year, 0.05 for 5 %. */
  readonly discountRate: number;
  /** Money of each plan year. */
  readonly budget: Float64Array;
  /** The most that may be carried from one year into the next; 0 for none, Infinity for all. */
  readonly carryOverMax: number;
  /** Kilometres the crews can work on in each plan year; Infinity for no limit. */
  readonly crewKm: Float64Array;
  readonly wishes: readonly Wish[];
  /** Customers served by the whole system, the divisor of SAIDI and SAIFI. */
  readonly customersServed: number;
}

/** How the plan is looked for. */
export interface PlanOptions {
  /** 'net-benefit' weighs risk removed against money spent; 'risk-removed' removes as much risk as the budget allows. */
  readonly objective?: 'net-benefit' | 'risk-removed';
  /** Actions that may be chosen; all of them by default. */
  readonly actions?: readonly ActionKind[];
  /** Counts the residual value of new cable at the horizon in a straight line (NIST Handbook 135, from memory). Default true. */
  readonly residualValue?: boolean;
  /** The search stops at this relative gap. Default 0.005. */
  readonly gapTarget?: number;
  /** Nodes the exact search may open. Default 1,000: a limit that does not depend on the speed of the machine. */
  readonly nodeLimit?: number;
  /** Last guard in seconds. Default 55. A plan that met it may differ on another machine, and its status says so. */
  readonly timeLimitS?: number;
  /** Segments the relaxation is opened with; others are priced and let in if they could matter. Default 2,500. */
  readonly candidates?: number;
}

import type { Decisions } from './decisions.ts';

/**
 * The fleet as the growth model reads it: plain typed columns, ordinals instead of ids, NaN for unknown.
 * Tasks build it from the store; nothing in this room knows where it came from.
 */

/** Insulation families, in the order of their codes in `SegmentColumns.insulation`. */
export const insulationFamilies = ['PILC', 'HMWPE', 'XLPE', 'TR-XLPE', 'EPR', 'PVC', 'other'] as const;
export type InsulationFamily = (typeof insulationFamilies)[number];

/** What was done to a segment, in the order of their codes in `InterventionColumns.kind`. */
export const interventionKinds = [
  'section_replaced',
  'splice_added',
  'splice_renewed',
  'fluid_injected',
  'termination_remade',
] as const;

/** How a reading was made, in the order of their codes in `ReadingColumns.method`. */
export const testMethods = ['dc_withstand', 'dc_step', 'insulation_resistance'] as const;

/** Why it was made, in the order of their codes in `ReadingColumns.purpose`. */
export const testPurposes = ['acceptance', 'maintenance', 'after_repair'] as const;

export interface SegmentColumns {
  readonly count: number;
  /** km; always positive. */
  readonly lengthKm: Float64Array;
  /** kV, phase to phase; NaN where unknown. */
  readonly ratedKv: Float64Array;
  /** Index into `insulationFamilies`. */
  readonly insulation: Uint8Array;
  /** Days since 1970-01-01; NaN where unknown. */
  readonly energisedDay: Float64Array;
  /** The specific leakage above which the owner does not keep the segment, nS/km at 20 °C; NaN where none is set. */
  readonly limitNsPerKm: Float64Array;
}

/** One entry a reading (one phase of one test event). Sorted by segment, then day, then event, then phase. */
export interface ReadingColumns {
  readonly count: number;
  /** Ordinal of the segment. */
  readonly segment: Int32Array;
  /** Ordinal of the test event, 0 … events − 1, non-decreasing. */
  readonly event: Int32Array;
  /** Days since 1970-01-01. */
  readonly day: Int32Array;
  /** 0, 1, 2 for phase A, B, C. */
  readonly phase: Uint8Array;
  /** kV. */
  readonly voltageKv: Float64Array;
  /** Minutes; NaN where unknown. */
  readonly dwellMin: Float64Array;
  /** µA at the end of the dwell; the instrument's floor where `belowFloor`. */
  readonly leakageUa: Float64Array;
  /** 1 where the true leakage is somewhere under `leakageUa`. */
  readonly belowFloor: Uint8Array;
  /** °C; NaN where unknown. */
  readonly insulationTempC: Float64Array;
  /** °C; NaN where unknown. */
  readonly ambientTempC: Float64Array;
  /** Index into `testMethods`. */
  readonly method: Uint8Array;
  /** Index into `testPurposes`. */
  readonly purpose: Uint8Array;
  /** Ordinal of the instrument; −1 where unknown. */
  readonly instrument: Int32Array;
}

/** One entry an intervention, sorted by segment then day. */
export interface InterventionColumns {
  readonly count: number;
  readonly segment: Int32Array;
  readonly day: Int32Array;
  /** Index into `interventionKinds`. */
  readonly kind: Uint8Array;
}

export interface FleetColumns {
  readonly segments: SegmentColumns;
  readonly readings: ReadingColumns;
  readonly interventions: InterventionColumns;
  /** What the owner's verdicts on findings say of single readings; absent where there are none. */
  readonly decisions?: Decisions;
  /** Today for the model: days since 1970-01-01. Nothing later than this is in the columns. */
  readonly asOfDay: number;
}

import { INSTALLATIONS, INSULATIONS, type Insulation, type PlanCosts, type SegmentColumns } from './inputs.ts';
import type { ActionKind } from './kinds.ts';

export { ACTIONS, type ActionKind, type PlannedAction } from './kinds.ts';

/** Insulations that injected fluid is sold for, where the conductor is stranded and unfilled. */
const INJECTABLE: readonly Insulation[] = ['XLPE', 'HMWPE', 'EPR'];

/** One kind of work: whether it can be done, what it costs and what it is assumed to do. */
export interface Action {
  readonly kind: ActionKind;
  /** Why row `i` cannot have it, or null. */
  bar(segments: SegmentColumns, i: number): string | null;
  /** Cost without mobilisation, in the currency of the costs. */
  cost(segments: SegmentColumns, i: number, costs: PlanCosts): number;
  /** Metres of cable the crews work on. */
  crewM(segments: SegmentColumns, i: number): number;
  /** Sentences a plan prints beside the action. */
  readonly assumptions: readonly string[];
}

const replace: Action = {
  kind: 'replace',
  bar: () => null,
  cost: (segments, i, costs) =>
    segments.lengthM[i]! * costs.replacementPerM[INSTALLATIONS[segments.installation[i]!]!] +
    segments.splices[i]! * costs.replacementPerSplice,
  crewM: (segments, i) => segments.lengthM[i]!,
  assumptions: [
    'Replacement takes the whole segment, with as many splices as before; from its year on it fails at the rate of new cable of its age and length.',
    'All work on a feeder in one year shares one setting up.',
  ],
};

const fluidInjection: Action = {
  kind: 'fluid_injection',
  bar: (segments, i) => {
    const insulation = INSULATIONS[segments.insulation[i]!]!;
    if (!INJECTABLE.includes(insulation)) return `fluid is not injected into ${insulation}`;
    return segments.fillable[i] ? null : 'the conductor is solid, filled or already injected';
  },
  cost: (segments, i, costs) => segments.lengthM[i]! * costs.injectionPerM,
  crewM: (segments, i) => segments.lengthM[i]! / 4,
  assumptions: [
    'Fluid injection goes into XLPE, HMWPE and EPR only; it passes or bypasses every splice.',
    'Every such conductor is taken as stranded and unfilled unless fluid is on record for it: the records do not say. Confirm it for each segment before the work is ordered.',
    'Injection lowers the chance of failure by one factor for a stated number of years; then it returns to what it would have been.',
    'Injection takes a crew a quarter of the time of replacement (common practice, no source).',
  ],
};

const spliceRenewal: Action = {
  kind: 'splice_renewal',
  bar: (segments, i) => (segments.splices[i]! > 0 ? null : 'the segment has no splice'),
  cost: (segments, i, costs) => segments.splices[i]! * costs.renewalPerSplice,
  crewM: () => 0,
  assumptions: [
    'Splice renewal takes every splice of the segment; the cable between stays and keeps its age.',
    'A stated share of the failures happens at splices; renewal lowers their chance by one factor for good.',
  ],
};

/** All actions by kind. Another one is an entry here, a column of effects in risk.ts, and its figures in the costs. */
export const ACTION: Readonly<Record<ActionKind, Action>> = {
  replace,
  fluid_injection: fluidInjection,
  splice_renewal: spliceRenewal,
};

/** Assumptions of the two choices that are not work: printed beside the plan. */
export const OTHER_ASSUMPTIONS = {
  nothing: ['A segment that fails and has no project is repaired and continues with its age.'],
  retest_first: [
    'A test moves the estimate of the hazard; it does not change the cable.',
    'No DC withstand test of service-aged extruded insulation without the caution of the IEEE 400 family: the owner’s procedure and licensed practice decide whether it may be done.',
    'No field test predicts when a cable will fail (IEEE 400).',
  ],
} as const;

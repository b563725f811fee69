/** Each piece of the growth model can be switched off, so that the plain model can be held against other programs. */
export interface GrowthOptions {
  /** Power-of-ten slips are repaired for the fit and reported. */
  readonly repairSlips?: boolean;
  /** Single phases far from the rest of their event are given less weight, and reported. */
  readonly downWeightPhases?: boolean;
  /** Phases keep offsets of their own and may age on their own. */
  readonly phaseContrasts?: boolean;
  /** Readings under the instrument's floor tell only that; off: they are left out. */
  readonly censoring?: boolean;
  /** The steps of an instrument's scale count as intervals. */
  readonly rounding?: boolean;
  /** Temperature, voltage, dwell and length terms. */
  readonly corrections?: boolean;
  /** Leakage may rise with voltage otherwise than as one power of it. */
  readonly voltageCurve?: boolean;
  /** The level starts anew at each intervention. */
  readonly interventions?: boolean;
  /** Weak priors on cohort slopes and corrections. */
  readonly priors?: boolean;
  /** A share of segments ages fast or has begun to accelerate. */
  readonly mixture?: boolean;
  /** Restricted likelihood; off: maximum likelihood. */
  readonly restricted?: boolean;
  /** Smallest number of segments in a cohort before it is merged. */
  readonly smallestCohort?: number;
  /** Stop when no variance moves by more than this share of itself. */
  readonly tolerance?: number;
}

export type GrowthSettings = Required<GrowthOptions>;

export const defaultGrowth: GrowthSettings = {
  repairSlips: true,
  downWeightPhases: true,
  phaseContrasts: true,
  censoring: true,
  rounding: true,
  corrections: true,
  voltageCurve: true,
  interventions: true,
  priors: true,
  mixture: true,
  restricted: true,
  smallestCohort: 20,
  tolerance: 1e-4,
};

/** Nothing but the mixed model: what general statistics programs fit. */
export const plainGrowth: GrowthSettings = {
  repairSlips: false,
  downWeightPhases: false,
  phaseContrasts: false,
  censoring: false,
  rounding: false,
  corrections: true,
  voltageCurve: false,
  interventions: false,
  priors: false,
  mixture: false,
  restricted: true,
  smallestCohort: 20,
  tolerance: 1e-9,
};

import type { MixedModelRows } from '../numerics/mixedModelGroup.ts';

/** Years before the as-of day at which a late ager may have begun. */
export const lateOnsetYears = [1.5, 3, 5, 8, 12] as const;
/** A late push grows as the 1.5th power of the time since its onset; scaled so that it is a slope of 1 today. */
export const lateScale = lateOnsetYears.map((years) => 1.5 * Math.sqrt(years));
/**
 * Of ln frequency, year for year, between neighbouring onsets: about as common, within a factor of three or so. Ours:
 * the fleet is heard where it shows an onset, its neighbours where no test has had the time to.
 */
export const neighbourSd = 1.2;
/** Ordinary, fast, and late since each onset. */
export const ways = 2 + lateOnsetYears.length;

/**
 * Ways of ageing. Ordinary: (level, slope) around the cohort's. Fast: a push h on the slope over all years, with the
 * level that belongs to it. Late: a push since an onset. h ~ N(mean, variance) for each kind.
 */
export interface AgerParameters {
  readonly share: Float64Array;
  /** Of ordinary agers around their cohort's, one entry an insulation family. */
  readonly levelVariance: Float64Array;
  readonly covariance: Float64Array;
  readonly slopeVariance: Float64Array;
  readonly stepVariance: number;
  readonly fastMean: number;
  readonly fastVariance: number;
  readonly lateMean: number;
  readonly lateVariance: number;
  /** Years: how far back the level of a fast ager began to part from the others'. */
  readonly pivotYears: number;
  /** Level and slope of each cohort's ordinary agers less the cohort's mean: [2 c], [2 c + 1]. */
  readonly ordinary: Float64Array;
}

/** Parts of a segment's posterior: the ways, and the ordinary one with a phase that ages on its own. */
export const posteriorParts = ways + 1;

/** Where the parts of all segments go: `[segment · posteriorParts + part]`. Level and slope are today's, less the fixed effects. */
export interface AgerParts {
  readonly weight: Float64Array;
  readonly level: Float64Array;
  readonly slope: Float64Array;
  readonly levelVariance: Float64Array;
  readonly covariance: Float64Array;
  readonly slopeVariance: Float64Array;
}

export function agerParts(segments: number): AgerParts {
  const make = () => new Float64Array(segments * posteriorParts);
  return {
    weight: make(),
    level: make(),
    slope: make(),
    levelVariance: make(),
    covariance: make(),
    slopeVariance: make(),
  };
}

export interface AgerInput {
  readonly rows: MixedModelRows;
  readonly cohortOf: Int32Array;
  readonly cohortCount: number;
  readonly familyOf: Uint8Array;
  readonly familyCount: number;
  readonly errorVariance: number;
  /** Response less the fixed effects. */
  readonly residual: Float64Array;
}

import type { Cohorts } from './cohorts.ts';
import type { FittedModel } from './model.ts';

/** Levels and slopes of every segment as of today: a mixture of normals, `parts` a segment. */
export interface GrowthPosterior {
  readonly parts: number;
  /** `[segment · parts + k]`; all 0 for a segment without a usable reading. */
  readonly weight: Float64Array;
  /** ln nS/km at 20 °C, the usual maintenance voltage and dwell, today. */
  readonly level: Float64Array;
  /** Per year, today and from now on. */
  readonly slope: Float64Array;
  readonly levelVariance: Float64Array;
  readonly covariance: Float64Array;
  readonly slopeVariance: Float64Array;
}

/** One entry a segment; NaN (or −1, or 0 for counts) where the segment has no usable reading. */
export interface SegmentGrowth {
  /** % per year, the number ranked by: midway between the mean and the median of what is known. */
  readonly growthPctPerYr: Float64Array;
  /** Ends of the 90 % interval, and the median. */
  readonly growthLo: Float64Array;
  readonly growthHi: Float64Array;
  readonly growthMedian: Float64Array;
  readonly pGrowing: Float64Array;
  /** nS/km at 20 °C today: median and the ends of its 90 % interval. */
  readonly levelNsPerKm: Float64Array;
  readonly levelLo: Float64Array;
  readonly levelHi: Float64Array;
  /** Test events that count. */
  readonly tests: Int32Array;
  /** Probability that its growth began or rose within the last decade. */
  readonly pAccelerating: Float64Array;
  /** Probability that it is one of the fast agers, bent or straight. */
  readonly pFast: Float64Array;
  /** Phase that grows fastest, 0 … 2; −1 where no phase was compared. Its growth, % per year. */
  readonly worstPhase: Int8Array;
  readonly worstPhaseGrowthPct: Float64Array;
  /** Probability that one phase ages on its own. */
  readonly pPhaseOwn: Float64Array;
  /** Events with most phases under the floor. */
  readonly censoredTests: Int32Array;
  readonly repairedReadings: Int32Array;
  readonly downWeightedReadings: Int32Array;
  /** Stretches between interventions that hold a test. */
  readonly eras: Int32Array;
}

/** One entry a reading. */
export interface ReadingGrowth {
  /** nS/km at 20 °C and the usual voltage and dwell, repaired where it was; NaN where left out. */
  readonly adjustedNsPerKm: Float64Array;
  /** Code in `readingFlags`. */
  readonly flag: Uint8Array;
  /** Code in `leftOutReasons`. */
  readonly reason: Uint8Array;
  /** What the reading was multiplied by for the fit: 1, a power of 1,000, or what a verdict says. */
  readonly factor: Float64Array;
  /** How far its event lies from what the rest of the segment says, in standard deviations; NaN where left out. */
  readonly surprise: Float64Array;
}

/** An estimate of the model, for people to read. */
export interface Estimate {
  readonly name: string;
  readonly unit: string;
  readonly value: number;
  /** NaN where it has none. */
  readonly standardError: number;
  /** What was assumed beforehand, and where from. */
  readonly prior?: { readonly mean: number; readonly sd: number; readonly source: string };
}

export interface FitReport {
  readonly segments: number;
  readonly ranked: number;
  readonly events: number;
  readonly readingsUsed: number;
  readonly passes: number;
  readonly converged: boolean;
  /** −2 log (restricted) likelihood of the event model. */
  readonly criterion: number;
  readonly mixturePasses: number;
  readonly temperatureBasis: string;
  readonly estimates: readonly Estimate[];
}

export interface GrowthFit {
  readonly segments: SegmentGrowth;
  readonly readings: ReadingGrowth;
  readonly posterior: GrowthPosterior;
  /** Segments in order of growth, the fastest first; unranked ones are not in it. */
  readonly order: Int32Array;
  readonly cohorts: Cohorts;
  readonly report: FitReport;
  /** What `predictReading` and `backtest` need. */
  readonly model: FittedModel;
}

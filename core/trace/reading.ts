import type { Maybe } from '../trade/source.ts';
import type { CurrentTrend } from './current.ts';

export type Outcome = 'withstood' | 'breakdown' | 'stopped';

/** A value with its standard deviation. */
export interface Estimate {
  readonly value: number;
  readonly sd: number;
}

/** One hold of constant voltage, in order of time. */
export interface StepReading {
  readonly voltageKv: number;
  /** At the end of the hold, µA. */
  readonly leakageUa: number;
  readonly leakageSpreadUa: number;
  readonly startS: number;
  readonly dwellS: number;
  readonly resistanceMohm: Maybe<number>;
}

export interface TipUp {
  /** Share by which resistance fell from the lowest to the highest step. */
  readonly resistanceFallShare: number;
  readonly voltageRatio: number;
  /** Above what is usually called suspect, scaled from a voltage ratio of 1:5 on the logarithm. */
  readonly suspect: boolean;
}

export interface Absorption {
  readonly n: Estimate;
  /** Absorption current one second after the voltage was reached, µA. */
  readonly aUa: number;
  /** What conduction alone would carry, µA. */
  readonly steadyUa: Estimate;
  readonly shape: 'step' | 'ramp';
}

/** What the samples of one phase say. Times are in the file's own seconds unless named a duration. */
export interface TraceReading {
  readonly ok: true;
  readonly outcome: Outcome;
  /** Why the test is called so, in a sentence. */
  readonly outcomeBecause: string;
  readonly polarity: 'positive' | 'negative';
  /** Highest voltage held; the highest reached where none was held. */
  readonly voltageKv: number;
  /** Usual rate of rise. */
  readonly rampKvPerS: Maybe<number>;
  /** Time at the highest voltage held, until it was lowered or broke down. */
  readonly dwellS: Maybe<number>;
  /** At the end of the dwell. */
  readonly leakageUa: Maybe<number>;
  readonly leakageSdUa: Maybe<number>;
  /** Spread of single samples in the last seconds. */
  readonly leakageSpreadUa: Maybe<number>;
  /** Resolution of the instrument in the range last used. */
  readonly leakageResolutionUa: Maybe<number>;
  /** Voltage over leakage at the end of the dwell. */
  readonly resistanceMohm: Maybe<number>;
  readonly oneMinuteUa: Maybe<number>;
  /** Resistance at 60 s over resistance at 30 s, which is current at 30 s over current at 60 s. */
  readonly absorptionRatio: Maybe<number>;
  /** Current at 1 min over current at 10 min. */
  readonly polarizationIndex: Maybe<number>;
  readonly absorption: Maybe<Absorption>;
  /** Leakage at the standard reading time, so that dwells of different length compare. */
  readonly standard: Maybe<{
    readonly atMin: number;
    readonly ua: number;
    readonly sdUa: number;
    readonly extrapolated: boolean;
  }>;
  readonly trend: Maybe<CurrentTrend>;
  readonly steps: readonly StepReading[];
  readonly tipUp: Maybe<TipUp>;
  readonly capacitanceNf: Maybe<Estimate>;
  readonly breakdown: Maybe<{ readonly atS: number; readonly kv: number; readonly sign: string }>;
  /** After the voltage was taken off. */
  readonly discharge: Maybe<{ readonly startS: number; readonly toTenthS: Maybe<number>; readonly residualKv: number }>;
  /** ½CV² at the voltage held. */
  readonly storedEnergyJ: Maybe<number>;
}

export interface UnreadTrace {
  readonly ok: false;
  readonly because: string;
}

/** What the crew meant to do, where the file or the person says. */
export interface TracePlan {
  readonly dwellS?: number | null;
  readonly voltageKv?: number | null;
  /** The tester's or the crew's own word on how it ended. */
  readonly resultText?: string | null;
  /** Minutes of dwell at which readings are compared; 15 unless the owner says otherwise. */
  readonly standardReadingMin?: number;
}

/** What the finders need beyond the columns. All of it is optional. */
export interface FindingsContext {
  /** Day each segment was retired, days since 1970-01-01; NaN where it is in service. */
  readonly retiredDay?: Float64Array;
  /** Today; the columns' as-of day where not given. */
  readonly todayDay?: number;
  /** Stretches in which an instrument was used past its calibration due date. */
  readonly overdue?: readonly InstrumentStretch[];
  /** What the growth model repaired for its fit: readings, and what it took off ln of each. */
  readonly repaired?: { readonly reading: ArrayLike<number>; readonly lnShift: ArrayLike<number> };
  /** Capacitances that traces show, at most one entry a segment. */
  readonly capacitances?: readonly MeasuredCapacitance[];
}

/** What the traces of a segment show of its capacitance, and what its dimensions lead one to expect. */
export interface MeasuredCapacitance {
  readonly segment: number;
  /** Of one phase, nF; one a trace, at least one. */
  readonly measuredNf: readonly number[];
  /** Of one phase from the cable's dimensions; with the family's usual, lowest and highest permittivity. */
  readonly nfPerKm: number;
  readonly lowNfPerKm: number;
  readonly highNfPerKm: number;
}

export interface InstrumentStretch {
  /** Ordinal of the instrument. */
  readonly instrument: number;
  /** Days since 1970-01-01, both within the stretch. */
  readonly fromDay: number;
  readonly toDay: number;
}

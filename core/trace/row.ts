import type { Maybe } from '../trade/source.ts';
import type { Outcome, TraceReading, UnreadTrace } from './reading.ts';

/** A reading as machines take it: one flat object a file, null for unknown. The keys are fixed. */
export interface TraceRow {
  readonly file: string;
  readonly ok: boolean;
  readonly reason: string | null;
  readonly outcome: Outcome | null;
  readonly voltage_kv: number | null;
  readonly ramp_kv_per_s: number | null;
  readonly dwell_s: number | null;
  readonly leakage_ua: number | null;
  readonly leakage_spread_ua: number | null;
  readonly resistance_mohm: number | null;
  readonly one_minute_ua: number | null;
  /** Resistance at 60 s over resistance at 30 s. */
  readonly absorption_ratio: number | null;
  readonly absorption_n: number | null;
  readonly steady_ua: number | null;
  readonly capacitance_nf: number | null;
  readonly steps: readonly { readonly voltage_kv: number; readonly leakage_ua: number }[];
  readonly breakdown_at_s: number | null;
  readonly breakdown_kv: number | null;
}

export const traceRow = (file: string, reading: TraceReading | UnreadTrace): TraceRow => {
  if (!reading.ok) return refusedTraceRow(file, reading.because);
  const { absorption, breakdown, capacitanceNf } = reading;
  return {
    file,
    ok: true,
    reason: null,
    outcome: reading.outcome,
    voltage_kv: plain(reading.voltageKv),
    ramp_kv_per_s: orNull(reading.rampKvPerS),
    dwell_s: orNull(reading.dwellS),
    leakage_ua: orNull(reading.leakageUa),
    leakage_spread_ua: orNull(reading.leakageSpreadUa),
    resistance_mohm: orNull(reading.resistanceMohm),
    one_minute_ua: orNull(reading.oneMinuteUa),
    absorption_ratio: orNull(reading.absorptionRatio),
    absorption_n: absorption.known ? plain(absorption.value.n.value) : null,
    steady_ua: absorption.known ? plain(absorption.value.steadyUa.value) : null,
    capacitance_nf: capacitanceNf.known ? plain(capacitanceNf.value.value) : null,
    steps: reading.steps.map((step) => ({ voltage_kv: plain(step.voltageKv), leakage_ua: plain(step.leakageUa) })),
    breakdown_at_s: breakdown.known ? plain(breakdown.value.atS) : null,
    breakdown_kv: breakdown.known ? plain(breakdown.value.kv) : null,
  };
};

export const refusedTraceRow = (file: string, reason: string): TraceRow => ({
  file,
  ok: false,
  reason,
  outcome: null,
  voltage_kv: null,
  ramp_kv_per_s: null,
  dwell_s: null,
  leakage_ua: null,
  leakage_spread_ua: null,
  resistance_mohm: null,
  one_minute_ua: null,
  absorption_ratio: null,
  absorption_n: null,
  steady_ua: null,
  capacitance_nf: null,
  steps: [],
  breakdown_at_s: null,
  breakdown_kv: null,
});

/** Seven significant digits: more than any tester has, without the tail of binary fractions. */
const plain = (value: number): number => Number(value.toPrecision(7));
const orNull = (value: Maybe<number>): number | null => (value.known ? plain(value.value) : null);

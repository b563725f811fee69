import type { TraceSummary } from '../contract/shapes/records.ts';
import type { Estimate, TraceReading } from '../trace/reading.ts';
import { traceRow } from '../trace/row.ts';
import { earthingTimeMin } from '../trade/earthing.ts';
import type { Maybe } from '../trade/source.ts';

const flat = <T extends object>(value: Maybe<T>) =>
  value.known ? { known: true as const, ...value.value } : { known: false as const, because: value.because };
const number = (value: Maybe<number>) =>
  value.known ? { known: true as const, value: value.value } : { known: false as const, because: value.because };
const estimate = (value: Maybe<Estimate>) => flat(value);

/** A reading as the window shows it. */
export function summaryOf(file: string, reading: TraceReading): TraceSummary {
  const { absorption } = reading;
  const row = traceRow(file, reading);
  return {
    row: { ...row, steps: [...row.steps] },
    outcomeBecause: reading.outcomeBecause,
    standard: flat(reading.standard),
    absorptionN: estimate(absorption.known ? { known: true, value: absorption.value.n } : absorption),
    steadyUa: estimate(absorption.known ? { known: true, value: absorption.value.steadyUa } : absorption),
    capacitanceNf: estimate(reading.capacitanceNf),
    polarizationIndex: number(reading.polarizationIndex),
    tipUp: flat(reading.tipUp),
    rising: reading.trend.known && reading.trend.value.rising,
    storedEnergyJ: number(reading.storedEnergyJ),
    earthMin: number(appliedMin(reading)),
  };
}

function appliedMin(reading: TraceReading): Maybe<number> {
  const held = reading.steps.reduce((sum, step) => sum + step.dwellS, 0);
  return held > 0
    ? { known: true, value: earthingTimeMin(held / 60) }
    : { known: false, because: 'no voltage was held for long enough' };
}

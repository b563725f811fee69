import type { SampleTable } from './shapes.ts';

/** Fewer samples than this are no trace. */
export const fewestSamples = 5;

/** The three columns, one of them computed from the other two where it is missing. */
export const complete = (
  timeS: Float64Array,
  voltage: Float64Array | null,
  current: Float64Array | null,
  resistance: Float64Array | null,
): { readonly samples: SampleTable; readonly findings: readonly string[] } | { readonly because: string } => {
  if (voltage && current) {
    const findings = voltage.length > 0 && resistance ? disagreement(voltage, current, resistance) : [];
    return { samples: { timeS, voltageKv: voltage, currentUa: current, resistanceMohm: resistance }, findings };
  }
  if (voltage && resistance)
    return {
      samples: {
        timeS,
        voltageKv: voltage,
        currentUa: voltage.map((kv, i) => (resistance[i]! > 0 ? (1000 * kv) / resistance[i]! : Number.NaN)),
        resistanceMohm: resistance,
      },
      findings: ['the current was computed from voltage and resistance'],
    };
  if (current && resistance)
    return {
      samples: {
        timeS,
        voltageKv: current.map((ua, i) => (ua * resistance[i]!) / 1000),
        currentUa: current,
        resistanceMohm: resistance,
      },
      findings: ['the voltage was computed from current and resistance'],
    };
  return { because: voltage ? 'no column of current was found' : 'no column of voltage was found' };
};

/** Resistance that is off V/I by a power of ten means that a unit was read wrongly. */
const disagreement = (voltage: Float64Array, current: Float64Array, resistance: Float64Array): string[] => {
  const logs: number[] = [];
  for (let i = 0; i < voltage.length; i++) {
    const ratio = (resistance[i]! * current[i]!) / (1000 * voltage[i]!);
    if (ratio > 0 && Number.isFinite(ratio)) logs.push(Math.log10(ratio));
  }
  if (logs.length < fewestSamples) return [];
  const middle = logs.sort((a, b) => a - b)[logs.length >> 1]!;
  return Math.abs(middle) > 0.9
    ? [
        `the resistance is off voltage over current by a factor of about ${Number((10 ** middle).toPrecision(2))}: a unit may be wrong`,
      ]
    : [];
};

/** Why complete-looking columns are no trace; null where they are one. */
export const refusal = ({ timeS, voltageKv, currentUa }: SampleTable): string | null => {
  let usable = 0;
  let backwards = 0;
  let forwards = 0;
  let volts = false;
  let amps = false;
  let before = Number.NaN;
  for (let i = 0; i < timeS.length; i++) {
    if (!Number.isFinite(timeS[i]!)) continue;
    if (timeS[i]! < before) backwards++;
    if (timeS[i]! > before) forwards++;
    before = timeS[i]!;
    if (!Number.isFinite(voltageKv[i]!) || !Number.isFinite(currentUa[i]!)) continue;
    usable++;
    volts ||= voltageKv[i] !== 0;
    amps ||= currentUa[i] !== 0;
  }
  if (usable < fewestSamples) return `only ${usable} rows with time, voltage and current`;
  if (forwards < fewestSamples - 1 && backwards === 0) return 'the time stands still';
  if (backwards > 0.02 * timeS.length) return 'the time runs backwards';
  if (!volts && !amps) return 'voltage and current are zero throughout';
  if (!volts) return 'the voltage is zero throughout';
  if (!amps) return 'the current is zero throughout';
  const top = voltageKv.reduce((high, kv) => (Number.isFinite(kv) ? Math.max(high, Math.abs(kv)) : high), 0);
  if (top > 1500) return `a voltage of ${Math.round(top)} kV is beyond any cable test: a unit may be wrong`;
  return null;
};

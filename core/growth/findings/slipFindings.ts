import type { FleetColumns } from '../columns.ts';
import type { Comparable } from './comparable.ts';
import { type Finding, isoDay, phaseNames, powerOfTen, roughly } from './finding.ts';
import { growthEffect } from './growthEffect.ts';
import type { WildReading } from './phaseSlips.ts';

const ln10 = Math.log(10);

/** A wild reading as a finding. */
export function wildFinding({ readings }: FleetColumns, comparable: Comparable, wildReading: WildReading): Finding {
  const { reading: r, away, last } = wildReading;
  const phase = phaseNames[readings.phase[r]!];
  const times = `${roughly(Math.exp(Math.abs(away)))} times ${away > 0 ? 'above' : 'below'}`;
  return {
    kind: 'wild reading',
    certainty: last ? 'weak' : 'likely',
    segment: readings.segment[r]!,
    event: readings.event[r]!,
    instrument: readings.instrument[r]!,
    readings: [r],
    seen: [
      { name: `leakage, phase ${phase}`, value: readings.leakageUa[r]!, unit: 'µA' },
      { name: 'against the other phases and its own other tests', value: Math.exp(away), unit: '' },
    ],
    says: `Phase ${phase} of the test of ${isoDay(readings.day[r]!)} (${roughly(readings.leakageUa[r]!)} µA) stands ${times} where the other phases of that day and its own other tests put it${last ? '. No later test shows whether it has come back: it may be the cable' : ', and later tests do not'}.`,
    wouldChange: last
      ? 'Left out, the segment’s growth would not see it; a cable that is failing on one phase looks like this too.'
      : 'Left out, the segment’s growth would no longer bend towards it.',
    cure: { do: 'leave out' },
    growth: growthEffect(comparable, readings.segment[r]!, new Map([[r, Number.NaN]])),
  };
}

/** Shifted readings as findings: those of one test that slipped alike are one. */
export function slipFindings(fleet: FleetColumns, comparable: Comparable, shift: Float64Array): Finding[] {
  const { readings, segments } = fleet;
  const { events, y } = comparable;
  const findings: Finding[] = [];
  for (let e = 0; e < events.count; e++) {
    // Readings of one event that slipped alike are one finding.
    const bySize = new Map<number, number[]>();
    for (let r = events.start[e]!; r < events.start[e + 1]!; r++) {
      const power = Math.round(shift[r]! / ln10);
      if (power !== 0) bySize.set(power, [...(bySize.get(power) ?? []), r]);
    }
    for (const [power, slipped] of bySize) findings.push(slipFinding(e, power, slipped));
  }
  return findings;

  function slipFinding(e: number, power: number, slipped: number[]): Finding {
    const segment = events.segment[e]!;
    const r = slipped[0]!;
    const factor = 10 ** -power;
    const ratio = readings.voltageKv[r]! / segments.ratedKv[segment]!;
    // The cure for a voltage written in volts, or in megavolts, is in the voltage.
    const voltage = (power < 0 && ratio > 10) || (power > 0 && ratio < 0.1);
    const all = slipped.length === events.start[e + 1]! - events.start[e]!;
    const phases = slipped.map((i) => phaseNames[readings.phase[i]!]).join(', ');
    const which = all ? 'All phases' : `Phase ${phases}`;
    const times = `${powerOfTen(Math.abs(power))} times too ${power > 0 ? 'high' : 'low'}`;
    const quantity = voltage
      ? `test voltage (${roughly(readings.voltageKv[r]!)} kV)`
      : `leakage (${slipped.map((i) => roughly(readings.leakageUa[i]!)).join(', ')} µA)`;
    const units = Math.abs(power) % 3 === 0;
    const growth = growthEffect(comparable, segment, new Map(slipped.map((i) => [i, shift[i]!])));
    return {
      kind: 'unit slip',
      // A rise on the eve of a repair may be what the repair was for.
      certainty: units && !(power > 0 && events.beforeRepair[e] === 1) ? 'likely' : 'weak',
      segment,
      event: readings.event[r]!,
      instrument: readings.instrument[r]!,
      readings: slipped,
      seen: [
        ...slipped.map((i) => ({
          name: `leakage, phase ${phaseNames[readings.phase[i]!]}`,
          value: readings.leakageUa[i]!,
          unit: 'µA',
        })),
        { name: 'test voltage', value: readings.voltageKv[r]!, unit: 'kV' },
        { name: 'specific leakage at 20 °C', value: Math.exp(y[r]!), unit: 'nS/km' },
        { name: 'the same, set right', value: Math.exp(y[r]! - shift[r]!), unit: 'nS/km' },
      ],
      says: `${which} of the test of ${isoDay(events.day[e]!)}: against the segment’s other readings the specific leakage is ${times}, as if ${units ? `the ${quantity} were in another unit` : `a decimal point of the ${quantity} had slipped`}.`,
      wouldChange: `Times ${roughly(factor)}, the ${slipped.length === 1 ? 'reading joins' : 'readings join'} the rest of the segment’s record.`,
      cure: { do: 'multiply', factor },
      growth,
    };
  }
}

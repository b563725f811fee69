import type { FleetColumns } from '../columns.ts';
import type { Comparable } from './comparable.ts';
import type { FindingsContext } from './context.ts';
import { type Finding, isoDay, phaseNames, powerOfTen, roughly } from './finding.ts';
import { growthEffect } from './growthEffect.ts';

/** What the growth model repaired and the plain comparison did not see: readings of one test that slipped alike are one. */
export function repairedByTheModel(
  { readings }: FleetColumns,
  comparable: Comparable,
  { repaired }: FindingsContext,
  shift: Float64Array,
): Finding[] {
  const alike = new Map<string, number[]>();
  for (let i = 0; repaired && i < repaired.reading.length; i++) {
    const r = repaired.reading[i]!;
    const power = Math.round(repaired.lnShift[i]! / Math.LN10);
    if (shift[r] !== 0 || power === 0) continue;
    const key = `${readings.event[r]} ${power}`;
    alike.set(key, [...(alike.get(key) ?? []), r]);
  }
  return [...alike].map(([key, slipped]) => finding(Number(key.split(' ')[1]), slipped));

  function finding(power: number, slipped: readonly number[]): Finding {
    const r = slipped[0]!;
    const factor = 10 ** -power;
    const phases = slipped.map((i) => phaseNames[readings.phase[i]!]).join(', ');
    const written = slipped.map((i) => roughly(readings.leakageUa[i]!)).join(', ');
    return {
      kind: 'unit slip',
      certainty: 'likely',
      segment: readings.segment[r]!,
      event: readings.event[r]!,
      instrument: readings.instrument[r]!,
      readings: slipped,
      seen: slipped.flatMap((i) => [
        { name: `leakage, phase ${phaseNames[readings.phase[i]!]}`, value: readings.leakageUa[i]!, unit: 'µA' },
        { name: 'leakage as it might be', value: readings.leakageUa[i]! * factor, unit: 'µA' },
      ]),
      says: `Phase ${phases} of the test of ${isoDay(readings.day[r]!)}: ${written} µA is ${powerOfTen(Math.abs(power))} times ${power > 0 ? 'above' : 'below'} what the growth model expects of the segment.`,
      wouldChange: `Times ${roughly(factor)}, it joins the rest of the segment’s record.`,
      cure: { do: 'multiply', factor },
      growth: growthEffect(
        comparable,
        readings.segment[r]!,
        new Map(slipped.map((i) => [i, power * Math.LN10] as const)),
      ),
    };
  }
}

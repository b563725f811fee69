import type { FleetColumns } from '../columns.ts';
import { mostTesterUa } from '../normalise.ts';
import type { Comparable } from './comparable.ts';
import type { FindingsContext } from './context.ts';
import { type Finding, isoDay, phaseNames, roughly } from './finding.ts';
import { growthEffect } from './growthEffect.ts';

/**
 * Currents that no set for direct voltage drives and no slip of units explains: whatever was written, the tester could
 * not have held the voltage. `shift` are unit slips. One finding a test.
 */
export function findImpossible(
  { readings }: FleetColumns,
  comparable: Comparable,
  shift: Float64Array,
  { repaired }: FindingsContext,
): Finding[] {
  const { events } = comparable;
  const explained = new Set<number>(Array.from(repaired?.reading ?? []));
  const findings: Finding[] = [];
  for (let e = 0; e < events.count; e++) {
    const odd: number[] = [];
    for (let r = events.start[e]!; r < events.start[e + 1]!; r++)
      if (readings.leakageUa[r]! > mostTesterUa && shift[r] === 0 && !explained.has(r)) odd.push(r);
    if (odd.length > 0) findings.push(finding(e, odd));
  }
  return findings;

  function finding(e: number, odd: readonly number[]): Finding {
    const r = odd[0]!;
    const phases = odd.map((i) => phaseNames[readings.phase[i]!]).join(', ');
    return {
      kind: 'impossible leakage',
      certainty: 'certain',
      segment: events.segment[e]!,
      event: readings.event[r]!,
      instrument: readings.instrument[r]!,
      readings: odd,
      seen: [
        ...odd.map((i) => ({
          name: `leakage, phase ${phaseNames[readings.phase[i]!]}`,
          value: readings.leakageUa[i]!,
          unit: 'µA',
        })),
        { name: 'test voltage', value: readings.voltageKv[r]!, unit: 'kV' },
      ],
      says: `Phase ${phases} of the test of ${isoDay(events.day[e]!)}: ${odd.map((i) => roughly(readings.leakageUa[i]! / 1000)).join(', ')} mA at ${roughly(readings.voltageKv[r]!)} kV is more than a test set drives (some tens of milliampere: common practice, no source): the voltage could not have been held.`,
      wouldChange: 'It is left out; accepted or not yet judged, the growth does not see it.',
      cure: { do: 'leave out' },
      growth: growthEffect(comparable, events.segment[e]!, new Map(odd.map((i) => [i, Number.NaN] as const))),
    };
  }
}

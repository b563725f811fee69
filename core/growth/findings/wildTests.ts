import type { FleetColumns } from '../columns.ts';
import { type Comparable, eventValue } from './comparable.ts';
import { type Finding, isoDay, phaseNames, roughly } from './finding.ts';
import { growthEffect } from './growthEffect.ts';

/** Nearer to a slip of a thousand than to the record: more than half of its logarithm away, 32 times. */
const halfWay = Math.log(1000) / 2;

/**
 * Whole tests more than 32 times away from the segment's level and from each of its other tests, which no power of ten
 * explains: the cable may be failing, or the reading wrong; one must look before it heads a ranking. A rise that a repair put an end to
 * was the cable. `shift` are unit slips; `level` each segment's, slips set right and drift taken out.
 */
export function findWildTests(
  fleet: FleetColumns,
  comparable: Comparable,
  shift: Float64Array,
  level: Float64Array,
): Finding[] {
  const { readings, segments } = fleet;
  const { events, y, drift } = comparable;
  const findings: Finding[] = [];
  for (let s = 0; s < segments.count; s++) {
    const own: number[] = [];
    for (let e = events.ofSegment[s]!; e < events.ofSegment[s + 1]!; e++) own.push(e);
    if (own.length < 3) continue;
    const slope = drift[segments.insulation[s]!]!;
    const values = own.map((e) => eventValue(events, y, e, shift) - slope * events.time[e]!);
    own.forEach((e, j) => {
      const away = values[j]! - level[s]!;
      if (!(Math.abs(away) > halfWay) || (away > 0 && events.beforeRepair[e] === 1)) return;
      const alone = values.every((v, i) => i === j || Number.isNaN(v) || Math.abs(v - values[j]!) > halfWay);
      if (alone) findings.push(finding(e, away, j === own.length - 1));
    });
  }
  return findings;

  function finding(e: number, away: number, last: boolean): Finding {
    const odd: number[] = [];
    for (let r = events.start[e]!; r < events.start[e + 1]!; r++) if (!Number.isNaN(y[r]!)) odd.push(r);
    const r = odd[0]!;
    const times = `${roughly(Math.exp(Math.abs(away)))} times ${away > 0 ? 'above' : 'below'}`;
    return {
      kind: 'wild reading',
      certainty: last ? 'weak' : 'likely',
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
        { name: 'against its own other tests', value: Math.exp(away), unit: '' },
      ],
      says: `The whole test of ${isoDay(events.day[e]!)} stands ${times} the segment’s other tests${last ? '. No later test shows whether it has come back: it may be the cable' : ', and later tests do not'}.`,
      wouldChange: last
        ? 'Left out, the segment’s growth would not see it; a cable that is failing looks like this too. Test again before anything is decided on it.'
        : 'Left out, the segment’s growth would no longer bend towards it.',
      cure: { do: 'leave out' },
      growth: growthEffect(comparable, events.segment[e]!, new Map(odd.map((i) => [i, Number.NaN] as const))),
    };
  }
}

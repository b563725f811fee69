import type { FleetColumns } from '../columns.ts';
import { sameLeakage } from '../normalise.ts';
import type { Comparable } from './comparable.ts';
import { type Finding, isoDay, phaseNames } from './finding.ts';
import { growthEffect } from './growthEffect.ts';

/** Two tests of a segment so close in days and equal in every reading are one test entered twice. */
const withinDays = 3;

/** Tests of one segment within three days with the same phases, voltages and leakages to the last digit. */
export function findDuplicates(fleet: FleetColumns, comparable: Comparable): Finding[] {
  const { readings } = fleet;
  const { events } = comparable;
  const findings: Finding[] = [];
  const taken = new Uint8Array(events.count);
  for (let e = 0; e < events.count; e++) {
    if (taken[e]) continue;
    for (let next = e + 1; next < events.count && events.segment[next] === events.segment[e]; next++) {
      const apart = events.day[next]! - events.day[e]!;
      if (apart > withinDays) break;
      if (taken[next] || !same(e, next)) continue;
      taken[next] = 1;
      findings.push(finding(e, next, apart));
    }
  }
  return findings;

  function same(a: number, b: number): boolean {
    const size = events.start[a + 1]! - events.start[a]!;
    if (size !== events.start[b + 1]! - events.start[b]!) return false;
    // One reading at the floor agrees with any other at the floor: that alone is no duplicate.
    let exact = 0;
    for (let i = 0; i < size; i++) {
      const p = events.start[a]! + i;
      const q = events.start[b]! + i;
      if (readings.phase[p] !== readings.phase[q] || readings.belowFloor[p] !== readings.belowFloor[q]) return false;
      if (!sameLeakage(readings.leakageUa[p]!, readings.leakageUa[q]!)) return false;
      if (readings.voltageKv[p] !== readings.voltageKv[q]) return false;
      exact += 1 - readings.belowFloor[p]!;
    }
    return exact > 0 || events.day[a] === events.day[b];
  }

  function finding(e: number, next: number, apart: number): Finding {
    const r = events.start[next]!;
    const size = events.start[next + 1]! - r;
    const twice = Array.from({ length: size }, (_, i) => r + i);
    const when = apart === 0 ? 'the same day' : `${apart} ${apart === 1 ? 'day' : 'days'} later`;
    const one = size === 1 && apart > 0;
    return {
      kind: 'duplicate',
      // A single reading of two digits can come out equal by chance.
      certainty: one ? 'weak' : apart === 0 ? 'certain' : 'likely',
      segment: events.segment[e]!,
      event: readings.event[r]!,
      instrument: readings.instrument[r]!,
      readings: twice,
      seen: [
        ...twice.map((i) => ({
          name: `leakage, phase ${phaseNames[readings.phase[i]!]}, both times`,
          value: readings.leakageUa[i]!,
          unit: 'µA',
        })),
        { name: 'days apart', value: apart, unit: 'd' },
      ],
      says: `The test of ${isoDay(events.day[next]!)} has the same readings to the last digit as one of ${isoDay(events.day[e]!)} (${when}).`,
      wouldChange: 'It would count once, so that the segment does not look better known than it is.',
      cure: { do: 'count once' },
      growth: growthEffect(comparable, events.segment[e]!, new Map(twice.map((i) => [i, Number.NaN]))),
    };
  }
}

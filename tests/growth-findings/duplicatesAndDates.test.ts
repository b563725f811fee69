import { describe, expect, test } from 'vitest';
import { findFindings } from '../../core/growth/findings/findFindings.ts';
import { of } from './scoring.ts';
import { eventsOf, type SimulatedFleet, simulateFleet } from './simulatedFleet.ts';

// No published set of spoilt cable records was found: the fleets are simulated by a law of the tests' own, errors put
// in at known places, and found ones held against those places.

describe('duplicates and dates', () => {
  /** The fleet with one event moved next to another and made equal to it. */
  function repeated(daysLater: number): { fleet: SimulatedFleet; copy: [number, number] } {
    const fleet = simulateFleet(200, 51);
    const events = eventsOf(fleet);
    const e = events.findIndex(([from, to], i) => {
      const next = events[i + 1];
      return (
        i > 40 &&
        next &&
        to - from === 3 &&
        next[1] - next[0] === 3 &&
        fleet.readings.segment[from] === fleet.readings.segment[next[0]]
      );
    });
    const [from] = events[e]!;
    const copy = events[e + 1]!;
    for (let i = 0; i < 3; i++) {
      fleet.readings.day[copy[0] + i] = fleet.readings.day[from + i]! + daysLater;
      fleet.readings.leakageUa[copy[0] + i] = fleet.readings.leakageUa[from + i]!;
      fleet.readings.voltageKv[copy[0] + i] = fleet.readings.voltageKv[from + i]!;
      fleet.readings.belowFloor[copy[0] + i] = fleet.readings.belowFloor[from + i]!;
    }
    return { fleet, copy };
  }

  test('equal readings within three days are a duplicate, a week apart they are not', () => {
    for (const [days, certainty] of [
      [0, 'certain'],
      [2, 'likely'],
    ] as const) {
      const { fleet, copy } = repeated(days);
      const found = of(findFindings(fleet), 'duplicate');
      expect(found).toMatchObject([{ certainty, readings: [copy[0], copy[0] + 1, copy[0] + 2] }]);
    }
    expect(of(findFindings(repeated(7).fleet), 'duplicate')).toEqual([]);
  });

  test('a repeated test with other readings is no duplicate', () => {
    const { fleet, copy } = repeated(1);
    fleet.readings.leakageUa[copy[0]]! += 0.1;
    expect(of(findFindings(fleet), 'duplicate')).toEqual([]);
  });

  test('tests before energising, after retirement and in the future are certain; acceptance tests may come first', () => {
    const fleet = simulateFleet(100, 52);
    const events = eventsOf(fleet);
    const at = (s: number): [number, number] => events.find(([from]) => fleet.readings.segment[from] === s)!;
    const [early] = at(10);
    fleet.segments.energisedDay[10] = fleet.readings.day[early]! + 90;
    const [accepted, acceptedEnd] = at(11);
    for (let r = accepted; r < acceptedEnd; r++) fleet.readings.purpose[r] = 0;
    fleet.segments.energisedDay[11] = fleet.readings.day[accepted]! + 90;
    const retiredDay = new Float64Array(100).fill(Number.NaN);
    const last = events.findLast(([from]) => fleet.readings.segment[from] === 20)![0];
    retiredDay[20] = fleet.readings.day[last]! - 1;
    const findings = findFindings(fleet, { retiredDay, todayDay: fleet.asOfDay });
    expect(of(findings, 'before energising').map((f) => f.segment)).toEqual([10]);
    expect(of(findings, 'after retirement').map((f) => [f.segment, f.certainty])).toEqual([[20, 'certain']]);
    const first = Math.min(...fleet.readings.day);
    expect(of(findFindings(fleet, { todayDay: first }), 'in the future').length).toBe(
      events.filter(([from]) => fleet.readings.day[from]! > first).length,
    );
  });
});

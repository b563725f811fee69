import { describe, expect, test } from 'vitest';
import { findFindings } from '../../core/growth/findings/findFindings.ts';
import { of, readingsOf, score } from './scoring.ts';
import { eventsOf, simulateFleet } from './simulatedFleet.ts';

// No published set of spoilt cable records was found: the fleets are simulated by a law of the tests' own, errors put
// in at known places, and found ones held against those places.

describe('wild readings', () => {
  test('one phase 60 times above itself and its neighbours is said, and only surely when later tests show it gone', () => {
    const fleet = simulateFleet(600, 31);
    const events = eventsOf(fleet);
    const places = new Set<number>();
    events.forEach(([from, to], e) => {
      if (e % 30 !== 0 || to - from < 3 || fleet.readings.belowFloor[from] === 1) return;
      fleet.readings.leakageUa[from]! *= 60;
      places.add(from);
    });
    const findings = of(findFindings(fleet), 'wild reading');
    const result = score(places, readingsOf(findings));
    expect(result.found).toBeGreaterThan(0.75);
    expect(result.false).toBeLessThan(0.05);
    for (const finding of findings) {
      const segment = finding.segment;
      const later = events.some(
        ([from]) => fleet.readings.segment[from] === segment && fleet.readings.event[from]! > finding.event,
      );
      expect(finding.certainty).toBe(later ? 'likely' : 'weak');
    }
  });

  test('a whole test two hundred times above all others, which no unit explains, is said and called a hint where it is the last', () => {
    const fleet = simulateFleet(400, 32);
    const events = eventsOf(fleet);
    const lasts = events.filter(
      ([from], e) =>
        fleet.readings.segment[events[e + 1]?.[0] ?? -1] !== fleet.readings.segment[from] &&
        fleet.readings.segment[from]! % 16 === 5,
    );
    const places = new Set<number>();
    for (const [from, to] of lasts) {
      for (let r = from; r < to; r++) {
        if (fleet.readings.belowFloor[r] === 1 || fleet.readings.leakageUa[r]! > 100) continue;
        fleet.readings.leakageUa[r]! *= 150;
        places.add(r);
      }
    }
    const findings = of(findFindings(fleet), 'wild reading');
    expect(score(places, readingsOf(findings)).found).toBeGreaterThan(0.6);
    for (const finding of findings) expect(finding.certainty).toBe('weak');
  });
});

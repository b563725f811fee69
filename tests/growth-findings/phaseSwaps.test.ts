import { describe, expect, test } from 'vitest';
import { findFindings } from '../../core/growth/findings/findFindings.ts';
import { of, someEvents } from './scoring.ts';
import { simulateFleet } from './simulatedFleet.ts';

// No published set of spoilt cable records was found: the fleets are simulated by a law of the tests' own, errors put
// in at known places, and found ones held against those places.

describe('phase swaps', () => {
  test('labels exchanged on one visit are found where the phases differ enough, and under 10 % are false', () => {
    const fleet = simulateFleet(2000, 71, { eventNoise: 0.15 });
    const swapped = new Set<number>();
    for (const [from, to] of someEvents(fleet, 20)) {
      if (to - from < 3) continue;
      const { leakageUa, belowFloor } = fleet.readings;
      // Too small a difference is no news: half as much again or more is asked for.
      if (belowFloor[from] || belowFloor[from + 1] || leakageUa[from]! < 3) continue;
      if (Math.abs(Math.log(leakageUa[from]! / leakageUa[from + 1]!)) < Math.log(1.6)) continue;
      [leakageUa[from], leakageUa[from + 1]] = [leakageUa[from + 1]!, leakageUa[from]!];
      swapped.add(fleet.readings.event[from]!);
    }
    const findings = of(findFindings(fleet), 'phase swap');
    const hit = findings.filter((f) => swapped.has(f.event));
    expect(swapped.size).toBeGreaterThan(40);
    expect(hit.length / swapped.size).toBeGreaterThan(0.3);
    expect((findings.length - hit.length) / findings.length).toBeLessThan(0.1);
    expect(hit[0]!.says).toMatch(/labelled A, B stand as B, A/);
  });
});

import { describe, expect, test } from 'vitest';
import { findFindings } from '../../core/growth/findings/findFindings.ts';
import { of } from './scoring.ts';
import { eventsOf, simulateFleet } from './simulatedFleet.ts';

// What a portable set for direct voltage can drive is common practice, no source: some tens of milliampere.

describe('impossible leakage', () => {
  test('300 mA that no slip of units explains is named, certain, once, and would be left out', () => {
    const fleet = simulateFleet(400, 101);
    const [from] = eventsOf(fleet)[60]!;
    // Of a usual 10 µA a slip would be 10 mA or 10 A.
    fleet.readings.leakageUa[from] = 30_000 * 10;
    const findings = findFindings(fleet).filter((finding) => finding.readings.includes(from));
    expect(findings).toMatchObject([
      { kind: 'impossible leakage', certainty: 'certain', readings: [from], cure: { do: 'leave out' } },
    ]);
    expect(findings[0]!.says).toContain('300 mA');
  });

  test('a slip of a million is a slip, and not called impossible beside', () => {
    const fleet = simulateFleet(400, 102);
    const [from, to] = eventsOf(fleet)[60]!;
    for (let r = from; r < to; r++) fleet.readings.leakageUa[r]! *= 1e6;
    expect(of(findFindings(fleet), 'unit slip').map((finding) => finding.readings)).toEqual([
      Array.from({ length: to - from }, (_, i) => from + i),
    ]);
    expect(of(findFindings(fleet), 'impossible leakage')).toEqual([]);
  });
});

import { describe, expect, test } from 'vitest';
import { findFindings } from '../../core/growth/findings/findFindings.ts';
import { of, readingsOf, score, someEvents } from './scoring.ts';
import { simulateFleet } from './simulatedFleet.ts';

// No published set of spoilt cable records was found: the fleets are simulated by a law of the tests' own, errors put
// in at known places, and found ones held against those places.

describe('temperatures', () => {
  test('°F written in the °C column are found by the season: 90 % of those over 40 °F, none false', () => {
    const fleet = simulateFleet(600, 61);
    const written = new Set<number>();
    const places = new Set<number>();
    for (const [from, to] of someEvents(fleet, 12)) {
      for (let r = from; r < to; r++) {
        if (Number.isNaN(fleet.readings.insulationTempC[r]!)) continue;
        fleet.readings.insulationTempC[r] = 32 + 1.8 * fleet.readings.insulationTempC[r]!;
        written.add(r);
        if (fleet.readings.insulationTempC[r]! > 40) places.add(r);
      }
    }
    const findings = of(findFindings(fleet), 'temperature');
    const found = readingsOf(findings);
    expect(score(places, found).found).toBeGreaterThan(0.9);
    for (const r of found) expect(written).toContain(r);
    for (const finding of findings) expect(finding.says).toContain('°F');
  });

  test('what no buried cable and no working crew has is certain', () => {
    const fleet = simulateFleet(100, 62);
    fleet.readings.insulationTempC[30] = 180;
    fleet.readings.insulationTempC[60] = -99;
    fleet.readings.ambientTempC[90] = 77;
    const findings = of(findFindings(fleet), 'temperature');
    expect(findings.flatMap((f) => f.readings.filter((r) => [30, 60, 90].includes(r)))).toEqual([30, 60, 90]);
    for (const finding of findings) expect(finding.certainty).toBe('certain');
  });
});

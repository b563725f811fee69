import { describe, expect, test } from 'vitest';
import { findFindings } from '../../core/growth/findings/findFindings.ts';
import { seededRandom } from '../../core/numerics/random.ts';
import { spoilt } from './scoring.ts';
import { simulateFleet } from './simulatedFleet.ts';

// No published set of spoilt cable records was found: the fleets are simulated by a law of the tests' own, errors put
// in at known places, and found ones held against those places.

describe('a clean fleet', () => {
  test('of lively cables raises nearly nothing: at most 1 false alarm per 1,000 segments of 5 tests', () => {
    let alarms = 0;
    for (const seed of [1, 2, 3]) alarms += findFindings(simulateFleet(1000, seed)).length;
    expect(alarms).toBeLessThanOrEqual(3);
  });

  test('gives the same findings each time', () => {
    const fleet = spoilt();
    expect(findFindings(fleet)).toEqual(findFindings(fleet));
  });

  test('of one segment, one test or no reading at all raises nothing and breaks nothing', () => {
    for (const segments of [0, 1, 2]) expect(findFindings(simulateFleet(segments, 5))).toEqual([]);
  });
});

test('what every finding says is whole: no undefined, NaN or Infinity in any sentence or number', () => {
  const fleet = simulateFleet(600, 91);
  const random = seededRandom(91);
  for (let r = 0; r < fleet.readings.count; r++) {
    if (random.uniform() < 0.03) fleet.readings.leakageUa[r]! *= 10 ** (random.integer(7) - 3);
    if (random.uniform() < 0.01) fleet.readings.insulationTempC[r] = 400 * random.normal();
    if (random.uniform() < 0.01) fleet.readings.day[r]! += 20_000;
    if (random.uniform() < 0.01) fleet.readings.voltageKv[r] = random.integer(2) ? 0 : Number.NaN;
  }
  const findings = findFindings(fleet);
  expect(findings.length).toBeGreaterThan(50);
  for (const finding of findings) {
    expect(`${finding.says} ${finding.wouldChange}`).not.toMatch(/undefined|NaN|Infinity|unknown [^,]/);
    for (const { value } of finding.seen) expect(Number.isFinite(value)).toBe(true);
  }
});

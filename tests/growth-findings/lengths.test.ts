import { describe, expect, test } from 'vitest';
import { findFindings } from '../../core/growth/findings/findFindings.ts';
import { checkLengthByCapacitance } from '../../core/growth/findings/lengthSlips.ts';
import { of } from './scoring.ts';
import { simulateFleet } from './simulatedFleet.ts';

// No published set of spoilt cable records was found: the fleets are simulated by a law of the tests' own, errors put
// in at known places, and found ones held against those places.

describe('lengths', () => {
  test('a length in feet written as metres is hinted at in a cohort of like levels, and called weak evidence', () => {
    const fleet = simulateFleet(600, 41, { levelSpread: 0.1, growthSpread: 0.005 });
    const before = of(findFindings(fleet), 'length slip');
    fleet.segments.lengthKm[77]! *= 3.28084;
    const after = of(findFindings(fleet), 'length slip');
    expect(before.length).toBeLessThanOrEqual(1);
    expect(after.map((f) => f.segment)).toContain(77);
    for (const finding of after) {
      expect(finding.certainty).toBe('weak');
      expect(finding.says).toContain('Weak evidence');
    }
  });

  test('in a fleet of ordinary levels it holds its tongue, since sound cables differ as much', () => {
    const fleet = simulateFleet(600, 42);
    for (const s of [10, 20, 30]) fleet.segments.lengthKm[s]! *= 3.28084;
    expect(of(findFindings(fleet), 'length slip')).toEqual([]);
  });

  test('metres written as kilometres, in all of a segment’s tests, are a length and not a slip of every reading', () => {
    const fleet = simulateFleet(600, 43);
    for (const s of [10, 20, 30]) fleet.segments.lengthKm[s]! *= 1000;
    const findings = findFindings(fleet);
    expect(of(findings, 'length slip').map((f) => [f.segment, f.certainty])).toEqual([
      [10, 'likely'],
      [20, 'likely'],
      [30, 'likely'],
    ]);
    expect(of(findings, 'unit slip')).toEqual([]);
  });

  test('a trace of 357.45 nF on a cable of 297.87 nF/km charged 1.2 km (worked cable: εr 2.3, 0.82 and 1.26 in): right length silent, feet as metres named', () => {
    expect(checkLengthByCapacitance(3, 4, 1.2, 357.45, 297.87)).toBeUndefined();
    const feet = checkLengthByCapacitance(3, 4, 3.937, 357.45, 297.87)!;
    expect(feet).toMatchObject({ kind: 'length slip', certainty: 'likely', segment: 3, event: 4 });
    expect(feet.seen.find((seen) => seen.name === 'length by capacitance')!.value).toBeCloseTo(1.2, 3);
    expect(feet.says).toContain('feet and metres');
    expect(checkLengthByCapacitance(3, 4, 2.2, 357.45, 297.87)).toMatchObject({ certainty: 'weak' });
  });
});

import { describe, expect, test } from 'vitest';
import type { MeasuredCapacitance } from '../../core/growth/findings/context.ts';
import { findFindings } from '../../core/growth/findings/findFindings.ts';
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

  const byCapacitance = (lengthKm: number, more: Partial<MeasuredCapacitance> = {}) => {
    const fleet = simulateFleet(200, 44);
    fleet.segments.lengthKm[3] = lengthKm;
    const expected = { nfPerKm: 297.87, lowNfPerKm: 284.92, highNfPerKm: 310.82 };
    const capacitances = [{ segment: 3, measuredNf: [357.45], ...expected, ...more }];
    return of(findFindings(fleet, { capacitances }), 'length slip').find((one) => one.segment === 3);
  };

  test('a trace of 357.45 nF on a cable of 297.87 nF/km charged 1.2 km (worked cable: εr 2.3, 0.82 and 1.26 in): right length silent, feet as metres named', () => {
    expect(byCapacitance(1.2)).toBeUndefined();
    const feet = byCapacitance(3.937)!;
    expect(feet).toMatchObject({ kind: 'length slip', certainty: 'likely', segment: 3 });
    expect(feet.seen.find((seen) => seen.name === 'length by capacitance')!.value).toBeCloseTo(1.2, 3);
    expect(feet.says).toContain('feet and metres');
    // The unit is mended exactly, the metres are not those of the measurement.
    expect((feet.cure as { lengthKm: number }).lengthKm).toBeCloseTo(3.937 * 0.3048, 9);
    expect(byCapacitance(2.2)).toMatchObject({ certainty: 'weak', cure: { do: 'length' } });
  });

  test('one phase that was open at half the length says nothing; nor does a compound that its family may have', () => {
    expect(byCapacitance(1.2, { measuredNf: [180, 356, 358] })).toBeUndefined();
    expect(byCapacitance(1.2, { measuredNf: [180, 179, 358] })).toMatchObject({ certainty: 'weak' });
    // PVC: relative permittivity 4 to 8 in public texts, 6 in the middle.
    const pvc = { nfPerKm: 600, lowNfPerKm: 400, highNfPerKm: 800 };
    expect(byCapacitance(1, { ...pvc, measuredNf: [850] })).toBeUndefined();
    expect(byCapacitance(1, { ...pvc, measuredNf: [370] })).toBeUndefined();
    expect(byCapacitance(1, { ...pvc, measuredNf: [890] })).toBeDefined();
  });

  test('a length that a trace confirms is not doubted for its level', () => {
    const fleet = simulateFleet(600, 43);
    fleet.segments.lengthKm[10]! *= 1000;
    const slips = (capacitances: MeasuredCapacitance[]) => of(findFindings(fleet, { capacitances }), 'length slip');
    expect(slips([]).map((one) => one.segment)).toEqual([10]);
    const expected = { nfPerKm: 297.87, lowNfPerKm: 284.92, highNfPerKm: 310.82 };
    const measuredNf = [297.87 * fleet.segments.lengthKm[10]!];
    expect(slips([{ segment: 10, measuredNf, ...expected }])).toEqual([]);
  });
});

import { describe, expect, test } from 'vitest';
import { findFindings } from '../../core/growth/findings/findFindings.ts';
import type { Finding } from '../../core/growth/findings/finding.ts';
import { of } from './scoring.ts';
import { type SimulatedFleet, simulateFleet } from './simulatedFleet.ts';

// No published set of spoilt cable records was found: the fleets are simulated by a law of the tests' own, errors put
// in at known places, and found ones held against those places.

describe('instruments', () => {
  const summer = (fleet: SimulatedFleet, factor: number, from: string, to: string): void => {
    const { day, instrument, leakageUa, count } = fleet.readings;
    for (let r = 0; r < count; r++) {
      const on = new Date(day[r]! * 86_400_000).toISOString().slice(0, 10);
      if (instrument[r] === 1 && on >= from && on < to) leakageUa[r]! *= factor;
    }
  };
  const seen = (finding: Finding, name: string): number => finding.seen.find((s) => s.name === name)!.value;

  test('one that read 30 % high for five months is found, with its months within six weeks and its size within 8 points', () => {
    const fleet = simulateFleet(1500, 81);
    summer(fleet, 1.3, '2016-04-01', '2016-09-01');
    const [finding, ...more] = of(findFindings(fleet), 'instrument shift');
    expect(more).toEqual([]);
    expect(finding).toMatchObject({ instrument: 1, certainty: 'likely' });
    expect(Math.abs(seen(finding!, 'reads') - 30)).toBeLessThan(8);
    expect(Math.abs(seen(finding!, 'first day') - Date.parse('2016-04-01') / 86_400_000)).toBeLessThan(45);
    expect(Math.abs(seen(finding!, 'last day') - Date.parse('2016-08-31') / 86_400_000)).toBeLessThan(45);
  });

  test('one that jumped by −25 % and stayed there is found to the end of its record', () => {
    const fleet = simulateFleet(1500, 82);
    summer(fleet, 0.75, '2020-01-01', '2100-01-01');
    const findings = of(findFindings(fleet), 'instrument shift');
    expect(findings.length).toBeLessThanOrEqual(2);
    const down = findings.find((f) => f.instrument === 1)!;
    expect(Math.abs(seen(down, 'reads') + 25)).toBeLessThan(9);
    expect(seen(down, 'last day')).toBeGreaterThan(fleet.asOfDay - 60);
  });

  test('a summer past the calibration due date that read 20 % high speaks where the dates are known, with an interval that holds the truth', () => {
    const dueDay = Date.parse('2016-05-01') / 86_400_000;
    const doneDay = Date.parse('2016-09-30') / 86_400_000;
    const overdue = [{ instrument: 1, fromDay: dueDay, toDay: doneDay }];
    let spoke = 0;
    let silent = 0;
    for (const seed of [1, 2, 3, 4, 5, 6]) {
      const fleet = simulateFleet(700, 840 + seed);
      silent += of(findFindings(fleet, { overdue }), 'instrument shift').length;
      summer(fleet, 1.2, '2016-05-01', '2016-10-01');
      const [finding] = of(findFindings(fleet, { overdue }), 'instrument shift');
      if (!finding) continue;
      spoke++;
      expect(finding.says).toContain('past its calibration due date');
      expect(Math.abs(Math.log1p(seen(finding, 'reads') / 100) - Math.log(1.2))).toBeLessThan(
        3 * seen(finding, 'standard error of ln'),
      );
    }
    expect(spoke).toBeGreaterThanOrEqual(3);
    expect(silent).toBeLessThanOrEqual(1);
  });

  test('a cold spring that spoils all instruments alike is no instrument’s fault', () => {
    const fleet = simulateFleet(1500, 83);
    const { day, leakageUa, count } = fleet.readings;
    for (let r = 0; r < count; r++) {
      const on = new Date(day[r]! * 86_400_000).toISOString().slice(0, 10);
      if (on >= '2018-02-01' && on < '2018-06-01') leakageUa[r]! *= 0.7;
    }
    expect(of(findFindings(fleet), 'instrument shift')).toEqual([]);
  });
});

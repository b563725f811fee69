import { describe, expect, test } from 'vitest';
import { dueByVersions, type IntervalRule, type TestResult } from '../../core/evidence/due.ts';
import { dueBecause } from '../../core/tasks/rule-words.ts';

const rule: IntervalRule = {
  cases: [{ when: { last: { levelOver: 0.5, phasesApartOver: 3 } }, months: 18 }],
  otherwiseMonths: 36,
  earlyDays: 90,
  graceDays: 30,
};
const segment = { insulation: 'EPR', ratedKv: 25, criticalLoad: false, alternateSupply: true };

const because = (some: Partial<TestResult>): string => {
  const found: TestResult = {
    on: '2024-05-02',
    counts: true,
    breakdown: false,
    stopped: false,
    rising: false,
    phaseRatio: null,
    levelNsPerKm: null,
    growthLowPctPerYr: null,
    ...some,
  };
  const versions = [{ version: 1, inForceFrom: '2020-01-01', rule }];
  const results = { limitNsPerKm: 5, ourLimitNsPerKm: 5, found: [found] };
  return dueBecause(dueByVersions('2024-05-02', versions, segment, results));
};

describe('why a test is due', () => {
  test('names the line of the rule and what the last test found', () => {
    expect(because({ levelNsPerKm: 3.3, phaseRatio: 4.94 })).toBe(
      'phases 4.9 : 1 apart, a level at 66 % of the limit on 2024-05-02: 18 months, line 1',
    );
    expect(because({ levelNsPerKm: 2.4 })).toBe('36 months, no line of the rule fits');
  });

  test('groups the thousands of a level far above the limit', () => {
    expect(because({ levelNsPerKm: 222.8 })).toContain('a level at 4,456 % of the limit');
  });
});

import { describe, expect, test } from 'vitest';
import type { FailureReport } from '../../core/forecast/failure/fit.ts';
import { failureMeaning, failureModelWords } from '../../core/tasks/failure-words.ts';

const report = (some: Partial<FailureReport>): FailureReport => ({
  failures: 60,
  segmentYears: 12_338.4,
  basis: 'fleet alone',
  basisInWords: 'basis',
  shape: { value: 1.27, low: 0.878, high: 1.84 },
  coefficients: [
    { name: 'intercept', unit: '', lnHazardRatio: -2.49, standardError: 0.4 },
    { name: 'level', unit: 'a doubling of level against limit', lnHazardRatio: Math.log(2), standardError: 0.2 },
    { name: 'EPR against PILC', unit: '', lnHazardRatio: -0.2, standardError: 0.6 },
  ],
  acceleratedLife: {} as FailureReport['acceleratedLife'],
  againstAgeAlone: { known: false, because: 'too few failures' },
  crossValidation: {} as FailureReport['crossValidation'],
  survival: {} as FailureReport['survival'],
  left: [],
  notCounted: { outsideRecords: 0, sameDay: 0 },
  ...some,
});

describe('what the failure model says in plain words', () => {
  // e^(ln 2 ± 1.645 · 0.2) is 1.44 and 2.78: 1.4 and 2.8 to two figures.
  test('a sure covariate is told as times, with its 90 % interval; an unsure one only by name', () => {
    const says = failureMeaning(report({}));
    expect(says).toContain('60 failures in 12,338 segment-years, one in 206 a year.');
    expect(says).toContain('twice the level against the limit 2 times (1.4 to 2.8).');
    expect(says).toContain('Not sure either way: EPR instead of PILC.');
    expect(says).not.toContain('ln');
  });

  // A cable twice as long is ln 2 of the model's units: 2^0.9 is 1.87.
  test('length counts by the doubling', () => {
    const length = { name: 'length', unit: 'e times the conductor length', lnHazardRatio: 0.9, standardError: 0.1 };
    expect(failureMeaning(report({ coefficients: [length] }))).toContain('twice the length 1.9 times (1.7 to 2.1).');
  });

  test('age is sure only where the interval of the shape leaves 1 out', () => {
    expect(failureMeaning(report({}))).toContain('Whether it rises with age by itself is not sure.');
    expect(failureMeaning(report({ shape: { value: 2, low: 1.2, high: 3 } }))).toContain('It rises with age.');
    expect(failureMeaning(report({ shape: { value: 0.6, low: 0.4, high: 0.9 } }))).toContain('It falls with age.');
  });

  test('the plain sentence stands before the figures of the fit', () => {
    const [first, ...rest] = failureModelWords(report({}), {
      recordsBegin: '2005-06-28',
      failures: { total: 60, notCounted: [] },
    });
    expect(first).toBe(failureMeaning(report({})));
    expect(rest.join('\n')).toContain('level, a doubling of level against limit: ln hazard ratio 0.693 ± 0.2');
  });
});

import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { calibrationOn, lapsesOf } from '../../core/evidence/calibration.ts';
import { drawSample } from '../../core/evidence/sample.ts';

const papers = [
  { calibratedOn: '2023-01-10', dueOn: '2024-01-10' },
  { calibratedOn: '2024-03-01', dueOn: null },
];

describe('an instrument on a day', () => {
  test('is in calibration from the day of the certificate to the day it runs out, both included', () => {
    expect(calibrationOn(papers, '2023-01-10').status).toBe('in calibration');
    expect(calibrationOn(papers, '2024-01-10').status).toBe('in calibration');
    expect(calibrationOn(papers, '2024-01-11')).toMatchObject({ status: 'out of calibration', dueOn: '2024-01-10' });
    expect(calibrationOn(papers, '2024-03-01').status).toBe('in calibration');
  });

  // Twelve months: common practice, no source.
  test('has twelve months where the certificate names no due day', () => {
    expect(calibrationOn(papers, '2025-03-01').status).toBe('in calibration');
    expect(calibrationOn(papers, '2025-03-02').status).toBe('out of calibration');
  });

  test('is unknown, with the reason, where the record does not say', () => {
    expect(calibrationOn(null, '2024-01-01')).toEqual({ status: 'unknown', because: 'no instrument is named' });
    expect(calibrationOn([], '2024-01-01')).toEqual({
      status: 'unknown',
      because: 'no calibration of the instrument is on record',
    });
    expect(calibrationOn(papers, '2023-01-09')).toEqual({
      status: 'unknown',
      because: 'the first calibration on record is later than the test',
    });
  });

  test('stays in calibration by an earlier certificate that runs longer than a later one', () => {
    const overlapping = [
      { calibratedOn: '2023-01-01', dueOn: '2026-01-01' },
      { calibratedOn: '2024-01-01', dueOn: '2024-06-01' },
    ];
    expect(calibrationOn(overlapping, '2025-01-01')).toMatchObject({ status: 'in calibration', by: overlapping[0] });
    expect(lapsesOf(overlapping)).toEqual([{ from: '2026-01-02', to: null }]);
  });

  test('lapses between certificates and after the last', () => {
    expect(lapsesOf(papers)).toEqual([
      { from: '2024-01-11', to: '2024-02-29' },
      { from: '2025-03-02', to: null },
    ]);
    expect(lapsesOf([])).toEqual([]);
  });
});

describe('a sample', () => {
  const tests = Array.from({ length: 200 }, (_, i) => ({ ownerId: `T-${i}` }));

  test('is drawn as the words say: in order of SHA-256 of seed, bar and id', () => {
    const byHand = tests
      .map(({ ownerId }) => ({ ownerId, order: createHash('sha256').update(`audit 2025|${ownerId}`).digest('hex') }))
      .sort((a, b) => (a.order < b.order ? -1 : 1));
    expect(drawSample(tests, 'audit 2025', 25)).toEqual(byHand.slice(0, 25));
  });

  test('is the same whatever the order of the tests, grows with n by keeping what it had, and differs by seed', () => {
    const ids = (list: { ownerId: string }[]) => list.map((one) => one.ownerId);
    expect(drawSample(tests.toReversed(), 's', 10)).toEqual(drawSample(tests, 's', 10));
    expect(ids(drawSample(tests, 's', 20)).slice(0, 10)).toEqual(ids(drawSample(tests, 's', 10)));
    expect(ids(drawSample(tests, 't', 10))).not.toEqual(ids(drawSample(tests, 's', 10)));
    expect(drawSample(tests, 's', 1000)).toHaveLength(200);
  });

  // 400 draws of 25 of 200: each test is expected 50 times; chi-squared with 199 degrees exceeds 268 once in 1,000.
  test('favours no test', () => {
    const counts = new Map<string, number>();
    for (let seed = 0; seed < 400; seed++)
      for (const one of drawSample(tests, `seed ${seed}`, 25))
        counts.set(one.ownerId, (counts.get(one.ownerId) ?? 0) + 1);
    const expected = (400 * 25) / 200;
    const chi2 = tests.reduce((sum, one) => sum + ((counts.get(one.ownerId) ?? 0) - expected) ** 2 / expected, 0);
    expect(chi2).toBeLessThan(268);
  });
});

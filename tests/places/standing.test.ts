import { describe, expect, test } from 'vitest';
import type { Standing } from '../../core/contract/shapes/standing.ts';
import { plain } from '../../renderer/words/sentence.ts';
import { crosses, opening, whyThisRank } from '../../renderer/words/standing.ts';

/** The segment of the design's drawing, figure for figure. */
const drawn = {
  known: true,
  rank: 3,
  rankedSegments: 612,
  growthPctPerYr: { value: 11.8, lo: 7.9, hi: 15.6 },
  pGrowing: 0.999,
  levelNsPerKm: { value: 4.31, lo: 3.9, hi: 4.8 },
  limitNsPerKm: 7.4,
  limitSource: 'the owner’s own',
  crossing: { year: 2029.4, lo: 2027.6, hi: 2034.2, aboveNow: false, horizonYear: 2040 },
  pExceed: { y1: 0.02, y2: 0.1, y5: 0.62, y10: 0.93 },
  tests: 7,
  fasterThanPct: 97.2,
  ownSharePct: 81,
  pAccelerating: 0.2,
  pOnePhase: 0,
  worstPhase: null,
  highPhase: null,
  censoredTests: 0,
  leftOutReadings: 0,
  eraSince: '2013-04-01',
  eraBecause: 'splice_added',
  cohort: 'XLPE, 1980s',
  cohortGrowthPctPerYr: 5.2,
  theilSenPctPerYr: null,
  mannKendallP: null,
} satisfies Standing;

const testedOn = ['2025-05-14', '2022-09-06', '2006-06-01'];
const said = (standing: Standing, days: readonly string[] = testedOn, last: number | null = 4.31): string =>
  plain(opening({ standing, now: 2025, testedOn: days, lastNsPerKm: last })).replaceAll('\u00a0', ' ');

describe('the sentence that opens a segment’s page', () => {
  test('says growth, interval, since when, place in the fleet, and the crossing year', () => {
    expect(said(drawn)).toBe(
      'Leakage has grown by 11.8 % a year (90 %: 7.9 to 15.6) since the splice of 2013, faster than 97 % of the fleet. ' +
        'It is likely to pass the limit of 7.4 nS/km in 2029 (2027 to 2034); 62 % within five years.',
    );
  });

  test('does not call growth certain where the interval includes none', () => {
    const text = said({ ...drawn, growthPctPerYr: { value: 3.1, lo: -1.2, hi: 7.5 }, pGrowing: 0.87, eraSince: null });
    expect(text).toMatch(/^Growth is not certain since its first test in 2006\. /);
    expect(text).toContain('growth of 3.1 % a year (90 %: −1.2 to 7.5); 87 % that it grows at all');
    expect(text).not.toContain('has grown');
  });

  test('says near no growth where the sign of the estimate and the likelier side differ', () => {
    const near = { ...drawn, growthPctPerYr: { value: -0.1, lo: -2.2, hi: 3.5 }, pGrowing: 0.52, eraSince: null };
    const text = said(near);
    expect(text).toContain(
      'Its best estimate is near no growth, −0.1 % a year (90 %: −2.2 to 3.5); 52 % that it grows',
    );
    expect(text).not.toContain('a fall');
    expect(said({ ...near, pGrowing: 0.47 })).toContain('a fall of 0.1 % a year');
  });

  test('names the phase that has passed the limit where the mean of the phases has not', () => {
    const high = { phase: 'C' as const, levelNsPerKm: 9.8, growthPctPerYr: 18, aboveLimit: true };
    expect(said({ ...drawn, highPhase: high })).toMatch(
      /62 % within five years\. That is the mean of its phases: phase C stands above the limit already, at 9\.80 nS\/km\.$/,
    );
    expect(
      whyThisRank({ ...drawn, highPhase: high })
        .join(' ')
        .replaceAll('\u00a0', ' '),
    ).toContain(
      'mean of its phases; phase C surely stands above that, at 9.80 nS/km, which is above the limit, and grows by 18.0 % a year.',
    );
    expect(said({ ...drawn, highPhase: { ...high, aboveLimit: false } })).toBe(said(drawn));
  });

  test('does not say that the segment grew since its first test where one phase alone ages', () => {
    const text = said({ ...drawn, pOnePhase: 0.96, worstPhase: { phase: 'C', growthPctPerYr: 36.9 } });
    expect(text).toMatch(
      /^Phase C ages on its own\. The mean of its phases now grows by 11\.8 % a year \(90 %: 7\.9 to 15\.6\), faster than 97 % of the fleet\. /,
    );
    expect(text).not.toContain('has grown');
    expect(said({ ...drawn, pOnePhase: 0.96 })).toMatch(/^One phase ages on its own\. /);
  });

  test('says fallen where the whole interval lies below zero, with the ends turned to match', () => {
    expect(said({ ...drawn, growthPctPerYr: { value: -4, lo: -6.1, hi: -2 } })).toMatch(
      /^Leakage has fallen by 4\.0 % a year \(90 %: 2\.0 to 6\.1\) since the splice of 2013\./,
    );
  });

  test('owns up that one test lends no growth of its own', () => {
    const text = said({ ...drawn, tests: 1 }, ['2025-05-14']);
    expect(text).toMatch(
      /^One test only: the level is 4\.31 nS\/km; a growth of 11\.8 % a year .* is what its cohort lends\./,
    );
  });

  test('forecasts no crossing where no limit is set', () => {
    const text = said({ ...drawn, limitNsPerKm: null });
    expect(text).toContain('No limit is set for this insulation, so no crossing is forecast.');
    expect(text).not.toContain('likely to pass');
  });

  test('says “not expected” where the horizon ends first, and how early it might be', () => {
    const later = { year: null, lo: 2036.5, hi: null, aboveNow: false, horizonYear: 2040 };
    const text = said({ ...drawn, crossing: later, pExceed: { y1: 0, y2: 0.001, y5: 0.04, y10: 0.2 } });
    expect(text).toContain(
      'It is not expected to pass the limit of 7.4 nS/km by 2040, though it might from 2036; 4 % within five years.',
    );
  });

  test('says “above” where the level has passed the limit, with the level’s own interval', () => {
    const text = said({
      ...drawn,
      levelNsPerKm: { value: 8.1, lo: 7.2, hi: 9.05 },
      crossing: { year: 2025.4, lo: 2025.4, hi: 2025.4, aboveNow: true, horizonYear: 2040 },
    });
    expect(text).toContain('It stands above the limit of 7.4 nS/km already, at 8.10 (90 %: 7.20 to 9.05).');
  });

  test('says “probably” where the level stands above but its interval does not', () => {
    const text = said({ ...drawn, levelNsPerKm: { value: 7.9, lo: 6.8, hi: 9.2 } });
    expect(text).toContain('It has probably passed the limit of 7.4 nS/km, at 7.90 (90 %: 6.80 to 9.20).');
  });

  test('gives the reason where nothing can be told, and the last level', () => {
    expect(said({ known: false, because: 'no test has its length and voltage.' })).toBe(
      'Growth cannot be told from 3 tests: no test has its length and voltage. Its test of 14 May 2025 gave 4.31 nS/km at 20 °C.',
    );
    expect(said({ known: false, because: 'no test' }, [], null)).toBe('Never tested; nothing is known of its leakage.');
  });

  test('never rounds a chance to certainty', () => {
    const sure = { y1: 0.9, y2: 0.99, y5: 0.9996, y10: 1 };
    expect(said({ ...drawn, pExceed: sure })).toContain('over 99 % within five years');
    expect(said({ ...drawn, pExceed: { ...sure, y5: 0.0004 } })).toContain('under 1 % within five years');
  });
});

describe('the crossing in a table’s cell', () => {
  test.each([
    [{ year: 2029.4, lo: 2027.6, hi: 2034.2, aboveNow: false, horizonYear: 2040 }, '2029 (2027 to 2034)'],
    [{ year: 2034.9, lo: 2029.2, hi: null, aboveNow: false, horizonYear: 2040 }, '2034 (2029 to later)'],
    [{ year: 2026.2, lo: 2025.4, hi: 2028.1, aboveNow: false, horizonYear: 2040 }, '2026 (now to 2028)'],
    [{ year: null, lo: null, hi: null, aboveNow: false, horizonYear: 2040 }, 'not within 15 years'],
    [{ year: 2025.1, lo: 2025.1, hi: 2025.1, aboveNow: true, horizonYear: 2040 }, 'above it now'],
    [null, 'no limit set'],
  ])('reads %j as it is', (crossing, words) => {
    expect(crosses(crossing, 2025)).toBe(words);
  });
});

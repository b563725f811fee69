import { describe, expect, test } from 'vitest';
import { type Excuse, obligationsOf, type SegmentLife } from '../../core/evidence/compliance.ts';
import { defaultRetestEditions } from '../../core/evidence/default-rule.ts';
import {
  addDays,
  addMonths,
  daysBetween,
  dueByVersions,
  dueOn,
  type IntervalRule,
  monthsFor,
  type TestResult,
} from '../../core/evidence/due.ts';
import { cableMaintenanceMonths, electricalIntervalMonths, intervalFactor } from '../../core/trade/intervals.ts';

const defaultRetestRule = defaultRetestEditions[0].rule;
const rule = (months: number, more: Partial<IntervalRule> = {}): IntervalRule => ({
  cases: [],
  otherwiseMonths: months,
  earlyDays: 90,
  graceDays: 30,
  ...more,
});
const always = (months: number) => [{ version: 1, inForceFrom: '1900-01-01', rule: rule(months) }];
const segment = { insulation: 'EPR', ratedKv: 15, criticalLoad: null, alternateSupply: null };
const life: SegmentLife = { ...segment, energisedOn: '2010-03-01', retiredOn: null };
const year = { from: '2025-01-01', to: '2025-12-31', asOf: '2025-12-31' };

describe('days and months', () => {
  // ISO 8601 calendar; 2000 and 2024 are leap years, 1900 and 2100 are not (Gregorian rule).
  test.each([
    ['2024-01-31', 1, '2024-02-29'],
    ['2023-01-31', 1, '2023-02-28'],
    ['2024-02-29', 12, '2025-02-28'],
    ['2024-02-29', 48, '2028-02-29'],
    ['2000-02-29', 1200, '2100-02-28'],
    ['2025-08-31', 18, '2027-02-28'],
    ['2025-12-15', 1, '2026-01-15'],
  ])('%s and %i months is %s', (day, months, expected) => {
    expect(addMonths(day, months)).toBe(expected);
  });

  test('days between are whole days across a change of clocks and a leap day', () => {
    expect(daysBetween('2024-02-28', '2024-03-01')).toBe(2);
    expect(daysBetween('2025-03-29', '2025-03-31')).toBe(2);
    expect(daysBetween('2025-01-02', '2025-01-01')).toBe(-1);
    expect(addDays('2024-02-28', 2)).toBe('2024-03-01');
  });
});

describe('the rule', () => {
  // ANSI/NETA MTS 2007, Appendix B: 36 months for the electrical tests of cable; × 0.5, 1, 2 at average condition.
  test('by default follows NETA Appendix B at average condition', () => {
    const base = cableMaintenanceMonths.visualMechanicalAndElectrical;
    expect(monthsFor(defaultRetestRule, { ...segment, criticalLoad: true })).toBe(base * intervalFactor.high.average);
    expect(monthsFor(defaultRetestRule, segment)).toBe(base * intervalFactor.medium.average);
    expect(monthsFor(defaultRetestRule, { ...segment, criticalLoad: false, alternateSupply: true })).toBe(
      base * intervalFactor.low.average,
    );
  });

  // The guide's own example: high need and poor condition, 9 months.
  test('gives nine months after a test where the owner takes high need and poor condition', () => {
    expect(dueOn('2025-01-15', rule(electricalIntervalMonths('high', 'poor')), segment)).toBe('2025-10-15');
  });

  test('takes the first case that fits, and none that asks for what is not known', () => {
    const cases = [
      { when: { criticalLoad: true }, months: 6 },
      { when: { insulation: ['EPR'], ratedKvFrom: 25 }, months: 12 },
      { when: { insulation: ['EPR'] }, months: 24 },
    ];
    expect(monthsFor(rule(60, { cases }), segment)).toBe(24);
    expect(monthsFor(rule(60, { cases }), { ...segment, ratedKv: 25 })).toBe(12);
    expect(monthsFor(rule(60, { cases }), { ...segment, criticalLoad: true })).toBe(6);
    expect(monthsFor(rule(60, { cases }), { ...segment, insulation: 'PILC' })).toBe(60);
  });

  test('counts as it stood: a new version takes over from its day and never asks for a day before it', () => {
    const versions = [
      { version: 1, inForceFrom: '2000-01-01', rule: rule(60) },
      { version: 2, inForceFrom: '2024-07-01', rule: rule(12) },
    ];
    // Due under version 1 before version 2 came: version 1 counts.
    expect(dueByVersions('2019-01-10', versions, segment)).toMatchObject({
      dueOn: '2024-01-10',
      version: { version: 1 },
    });
    // Would be due in 2027 by version 1; by version 2 in 2023, which nobody could know: due on its first day.
    expect(dueByVersions('2022-03-05', versions, segment)).toMatchObject({
      dueOn: '2024-07-01',
      version: { version: 2 },
    });
    expect(dueByVersions('2024-01-20', versions, segment)).toMatchObject({
      dueOn: '2025-01-20',
      version: { version: 2 },
    });
    expect(dueByVersions('2025-01-20', versions, segment)).toMatchObject({
      dueOn: '2026-01-20',
      version: { version: 2 },
    });
  });
});

describe('a rule by what the last test found', () => {
  const plain: TestResult = {
    on: '2024-05-10',
    counts: true,
    breakdown: false,
    stopped: false,
    rising: false,
    phaseRatio: 1.2,
    levelNsPerKm: 1,
    growthLowPctPerYr: 2,
  };
  const results = (...found: Partial<TestResult>[]) => ({
    limitNsPerKm: 10,
    ourLimitNsPerKm: 10,
    found: found.map((one) => ({ ...plain, ...one })),
  });
  const due = (...found: Partial<TestResult>[]) => dueOn('2024-05-10', defaultRetestRule, segment, results(...found));

  // ANSI/NETA MTS 2007, Appendix B: medium need, 36 months × 1.0 at average condition, × 0.5 at poor.
  test('asks for the guide’s 18 months instead of 36 where the last test found any one thing', () => {
    expect(due({})).toBe('2027-05-10');
    const things = [
      { breakdown: true },
      { stopped: true },
      { rising: true },
      { phaseRatio: 3.1 },
      { levelNsPerKm: 5.1 },
    ];
    for (const found of things) expect(due(found)).toBe('2025-11-10');
    const growing = rule(36, { cases: [{ when: { last: { growthOverPctPerYr: 5 } }, months: 18 }] });
    const grown = (low: number) => dueOn('2024-05-10', growing, segment, results({ growthLowPctPerYr: low }));
    expect([grown(5.1), grown(5)]).toEqual(['2025-11-10', '2027-05-10']);
  });

  // The guide's factors at poor condition: high need 0.25, low need 1.0.
  test('asks 9 months at high need and 36 at low', () => {
    const months = (need: object) => monthsFor(defaultRetestRule, { ...segment, ...need }, results({ rising: true }));
    expect(months({ criticalLoad: true })).toBe(9);
    expect(months({ criticalLoad: false, alternateSupply: true })).toBe(36);
  });

  test('counts nothing that the record does not tell, nor what only just reaches', () => {
    expect(due({ phaseRatio: 3, levelNsPerKm: 5 })).toBe('2027-05-10');
    expect(due({ phaseRatio: null, levelNsPerKm: null })).toBe('2027-05-10');
    const noLimit = { limitNsPerKm: null, ourLimitNsPerKm: null, found: [{ ...plain, levelNsPerKm: 99 }] };
    expect(dueOn('2024-05-10', defaultRetestRule, segment, noLimit)).toBe('2027-05-10');
  });

  test('counts by the limits it was set with, whatever they are today', () => {
    const strict = { ...defaultRetestRule, limitsNsPerKm: { EPR: 1.5 } };
    expect(dueOn('2024-05-10', strict, segment, results({}))).toBe('2025-11-10');
    expect(dueOn('2024-05-10', strict, { ...segment, insulation: 'PILC' }, results({}))).toBe('2027-05-10');
    // One that was set while the owner had none counts by our default, not by what the owner has set since.
    const since = { ...results({}), limitNsPerKm: 1.5 };
    expect(dueOn('2024-05-10', { ...defaultRetestRule, limitsNsPerKm: {} }, segment, since)).toBe('2027-05-10');
  });

  test('counts from an attempt that was broken off since, where that asks for a sooner day', () => {
    const attempt = { on: '2025-01-20', counts: false, stopped: true };
    expect(due({}, attempt)).toBe('2026-07-20');
    expect(due({ rising: true }, attempt)).toBe('2025-11-10');
    expect(due({}, { ...attempt, stopped: false })).toBe('2027-05-10');
  });

  test('counts as it stood: what the last test found asks for nothing before the version that asks was in force', () => {
    const versions = [
      { version: 1, inForceFrom: '2000-01-01', rule: rule(36) },
      { version: 2, inForceFrom: '2026-02-01', rule: defaultRetestRule },
    ];
    expect(dueByVersions('2024-05-10', versions, segment, results({ rising: true }))).toMatchObject({
      dueOn: '2026-02-01',
      version: { version: 2 },
      chosen: { at: 4, months: 18, tells: [{ what: 'rising' }] },
    });
  });

  test('looks for each test of the register only at what the one before it found', () => {
    const days = ['2018-05-10', '2021-05-10', '2022-11-10'];
    const found = results({ on: '2018-05-10' }, { on: '2021-05-10', rising: true }, { on: '2022-11-10' });
    const versions = [{ version: 0, inForceFrom: '1900-01-01', rule: defaultRetestRule }];
    const ever = { from: '2018-06-01', to: '2030-01-01', asOf: '2030-01-01' };
    expect(obligationsOf(life, days, versions, [], ever, found)!.map(({ dueOn: day }) => day)).toEqual([
      '2021-05-10',
      '2022-11-10',
      '2025-11-10',
    ]);
  });
});

describe('a period', () => {
  const one = (tested: string[], more: Partial<SegmentLife> = {}, excuses: Excuse[] = [], period = year) =>
    obligationsOf({ ...life, ...more }, tested, always(36), excuses, period)!.map(
      ({ dueOn: due, status, daysLate }) => [due, status, daysLate],
    );

  test('shows a test on its due day, in grace, too early and too late', () => {
    expect(one(['2022-05-10', '2025-05-10'])).toEqual([['2025-05-10', 'on time', 0]]);
    expect(one(['2022-05-10', '2025-06-09'])).toEqual([['2025-05-10', 'on time', 30]]);
    expect(one(['2022-05-10', '2025-06-10'])).toEqual([['2025-05-10', 'late', 31]]);
    expect(one(['2022-05-10', '2025-02-09'])).toEqual([['2025-05-10', 'on time', -90]]);
    expect(one(['2022-05-10', '2025-02-08'])).toEqual([['2025-05-10', 'early', -91]]);
  });

  test('shows what is missing and what is still open when it is looked at', () => {
    expect(one(['2022-05-10'])).toEqual([['2025-05-10', 'missing', null]]);
    expect(one(['2022-12-10'])).toEqual([['2025-12-10', 'open', null]]);
    expect(one(['2022-05-10'], {}, [], { ...year, asOf: '2025-04-01' })).toEqual([['2025-05-10', 'open', null]]);
  });

  test('carries in what was overdue before it, and leaves out what does not touch it', () => {
    expect(one(['2020-05-10'])).toEqual([['2023-05-10', 'missing', null]]);
    expect(one(['2020-05-10', '2025-03-01'])).toEqual([['2023-05-10', 'late', 661]]);
    expect(one(['2021-05-10', '2024-05-10'])).toEqual([]);
    expect(one(['2024-05-10'])).toEqual([]);
  });

  test('counts from the first day in service where no test was made, and cannot where that is unknown too', () => {
    expect(one([], { energisedOn: '2022-02-01' })).toEqual([['2025-02-01', 'missing', null]]);
    expect(obligationsOf({ ...life, energisedOn: null }, [], always(36), [], year)).toBeNull();
  });

  test('asks nothing of a segment that was retired before its test was due', () => {
    expect(one(['2022-05-10'], { retiredOn: '2025-05-09' })).toEqual([]);
    expect(one(['2022-05-10'], { retiredOn: '2025-05-11' })).toEqual([['2025-05-10', 'missing', null]]);
  });

  test('excuses until a day, and not beyond it', () => {
    expect(one(['2022-05-10'], {}, [{ dueOn: '2025-05-10', until: null }])).toEqual([['2025-05-10', 'excused', null]]);
    expect(one(['2022-05-10', '2025-08-01'], {}, [{ dueOn: '2025-05-10', until: '2025-09-01' }])).toEqual([
      ['2025-05-10', 'excused', 83],
    ]);
    expect(one(['2022-05-10', '2025-10-01'], {}, [{ dueOn: '2025-05-10', until: '2025-09-01' }])).toEqual([
      ['2025-05-10', 'late', 144],
    ]);
    expect(one(['2022-05-10'], {}, [{ dueOn: '2022-05-10', until: null }])).toEqual([['2025-05-10', 'missing', null]]);
  });

  test('judges a test that was done by the rule of its day, whatever version came into force since', () => {
    const first = { version: 1, inForceFrom: '1900-01-01', rule: rule(72) };
    const since = { version: 2, inForceFrom: '2026-02-01', rule: rule(12) };
    const days = ['2021-05-10', '2025-05-10'];
    const then = obligationsOf(life, days, [first], [], year);
    expect(then).toMatchObject([{ dueOn: '2027-05-10', status: 'early', version: { version: 1 } }]);
    expect(obligationsOf(life, days, [first, since], [], year)).toEqual(then);
    // One that was in force on the day of the test counts, and asks for no day before its own.
    const sooner = { ...since, inForceFrom: '2025-03-01' };
    expect(obligationsOf(life, days, [first, sooner], [], year)).toMatchObject([
      { dueOn: '2025-03-01', status: 'late', version: { version: 2 } },
    ]);
  });

  test('judges by what was known of the segment on the day: an edit since moves no judgement, and asks for no day before it', () => {
    const cases = [{ when: { criticalLoad: true }, months: 12 }];
    const versions = [{ version: 1, inForceFrom: '1900-01-01', rule: rule(36, { cases }) }];
    const now = { ...life, criticalLoad: true };
    const known = { limitNsPerKm: 10, ourLimitNsPerKm: 10, found: [] };
    const editedOn = (until: string, from = '') => ({
      ...known,
      before: [{ from, until, segment: { ...segment, criticalLoad: false }, results: known }],
    });
    const judged = (days: readonly string[], results: object) =>
      obligationsOf(
        now,
        days,
        versions,
        [],
        { ...year, to: '2026-12-31', asOf: '2026-12-31' },
        {
          ...known,
          ...results,
        },
      )!.map((item) => [item.dueOn, item.status, item.due.knownUntil]);
    const days = ['2022-05-10', '2025-05-01'];
    // As it is now it was due every year; by what was known until the edit of 2026, every three.
    expect(judged(days, {})[0]).toEqual(['2023-05-10', 'late', null]);
    expect(judged(days, editedOn('2026-03-01'))).toEqual([
      ['2025-05-10', 'on time', '2026-03-01'],
      ['2026-05-01', 'missing', null],
    ]);
    // By the edit the next would have been due on 1 May: it asks for no day before its own.
    expect(judged(days, editedOn('2026-08-01'))[1]).toEqual(['2026-08-01', 'missing', null]);
    // A mistake of some weeks in between, taken back before anything was due, moves nothing.
    expect(judged(days, editedOn('2024-02-01', '2024-01-01'))).toEqual(judged(days, {}));
  });

  test('takes what the tests found as it was reckoned on the day', () => {
    const cases = [{ when: { last: { levelOver: 0.5 } }, months: 12 }];
    const versions = [{ version: 1, inForceFrom: '1900-01-01', rule: rule(36, { cases }) }];
    const plain = { on: '2022-05-10', counts: true, breakdown: false, stopped: false, rising: false };
    const of = (levelNsPerKm: number) => ({
      limitNsPerKm: 10,
      ourLimitNsPerKm: 10,
      found: [{ ...plain, phaseRatio: null, levelNsPerKm, growthLowPctPerYr: null }],
    });
    // The length was mended in 2026: until then the level was 2, by the length of today it is 6.
    const results = { ...of(6), before: [{ from: '', until: '2026-03-01', segment, results: of(2) }] };
    const days = ['2022-05-10', '2025-05-01'];
    expect(obligationsOf(life, days, versions, [], year, of(6))).toMatchObject([{ dueOn: '2023-05-10' }]);
    expect(obligationsOf(life, days, versions, [], year, results)).toMatchObject([
      { dueOn: '2025-05-10', status: 'on time', due: { chosen: { tells: [] } } },
    ]);
  });

  test('never loses a test: each test in the period belongs to exactly one obligation, whatever the days', () => {
    for (let seed = 0; seed < 200; seed++) {
      const tested = Array.from({ length: seed % 9 }, (_, i) =>
        addDays('2015-01-01', ((seed + 1) * (i + 1) * 397) % 4200),
      ).sort();
      const found = obligationsOf(life, tested, always(12 + (seed % 60)), [], year)!;
      const days = found
        .flatMap((item) => (item.done === null ? [] : tested[item.done]!))
        .filter((day) => day >= year.from && day <= year.to);
      expect(days).toEqual([...new Set(tested.filter((day) => day >= year.from && day <= year.to))]);
    }
  });
});

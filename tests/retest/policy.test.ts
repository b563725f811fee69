import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { InputOf } from '../../core/contract/asks/index.ts';
import { defaultRetestEditions } from '../../core/evidence/default-rule.ts';
import { openRetestFleet, type RetestFleet, today } from './a-fleet.ts';

let fleet: RetestFleet;
beforeAll(async () => {
  fleet = await openRetestFleet();
});
afterAll(() => fleet.close());

const defaultRetestRule = defaultRetestEditions[0].rule;
type Rule = InputOf<'policy.setRetest'>['rule'];
const every = (months: number, more: Partial<Rule> = {}): Rule => ({
  kind: 'retest interval',
  cases: [],
  otherwiseMonths: months,
  earlyDays: 90,
  graceDays: 30,
  ...more,
});
const dueDays = async () => {
  const rows = [
    ...(await fleet.ask('retest.due', { count: 1000 })).rows,
    ...(await fleet.ask('retest.due', { count: 1000, state: 'later' })).rows,
  ];
  return new Map(rows.map((row) => [row.segmentOwnerId, row]));
};

describe('a rule looked at before it is set', () => {
  test('says what would become overdue; set, just that is overdue, and nothing was written before', async () => {
    const before = await dueDays();
    const revision = (await fleet.ask('fleet.info', {})).revision;
    const rule = every(12);
    const preview = await fleet.ask('policy.previewRetest', { rule, inForceFrom: '2020-01-01' });
    expect((await fleet.ask('fleet.info', {})).revision).toBe(revision);
    expect(preview.becomeOverdue).toBeGreaterThan(10);
    expect(preview.sentence).toMatch(
      new RegExp(`^${preview.becomeOverdue} segments become overdue; in all ${preview.sooner} segments are due sooner`),
    );
    expect(preview.moved[0]).toMatchObject({ becomesOverdue: true, because: '12 months' });
    await fleet.ask('policy.setRetest', { rule, source: 'board', inForceFrom: '2020-01-01', reason: 'try a year' });
    const after = await dueDays();
    const overdue = [...after].filter(([id, row]) => row.state === 'overdue' && before.get(id)!.state !== 'overdue');
    expect(overdue).toHaveLength(preview.becomeOverdue);
    const moved = [...after].filter(([id, row]) => row.dueOn !== before.get(id)!.dueOn);
    expect(moved).toHaveLength(preview.sooner + preview.later);
    const { total } = await fleet.ask('retest.due', { count: 0 });
    expect(total).toEqual(preview.after);
  });

  test('in force from today asks for no day before: what it would have had earlier falls due today', async () => {
    const before = await dueDays();
    const preview = await fleet.ask('policy.previewRetest', { rule: every(1), inForceFrom: today });
    expect(preview.becomeOverdue).toBe(0);
    const later = [...before.values()].filter((row) => row.dueOn > today).length;
    expect(preview.atOnce).toBeGreaterThan(5);
    expect(preview.atOnce).toBeLessThanOrEqual(later);
    expect(preview.sentence).toContain(`${preview.atOnce} segments fall due on ${today}, as it comes into force`);
    expect(preview.moved.every((row) => row.after >= today)).toBe(true);
  });

  test('is written out from the rule where no words are given, case by case', async () => {
    const rule = every(60, {
      cases: [
        {
          when: { insulation: ['PILC', 'EPR'], ratedKvFrom: 15, criticalLoad: true, last: { stopped: true } },
          months: 3,
        },
        { when: { ratedKvTo: 8, last: { levelOver: 0.5, phasesApartOver: 3, growthOverPctPerYr: 7 } }, months: 12 },
      ],
    });
    const { words } = await fleet.ask('policy.previewRetest', { rule, inForceFrom: today });
    expect(words).toContain(
      '3 months: PILC or EPR, 15 kV or more, critical load, after a test that found a reading stopped early.',
    );
    expect(words).toContain(
      '12 months: 8 kV or less, after a test that found phases more than 3 : 1 apart, a level above 50 % of the limit or a growth',
    );
    expect(words).toContain('60 months: all others.');
  });

  test('goes back to our default by a further version from the same day', async () => {
    await fleet.ask('policy.setRetest', {
      rule: defaultRetestRule as Rule,
      source: 'our default',
      inForceFrom: '1900-01-01',
      reason: 'as it was',
    });
    expect((await dueDays()).get('paper-15-133')!.dueOn).toBe('2027-05-04');
  });
});

describe('the owner’s limits', () => {
  test('are shown beside our default, with the segments they are for', async () => {
    const { limits } = await fleet.ask('policy.limits', {});
    const paper = limits.find((one) => one.insulation === 'PILC')!;
    // Our default for paper: 6 × the ICEA form at K 2,640 and D/d 1.73; R = K·log10(D/d) in MΩ·1000 ft.
    const megohmKm = 2640 * Math.log10(1.73) * 0.3048;
    expect(paper.nsPerKm! / (6 * (1000 / megohmKm))).toBeCloseTo(1, 2);
    expect(paper).toMatchObject({ owners: false, source: expect.stringContaining('no published limit') });
    expect(paper.segments).toBeGreaterThan(10);
    expect(limits.find((one) => one.insulation === 'other')).toMatchObject({ nsPerKm: null });
  });

  test('set while our default is the rule leave the register of a past period as it was, and count from today', async () => {
    const own = await openRetestFleet();
    const past = async () =>
      (await own.ask('evidence.compliance', { from: '2015-01-01', to: '2025-06-30', count: 1000 })).rows;
    const next = async () => (await own.ask('retest.due', { count: 1000 })).rows;
    const before = { past: await past(), next: await next() };
    for (const insulation of ['PILC', 'XLPE', 'EPR', 'TR-XLPE', 'HMWPE'] as const)
      await own.ask('policy.setLimits', {
        limits: [{ insulation, nsPerKm: 0.001 }],
        source: 'Harrow Vale board, minute 15',
        reason: 'strict',
      });
    expect(before.past.length).toBeGreaterThan(10);
    expect(await past()).toEqual(before.past);
    // Every level is far above half of such a limit, so what was due later falls due on the first day it could be known.
    const sooner = (await next()).filter((row) => row.dueOn === today && row.because.includes('% of the limit'));
    expect(sooner.length).toBeGreaterThan(0);
    own.close();
  });

  test('set anew are one ledger line, move what counts by them from that day on, and verify', async () => {
    const own = await openRetestFleet();
    const levelRule = every(60, { cases: [{ when: { last: { levelOver: 0.5 } }, months: 24 }] });
    await own.ask('policy.setRetest', {
      rule: levelRule,
      source: 'board',
      inForceFrom: '2020-01-01',
      reason: 'levels',
    });
    const dueOf = async (id: string) =>
      [
        ...(await own.ask('retest.due', { count: 1000 })).rows,
        ...(await own.ask('retest.due', { count: 1000, state: 'later' })).rows,
      ].find((row) => row.segmentOwnerId === id)!;
    // 21 µA ÷ 20 kV ÷ 0.412 km at 14 °C on paper: 3.9 nS/km at 20 °C, under half of our default of about 30.
    expect(await dueOf('paper-15-133')).toMatchObject({ dueOn: '2026-05-04', rule: 'version 1' });
    const { set } = await own.ask('policy.setLimits', {
      limits: [
        { insulation: 'PILC', nsPerKm: 6 },
        { insulation: 'XLPE', nsPerKm: 4 },
      ],
      source: 'Harrow Vale board, minute 14',
      reason: 'paper runs warm',
    });
    expect(set).toBe(2);
    // By version 2 the day of two years after May 2021 was past before anyone could know: due on its first day.
    expect(await dueOf('paper-15-133')).toMatchObject({
      dueOn: today,
      rule: 'version 2',
      because: expect.stringMatching(/^a level at 6\d % of the limit on 2021-05-04: 24 months, line 1$/),
    });
    const { entries } = await own.ask('ledger.page', { count: 1 });
    expect(entries[0]).toMatchObject({ what: 'set limits', why: 'paper runs warm', records: 3 });
    const { versions } = await own.ask('policy.list', {});
    expect(versions.at(-1)!.words).toContain(
      'Limits it counts by, nS/km at 20 °C: PILC 6, XLPE 4; for others our default.',
    );
    expect((await own.ask('policy.limits', {})).limits.find((one) => one.insulation === 'PILC')).toMatchObject({
      nsPerKm: 6,
      owners: true,
      setOn: today,
    });
    expect(await own.ask('evidence.verify', {})).toMatchObject({ intact: true });
    own.close();
  });
});

import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openRetestFleet, type RetestFleet, today } from './a-fleet.ts';

let fleet: RetestFleet;
beforeAll(async () => {
  fleet = await openRetestFleet();
});
afterAll(() => fleet.close());
const idOf = async (segment: string) => (await fleet.ask('retest.brief', { segment })).segmentId;
const readings = (ua: readonly number[]) =>
  (['A', 'B', 'C'] as const).map((phase, p) => ({
    phase,
    voltageKv: 20,
    dwellMin: 15,
    leakage: ua[p]!,
    leakageUnit: 'uA' as const,
    outcome: 'withstood' as const,
  }));
const conditions = { insulationTempC: 14, instrumentId: null, crew: 'West' };

describe('a reading typed at the cubicle', () => {
  const judge = async (share: (phase: { lo: number; value: number; hi: number; far: number }) => number) => {
    const brief = await fleet.ask('retest.brief', { segment: 'full', tempC: 14 });
    const typed = brief.expected.map(({ phase, reading }) => {
      if (!reading.known) throw new Error(reading.because);
      return { phase, leakageUa: share({ ...reading.ua, far: reading.farUa }) };
    });
    const segmentId = brief.segmentId;
    return fleet.ask('retest.judge', { segmentId, voltageKv: 20, dwellMin: 15, tempC: 14, readings: typed });
  };
  const said = (answer: Awaited<ReturnType<typeof judge>>) =>
    new Set(answer.phases.map(({ verdict }) => (verdict.known ? verdict.says : verdict.because)));

  test('is as expected inside the 90 % interval, above it above, past one in a hundred far above, under it below', async () => {
    expect(said(await judge(({ value }) => value))).toEqual(new Set(['as expected']));
    expect(said(await judge(({ hi }) => 0.999 * hi))).toEqual(new Set(['as expected']));
    expect(said(await judge(({ hi }) => 1.001 * hi))).toEqual(new Set(['above expected']));
    expect(said(await judge(({ far }) => 1.001 * far))).toEqual(new Set(['far above']));
    expect(said(await judge(({ lo }) => 0.999 * lo))).toEqual(new Set(['below expected']));
  });

  test('tells what growth and rank would become, and that this is approximate', async () => {
    const plain = await judge(({ value }) => value);
    const high = await judge(({ hi }) => hi);
    if (!plain.after.known || !high.after.known || !high.before.known) throw new Error('not ranked');
    expect(high.after.growthPctPerYr.value).toBeGreaterThan(high.before.growthPctPerYr.value);
    expect(high.after.rank).toBeLessThanOrEqual(high.before.rank);
    expect(high.basis).toMatch(/^Approximate/);
  });

  test('says to stop when it is far above, over the limit, or its phase stands apart', async () => {
    const answer = await fleet.ask('retest.judge', {
      segmentId: await idOf('full'),
      voltageKv: 20,
      dwellMin: 15,
      tempC: 14,
      readings: [
        { phase: 'A', leakageUa: 36 },
        { phase: 'B', leakageUa: 5000 },
      ],
    });
    expect(answer.phaseRatio).toBeCloseTo(139, 0);
    expect(answer.stop.join(' ')).toMatch(/Phase B reads far above.*above the limit.*138\.9 : 1 apart/);
    expect(answer.stop.join(' ')).not.toContain('Phase A');
  });
});

describe('a test recorded by hand', () => {
  test('stands in the segment’s history, its due day moves, and the ledger has one line that verifies', async () => {
    const segmentId = await idOf('aged-XLPE-133');
    const before = await fleet.ask('retest.brief', { segment: 'aged-XLPE-133' });
    const answer = await fleet.ask('retest.record', {
      segmentId,
      testedOn: '2025-11-20',
      readings: readings([3.4, 3.6, 3.3]),
      ...conditions,
    });
    expect(answer).toMatchObject({ readings: 3, brokeDown: [], ownerId: 'aged-XLPE-133/2025-11-20' });
    expect(answer.remarks.join(' ')).toContain('No instrument is named');
    const after = await fleet.ask('retest.brief', { segment: 'aged-XLPE-133' });
    expect(after.tests).toHaveLength(before.tests.length + 1);
    expect(after.tests[0]).toMatchObject({ testedOn: '2025-11-20', a: '3.40', b: '3.60', c: '3.30', crew: 'West' });
    expect(after.due).toMatchObject({ known: true, dueOn: '2027-05-20' });
    const page = await fleet.ask('ledger.page', { filter: {}, count: 5 });
    expect(page.entries[0]).toMatchObject({ what: 'record test', who: 'crew lead', records: 1 });
    expect(await fleet.ask('evidence.verify', {})).toMatchObject({ intact: true });
  });

  test('keeps the unit that was typed, and a second test of one day gets its own name', async () => {
    const segmentId = await idOf('aged-EPR-100');
    const one = { segmentId, testedOn: '2025-11-20', ...conditions };
    const milliamps = readings([0.0034, 0.0036, 0.0033]).map((each) => ({ ...each, leakageUnit: 'mA' as const }));
    await fleet.ask('retest.record', { ...one, readings: milliamps });
    const again = await fleet.ask('retest.record', { ...one, readings: readings([3.5, 3.7, 3.4]) });
    expect(again.ownerId).toBe('aged-EPR-100/2025-11-20/2');
    const { tests } = await fleet.ask('retest.brief', { segment: 'aged-EPR-100' });
    expect(
      tests
        .slice(0, 2)
        .map((each) => each.a)
        .sort(),
    ).toEqual(['3.40', '3.50']);
  });

  test('says when the instrument was out of calibration that day', async () => {
    const { instruments } = await fleet.ask('retest.instruments', {});
    const lapsed = instruments.find((one) => one.name === 'B-2003')!;
    expect(lapsed).toMatchObject({ inCalibration: false, calibration: expect.stringContaining('2024-03-01') });
    const answer = await fleet.ask('retest.record', {
      segmentId: await idOf('paper-25-100'),
      testedOn: today,
      readings: readings([20, 21, 22]),
      ...conditions,
      instrumentId: lapsed.id,
    });
    expect(answer.remarks.join(' ')).toContain('out of calibration');
  });

  test('that broke down asks for the failure; the failure and the new splice then begin a new era', async () => {
    const segmentId = await idOf('paper-15-100');
    const broken = readings([20, 400, 22]).map((each) =>
      each.phase === 'B' ? { ...each, outcome: 'breakdown' as const } : each,
    );
    const answer = await fleet.ask('retest.record', {
      segmentId,
      testedOn: '2025-11-20',
      readings: broken,
      ...conditions,
    });
    expect(answer.brokeDown).toEqual(['B']);
    const unmended = await fleet.ask('retest.brief', { segment: 'paper-15-100' });
    expect(unmended.cautions[0]!.says).toMatch(/failed on 2025-11-20, and no repair since/);
    await fleet.ask('retest.recordFailure', {
      segmentId,
      failedOn: '2025-11-20',
      phase: 'B',
      part: 'splice',
      cause: 'water in the splice',
    });
    await fleet.ask('retest.recordIntervention', {
      segmentId,
      doneOn: '2025-11-22',
      kind: 'splice_added',
      splice: { positionM: 120, phase: 'B', kind: 'cold_shrink' },
    });
    const page = await fleet.ask('segment.page', { segmentId });
    expect(page.failures).toMatchObject([{ phase: 'B', part: 'splice' }]);
    expect(page.splices).toMatchObject([{ positionM: 120, kind: 'cold_shrink', installedOn: '2025-11-22' }]);
    expect(page.standing).toMatchObject({ known: true, eraSince: '2025-11-22', eraBecause: 'splice_added' });
    const brief = await fleet.ask('retest.brief', { segment: 'paper-15-100' });
    expect(brief.purpose).toBe('after_repair');
    expect(brief.cautions.map((one) => one.says).join(' ')).not.toContain('no repair since');
    expect(await fleet.ask('evidence.verify', {})).toMatchObject({ intact: true });
  });

  test('that corrects another takes its place with a reason: both stay, one is in force, and the ledger verifies', async () => {
    const segmentId = await idOf('aged-HMWPE-100');
    const before = (await fleet.ask('retest.brief', { segment: 'aged-HMWPE-100' })).tests;
    const old = before[0]!;
    const correct = { segmentId, testedOn: old.testedOn, ...conditions };
    const answer = await fleet.ask('retest.record', {
      ...correct,
      method: 'insulation_resistance',
      purpose: 'after_repair',
      readings: readings([0.31, 0.33, 0.32]),
      supersedes: { testId: old.id, reason: 'read off the wrong range' },
    });
    expect(answer.ownerId).toBe(old.ownerId);
    const { tests } = await fleet.ask('retest.brief', { segment: 'aged-HMWPE-100' });
    expect(tests).toHaveLength(before.length);
    expect(tests[0]).toMatchObject({
      id: answer.id,
      a: '0.31',
      method: 'insulation_resistance',
      purpose: 'after_repair',
    });
    const history = await fleet.ask('ledger.ofRecord', { entity: 'test_event', id: answer.id });
    expect(history.supersedes).toMatchObject({ id: old.id });
    const { entries } = await fleet.ask('ledger.page', { count: 1 });
    expect(entries[0]).toMatchObject({ what: 'correct test', why: 'read off the wrong range' });
    expect(await fleet.ask('evidence.verify', {})).toMatchObject({ intact: true });
    // The page shows what was replaced, as it was read, under what stands for it, and counts it nowhere.
    const page = await fleet.ask('segment.page', { segmentId });
    expect(page.tests.map((test) => test.id)).not.toContain(old.id);
    expect(page.tests).toHaveLength(before.length);
    expect(page.replacedTests).toMatchObject([
      { id: old.id, testedOn: old.testedOn, byId: answer.id, why: 'read off the wrong range' },
    ]);
    expect(page.replacedTests[0]!.readings.map((reading) => reading.phase)).toEqual(['A', 'B', 'C']);
    const last = await fleet.ask('retest.record', {
      ...correct,
      readings: readings([0.41, 0.43, 0.42]),
      supersedes: { testId: answer.id, reason: 'the right range after all' },
    });
    const { replacedTests } = await fleet.ask('segment.page', { segmentId });
    expect(replacedTests.map(({ id, byId }) => [id, byId])).toEqual([
      [answer.id, last.id],
      [old.id, last.id],
    ]);
    // The one that was corrected cannot be corrected again, nor one of another cable.
    const again = { ...correct, readings: readings([1, 2, 3]) };
    const twice = { ...again, supersedes: { testId: old.id, reason: 'once more' } };
    expect(await fleet.core.send('retest.record', twice)).toMatchObject({ ok: false, problem: { code: 'moved-on' } });
    const other = { ...again, segmentId: await idOf('full'), supersedes: { testId: last.id, reason: 'mistaken' } };
    expect(await fleet.core.send('retest.record', other)).toMatchObject({ ok: false, problem: { code: 'bad-input' } });
  });

  test('is refused with a reason: a phase the cable lacks, a day to come, a phase given twice, a splice past the end', async () => {
    const segmentId = await idOf('full');
    const refused = async (input: object) => {
      const base = { segmentId, testedOn: today, readings: readings([1, 2, 3]), ...conditions };
      const reply = await fleet.core.send('retest.record', { ...base, ...input } as never);
      return reply.ok ? 'recorded' : reply.problem.message;
    };
    expect(await refused({ testedOn: '2025-11-26' })).toBe('2025-11-26 is still to come.');
    const [one] = readings([1, 2, 3]);
    expect(await refused({ readings: [one, one] })).toContain('given twice');
    expect(await refused({ segmentId: await idOf('retired') })).toContain('was retired on 2020-01-01');
    const past = await fleet.core.send('retest.recordIntervention', {
      segmentId,
      doneOn: today,
      kind: 'splice_added',
      splice: { positionM: 500, phase: null, kind: null },
    });
    expect(past).toMatchObject({ ok: false, problem: { code: 'bad-input', where: 'splice.positionM' } });
  });
});

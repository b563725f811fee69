import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import type { Finding } from '../../core/contract/asks/findings.ts';
import type { SegmentId } from '../../core/contract/ids.ts';
import { aCore, type TestCore } from './a-core.ts';

// No outside source: the claims are ours. The utility is invented, and the faults are put in at known places.

let utility: TestCore;
let t: TestCore;
beforeAll(async () => {
  utility = await aCore();
  await utility.ask('demo.write', { segments: 90, seed: 3 });
});
afterAll(() => utility.close());
let copies = 0;
beforeEach(async () => {
  const file = join(utility.folder, `copy-${++copies}.fleet`);
  await utility.ask('fleet.backup', { out: file });
  t = await aCore({ file });
});
afterEach(() => t.close());

const header =
  'test_id,segment_id,tested_on,phase,method,purpose,voltage_kv,dwell_min,leakage,leakage_unit,insulation_temp_c';

interface Taken {
  readonly id: string;
  readonly on: string;
  readonly leakageUa: readonly number[];
  readonly unit?: string;
  readonly tempC?: number | string;
}

/** A segment with a good record, and what its last test read. */
async function aSegment(): Promise<{ id: SegmentId; ownerId: string; kv: number; ua: number[]; on: string }> {
  const { rows } = await t.ask('ranking.page', { count: 40, order: 'tests' });
  for (const row of rows) {
    const page = await t.ask('segment.page', { segmentId: row.id });
    const last = page.tests[0]!;
    const ua = last.readings.map((reading) => reading.leakageUa);
    if (page.interventions.length > 0 || page.retiredOn !== null || ua.length !== 3 || ua.some((x) => x < 2)) continue;
    if (last.method !== 'dc_withstand' || last.readings.some((r) => r.use !== 'used')) continue;
    return { id: row.id, ownerId: page.ownerId, kv: last.readings[0]!.voltageKv, ua, on: last.testedOn };
  }
  throw new Error('no segment of the demo will do');
}

async function addTests(segment: { ownerId: string; kv: number }, tests: readonly Taken[]): Promise<void> {
  const file = join(t.folder, `${tests.map((one) => one.id).join('-')}.csv`);
  const lines = tests.flatMap(({ id, on, leakageUa, unit = 'uA', tempC = '' }) =>
    leakageUa.map(
      (ua, p) =>
        `${id},${segment.ownerId},${on},${'ABC'[p]},dc_withstand,maintenance,${segment.kv},15,${ua},${unit},${tempC}`,
    ),
  );
  writeFileSync(file, `${header}\n${lines.join('\n')}\n`);
  await t.ask('fleet.import', { paths: [file] });
}

const findingOn = async (test: string, kind: string): Promise<Finding> => {
  const { findings } = await t.ask('findings.list', {});
  return findings.find((finding) => finding.testOwnerId === test && finding.kind === kind)!;
};

async function standing(id: SegmentId) {
  const page = await t.ask('segment.page', { segmentId: id });
  if (!page.standing.known) throw new Error(page.standing.because);
  return { page, growth: page.standing.growthPctPerYr.value, rank: page.standing.rank };
}

test('a slip is repaired while nobody judges it, stands as written once dismissed, and is repaired again once accepted; the list foretold both', async () => {
  const segment = await aSegment();
  await addTests(segment, [{ id: 'SLIP', on: '2026-06-01', leakageUa: segment.ua, unit: 'mA' }]);
  const open = await standing(segment.id);
  const finding = await findingOn('SLIP', 'unit slip');
  expect(finding.untilJudged).toContain('takes it times 0.001');
  expect(finding.places!.now!.growthPctPerYr).toBeCloseTo(open.growth, 6);
  expect(finding.places!.now!.rank).toBe(open.rank);

  await t.ask('finding.decide', {
    keys: [finding.key],
    verdict: 'dismissed',
    reason: 'the cable was wet and it was mA',
  });
  const dismissed = await standing(segment.id);
  expect(dismissed.growth).toBeGreaterThan(open.growth + 20);
  // Foretold with the fleet's spreads held: a fleet that must hold such a growth lets it come out faster still.
  expect(finding.places!.dismissed!.growthPctPerYr).toBeGreaterThan(100);
  expect(finding.places!.dismissed!.growthPctPerYr).toBeLessThan(dismissed.growth);
  expect(finding.ranking).toMatch(/accepted: the same; dismissed: growth over \d+ % a year, place 1 of/);
  expect(dismissed.rank).toBe(finding.places!.dismissed!.rank);
  expect(dismissed.page.tests[0]!.readings.map((r) => r.use)).toEqual(['used', 'used', 'used']);
  expect(dismissed.page.verdicts).toMatchObject([
    { kind: 'unit slip', verdict: 'dismissed', who: 'Ada Thornbury', on: '2026-06-30', testedOn: '2026-06-01' },
  ]);
  const still = await findingOn('SLIP', 'unit slip');
  expect(still.verdict).toMatchObject({ verdict: 'dismissed', who: 'Ada Thornbury', changesNumbers: true });

  await t.ask('finding.decide', { keys: [finding.key], verdict: 'accepted', reason: 'the crew says it was µA' });
  const accepted = await standing(segment.id);
  expect(accepted.growth).toBeCloseTo(open.growth, 1);
  expect(accepted.page.tests[0]!.readings.map((r) => r.use)).toEqual(Array(3).fill('repaired ×0.001'));
  expect(accepted.page.verdicts).toMatchObject([{ verdict: 'accepted', does: { do: 'multiply' } }]);
  expect((await t.ask('evidence.verify', {})).intact).toBe(true);
});

test('backtest and ranking see a verdict alike, and the standings kept before it are not taken up', async () => {
  const segment = await aSegment();
  await addTests(segment, [{ id: 'SLIP', on: '2026-06-01', leakageUa: segment.ua, unit: 'mA' }]);
  const before = await t.ask('ranking.list', {});
  const expectedBefore = await t.ask('method.backtest', {});
  const { key } = await findingOn('SLIP', 'unit slip');
  await t.ask('finding.decide', { keys: [key], verdict: 'dismissed', reason: 'it was mA' });
  const after = await t.ask('ranking.list', {});
  expect(after.fit.repairedReadings).toBe(before.fit.repairedReadings - 3);
  expect(after.fit.criterion).not.toBe(before.fit.criterion);
  expect(await t.ask('method.backtest', {})).not.toEqual(expectedBefore);
});

test('a duplicate counts once until it is dismissed, and as two tests after that', async () => {
  const segment = await aSegment();
  const ua = segment.ua.map((x) => x * 1.1);
  await addTests(segment, [
    { id: 'FIRST', on: '2026-06-01', leakageUa: ua },
    { id: 'AGAIN', on: '2026-06-02', leakageUa: ua },
  ]);
  const testsNow = async () => (await standing(segment.id)).page.standing as { tests: number };
  const once = (await testsNow()).tests;
  const { key, untilJudged } = await findingOn('AGAIN', 'duplicate');
  expect(untilJudged).toContain('counts the test once');
  await t.ask('finding.decide', { keys: [key], verdict: 'dismissed', reason: 'two tests indeed' });
  expect((await testsNow()).tests).toBe(once + 1);
  await t.ask('finding.decide', { keys: [key], verdict: 'accepted', reason: 'typed twice' });
  expect((await testsNow()).tests).toBe(once);
});

test('a temperature that no cable has counts as unknown, and is used as written when the finding is dismissed', async () => {
  const segment = await aSegment();
  await addTests(segment, [{ id: 'HOT', on: '2026-06-01', leakageUa: segment.ua, tempC: 130 }]);
  const rules = async () =>
    (await t.ask('ranking.list', {})).fit.estimates
      .filter(({ name }) => name.startsWith('temperature'))
      .map((e) => e.value);
  const unknown = await rules();
  const { key, untilJudged } = await findingOn('HOT', 'temperature');
  expect(untilJudged).toContain('unknown');
  await t.ask('finding.decide', { keys: [key], verdict: 'accepted', reason: 'a typing error' });
  expect(await rules()).toEqual(unknown);
  // A test at 130 °C tells the fleet how its cables bear heat, and more than all others do.
  await t.ask('finding.decide', { keys: [key], verdict: 'dismissed', reason: 'a heated sample' });
  const asWritten = await rules();
  expect(Math.max(...asWritten.map((perC, i) => Math.abs(perC - unknown[i]!)))).toBeGreaterThan(0.5);
});

test('findings judged together with one reason make one ledger line, and the table of all findings says so', async () => {
  const segment = await aSegment();
  await addTests(segment, [
    { id: 'SLIP', on: '2026-06-01', leakageUa: segment.ua, unit: 'mA' },
    { id: 'HOT', on: '2026-06-10', leakageUa: segment.ua, tempC: 130 },
  ]);
  const slip = await findingOn('SLIP', 'unit slip');
  const hot = await findingOn('HOT', 'temperature');
  const before = (await t.ask('fleet.info', {})).revision;
  const answer = await t.ask('finding.decide', {
    keys: [slip.key, hot.key],
    verdict: 'accepted',
    reason: 'seen on the paper sheets',
  });
  expect(answer).toEqual({ revision: before + 1, changing: 2 });
  const csv = join(t.folder, 'findings.csv');
  await t.ask('findings.list', { csv });
  const lines = readFileSync(csv, 'utf8').trim().split('\n');
  expect(lines[0]).toMatch(/^kind,certainty,segment_id,test_id,/);
  expect(
    lines.filter((line) => line.includes('accepted,seen on the paper sheets,Ada Thornbury,2026-06-30')),
  ).toHaveLength(2);
  await expect(
    t.ask('finding.decide', { keys: [slip.key, hot.key], verdict: 'accepted', reason: 'seen on the paper sheets' }),
  ).rejects.toThrow(/already given/);
  expect((await t.ask('evidence.verify', {})).intact).toBe(true);
});

test('a verdict on what is not seen is kept for the record and changes no number', async () => {
  const answer = await t.ask('finding.decide', {
    keys: ['unit slip · nowhere'],
    verdict: 'accepted',
    reason: 'for the record',
  });
  expect(answer.changing).toBe(0);
});

import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { AskName, InputOf, OutputOf } from '../../core/contract/asks/index.ts';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';

const folder = mkdtempSync(join(tmpdir(), 'superseded-'));
const now = () => '2026-03-01T09:00:00.000Z';
const testedOn = '2025-11-20';
/** One fleet with a test written wrong and corrected, one in which it was right at once, one without it. */
let corrected: Core;
let plain: Core;
let without: Core;
let segment: OutputOf<'segment.page'>;
let oldId: string;
let newId: string;

async function got<N extends AskName>(core: Core, name: N, input: InputOf<N>) {
  const reply = await core.send(name, input);
  if (!reply.ok) throw new Error(`${name}: ${reply.problem.message}`);
  return reply.value;
}
const inFile = (sql: string, ...values: unknown[]): Record<string, unknown>[] => {
  const db = new Database(join(folder, 'corrected.fleet'), { readonly: true });
  const found = db.prepare(sql).all(...values) as Record<string, unknown>[];
  db.close();
  return found;
};
const theTest = (leakageUa: number): InputOf<'retest.record'> => ({
  segmentId: segment.id,
  testedOn,
  insulationTempC: 12,
  instrumentId: null,
  crew: 'West',
  readings: (['A', 'B', 'C'] as const).map((phase) => ({
    phase,
    voltageKv: 20,
    dwellMin: 15,
    leakage: leakageUa,
    leakageUnit: 'uA' as const,
    outcome: 'withstood' as const,
  })),
});
const ownName = () => `${segment.ownerId}/${testedOn}`;
const standing = async (core: Core) => {
  const { standing: found } = await got(core, 'segment.page', { segmentId: segment.id });
  if (!found.known) throw new Error(found.because);
  return found;
};

beforeAll(async () => {
  const make = async (name: string) => {
    const core = await openCore(join(folder, name), { migrations, now, who: 'Ada Approver', create: true });
    await got(core, 'demo.write', { segments: 80, seed: 3, lastTestYear: 2024 });
    return core;
  };
  corrected = await make('corrected.fleet');
  plain = await make('plain.fleet');
  without = await make('without.fleet');
  const { rows } = await got(corrected, 'ranking.page', { count: 40, order: 'tests' });
  for (const { id } of rows) {
    segment = await got(corrected, 'segment.page', { segmentId: id });
    if (segment.phases === 'ABC' && segment.retiredOn === null && segment.insulation === 'PILC') break;
  }
  oldId = (await got(corrected, 'retest.record', theTest(777.7))).id;
  const supersedes = { testId: oldId as never, reason: 'read off the wrong range' };
  newId = (await got(corrected, 'retest.record', { ...theTest(40.4), supersedes })).id;
  await got(plain, 'retest.record', theTest(40.4));
});
afterAll(() => {
  for (const core of [corrected, plain, without]) core.close();
  rmSync(folder, { recursive: true, force: true });
});

test('nothing of a test that a correction replaced is lost', async () => {
  const events = inFile(
    `select e.id, e.owner_id, e.superseded_by_id, r.phase, r.leakage_ua from test_event e join reading r
       on r.test_event_id = e.id where e.owner_id = ? order by e.id, r.phase`,
    ownName(),
  );
  expect(events.map((row) => [row.id, row.superseded_by_id, row.leakage_ua])).toEqual([
    ...Array.from({ length: 3 }, () => [oldId, newId, 777.7]),
    ...Array.from({ length: 3 }, () => [newId, null, 40.4]),
  ]);
  expect(await got(corrected, 'evidence.verify', {})).toMatchObject({ intact: true });
});

test('growth, level and count of tests are those of a fleet in which it was right at once', async () => {
  const now = await standing(corrected);
  const as = await standing(plain);
  const before = await standing(without);
  expect(now.tests).toBe(before.tests + 1);
  expect(now.growthPctPerYr.value).toBeCloseTo(as.growthPctPerYr.value, 6);
  expect(now.levelNsPerKm.value).toBeCloseTo(as.levelNsPerKm.value, 6);
  expect(now.rank).toBe(as.rank);
  expect(Math.abs(now.growthPctPerYr.value - before.growthPctPerYr.value)).toBeGreaterThan(1e-3);
  const page = await got(corrected, 'segment.page', { segmentId: segment.id });
  expect(page.tests.filter((one) => one.testedOn === testedOn).map((one) => one.id)).toEqual([newId]);
  const counts = async (core: Core) => (await got(core, 'fleet.info', {})).counts;
  expect(await counts(corrected)).toEqual(await counts(plain));
});

test('the evidence names it as superseded, by what, by whom and why; the register counts the day once', async () => {
  const old = await got(corrected, 'ledger.ofRecord', { entity: 'test_event', id: oldId });
  expect(old.supersededBy).toMatchObject({ id: newId });
  expect(old.supersedes).toBeNull();
  expect(old.versions).toMatchObject([{ what: 'record test', who: 'Ada Approver' }]);
  const correction = await got(corrected, 'ledger.ofRecord', { entity: 'test_event', id: newId });
  expect(correction.supersedes).toMatchObject({ id: oldId });
  expect(correction.supersededBy).toBeNull();
  expect(correction.versions).toMatchObject([{ what: 'correct test', why: 'read off the wrong range' }]);
  const { entries } = await got(corrected, 'ledger.page', { count: 2 });
  expect(entries.map((line) => [line.what, line.changesTotal])).toEqual([
    ['correct test', 1],
    ['record test', 0],
  ]);
  expect(entries[0]!.changes).toMatchObject([{ id: newId, name: expect.stringMatching(/, superseded$/) }]);
  expect(entries[0]!.changes[0]!.fields).toEqual(
    ['A', 'B', 'C'].flatMap((phase) =>
      ['leakage_ua', 'leakage_typed'].map((column) => ({
        field: `${phase} step 0, ${column}`,
        before: 777.7,
        after: 40.4,
      })),
    ),
  );
  const period = { from: '2025-01-01', to: '2025-12-31', count: 1000 };
  const { rows } = await got(corrected, 'evidence.compliance', period);
  expect(rows.filter((row) => row.testOwnerId === ownName())).toMatchObject([{ doneOn: testedOn }]);
  const as = await got(plain, 'evidence.compliance', period);
  expect(rows.map((row) => [row.segmentOwnerId, row.dueOn, row.doneOn, row.status])).toEqual(
    as.rows.map((row) => [row.segmentOwnerId, row.dueOn, row.doneOn, row.status]),
  );
});

test('the bag holds both as they were sealed, and among the records only the one in force', async () => {
  const out = join(folder, 'bag');
  await got(corrected, 'evidence.bag', { from: '2025-01-01', to: '2025-12-31', out });
  const sealed = readFileSync(join(out, 'data/test-digests.jsonl'), 'utf8').trimEnd().split('\n');
  const own = sealed.filter((line) => line.includes(`"${ownName()}"`));
  expect(own).toHaveLength(2);
  expect(own.filter((line) => line.includes(`"${oldId}"`))).toHaveLength(2);
  const records = readFileSync(join(out, 'data/records/tests.csv'), 'utf8').split('\n');
  const held = records.filter((line) => line.startsWith(`${ownName()},`));
  expect(held).toHaveLength(3);
  for (const line of held) expect(line).not.toContain('777.7');
  expect(await got(corrected, 'evidence.verify', { path: out })).toMatchObject({ intact: true });
});

import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { AskName, InputOf } from '../../core/contract/asks/index.ts';
import { type Core, openCore } from '../../core/index.ts';
import { openFleet } from '../../core/store/open.ts';
import { changing } from '../../core/tasks/change.ts';
import { migrations } from '../../migrations/index.ts';

// The first release kept a verdict on a finding as a word for the record; that it changes the numbers came with 0006.
const before0006 = Object.fromEntries(Object.entries(migrations).filter(([name]) => name < '0006'));

const folder = mkdtempSync(join(tmpdir(), 'first-verdicts-'));
const now = () => '2026-06-30T12:00:00.000Z';
const file = join(folder, 'old.fleet');
let old: Core | undefined;
let twin: Core;

const open = (path: string, known = migrations) =>
  openCore(path, { migrations: known, now, who: 'Ada Thornbury', create: true });
async function got<N extends AskName>(core: Core, name: N, input: InputOf<N>) {
  const reply = await core.send(name, input);
  if (!reply.ok) throw new Error(`${name}: ${reply.problem.message}`);
  return reply.value;
}

/** The last test of a well tested segment once more, entered in milliamperes. */
async function slipFile(): Promise<string> {
  for (const { id } of (await got(twin, 'ranking.page', { count: 40, order: 'tests' })).rows) {
    const page = await got(twin, 'segment.page', { segmentId: id });
    const { readings, method } = page.tests[0]!;
    const plain = readings.length === 3 && readings.every((one) => one.use === 'used' && one.leakageUa > 2);
    if (page.interventions.length > 0 || page.retiredOn !== null || method !== 'dc_withstand' || !plain) continue;
    const header = 'test_id,segment_id,tested_on,phase,method,purpose,voltage_kv,dwell_min,leakage,leakage_unit';
    const lines = readings.map(
      ({ phase, voltageKv, leakageUa }) =>
        `SLIP,${page.ownerId},2026-06-01,${phase},${method},maintenance,${voltageKv},15,${leakageUa},mA`,
    );
    const slip = join(folder, 'slip.csv');
    writeFileSync(slip, `${[header, ...lines].join('\n')}\n`);
    return slip;
  }
  throw new Error('no segment of the demo will do');
}

const rows = async (table: 'finding_verdict' | 'ledger', known = migrations) => {
  const fleet = await openFleet(file, { migrations: known });
  const all = fleet.raw.prepare(`select * from ${table} order by 1`).all();
  fleet.raw.close();
  return all;
};
const ranking = async (core: Core) => {
  const { rows, fit } = await got(core, 'ranking.list', {});
  return { rows, criterion: fit.criterion, repaired: fit.repairedReadings };
};

beforeAll(async () => {
  twin = await open(join(folder, 'twin.fleet'));
  await got(twin, 'demo.write', { segments: 90, seed: 3 });
  const paths = [await slipFile()];
  await got(twin, 'fleet.import', { paths });
  const first = await open(file, before0006);
  await got(first, 'demo.write', { segments: 90, seed: 3 });
  await got(first, 'fleet.import', { paths });
  first.close();
});
afterAll(() => {
  old?.close();
  twin.close();
  rmSync(folder, { recursive: true, force: true });
});

test('a verdict of the first release is kept as it was, changes no number, says so, and given again it counts', async () => {
  const slip = (await got(twin, 'findings.list', {})).findings.find((one) => one.testOwnerId === 'SLIP')!;
  expect(slip.kind).toBe('unit slip');
  const fleet = await openFleet(file, { migrations: before0006 });
  const desk = {
    fleet,
    file,
    now,
    who: 'Ada Thornbury',
    day: () => '2026-06-30',
    blankFleet: () => openFleet(':memory:', { migrations, create: true }),
    progress: () => {},
    checkStop: () => {},
    whenIdle: () => {},
  };
  const row = { finding_key: slip.key, verdict: 'dismissed', reason: 'the cable was wet and it was mA' };
  changing(desk, (change) => {
    const id = change.add('finding_verdict', row);
    change.seal(
      { what: 'dismiss finding', why: row.reason },
      { entity: 'finding_verdict', id, before: null, after: row },
    );
  });
  expect(fleet.raw.prepare("select 1 from sqlite_schema where name = 'treatment'").get()).toBeUndefined();
  fleet.raw.close();
  const written = { verdicts: await rows('finding_verdict', before0006), ledger: await rows('ledger', before0006) };
  expect(written.verdicts).toHaveLength(1);

  const upgraded = await open(file);
  old = upgraded;
  expect(await rows('finding_verdict')).toEqual(written.verdicts);
  expect(await rows('ledger')).toEqual(written.ledger);
  expect(await got(upgraded, 'evidence.verify', {})).toMatchObject({
    intact: true,
    checked: { records: expect.any(Number) },
  });
  const shown = async () => (await got(upgraded, 'findings.list', {})).findings.find((one) => one.key === slip.key)!;
  expect((await shown()).verdict).toEqual({
    verdict: 'dismissed',
    reason: row.reason,
    who: 'Ada Thornbury',
    on: '2026-06-30',
    changesNumbers: false,
  });
  const asIfUnjudged = await ranking(twin);
  expect(await ranking(upgraded)).toEqual(asIfUnjudged);

  const again = await got(upgraded, 'finding.decide', { keys: [slip.key], verdict: 'dismissed', reason: row.reason });
  expect(again.changing).toBe(1);
  expect((await shown()).verdict).toMatchObject({ verdict: 'dismissed', changesNumbers: true });
  expect((await ranking(upgraded)).repaired).toBe(asIfUnjudged.repaired - 3);
  const id = (written.verdicts[0] as { id: string }).id;
  const { versions } = await got(upgraded, 'ledger.ofRecord', { entity: 'finding_verdict', id });
  expect(versions.map((version) => version.what)).toEqual(['dismiss finding', 'dismiss finding']);
  expect(await got(upgraded, 'evidence.verify', {})).toMatchObject({ intact: true });
});

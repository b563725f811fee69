import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { OutputOf } from '../../core/contract/asks/index.ts';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';
import { aCore, type TestCore } from './a-core.ts';

let t: TestCore;
/** Another window on the same file, open all the while. */
let watcher: Core;
const open = () =>
  openCore(t.file, { migrations, now: () => '2026-06-30T12:00:00.000Z', who: 'watcher', readOnly: true });

async function infoOf(core: Core): Promise<OutputOf<'fleet.info'>> {
  const reply = await core.send('fleet.info', {});
  if (!reply.ok) throw new Error(reply.problem.message);
  return reply.value;
}

/** Counted by a window that has counted nothing before. */
async function afresh(): Promise<OutputOf<'fleet.info'>> {
  const core = await open();
  const info = await infoOf(core);
  core.close();
  return info;
}

beforeAll(async () => {
  t = await aCore();
  await t.ask('demo.write', { segments: 60 });
  watcher = await open();
});
afterAll(() => {
  watcher.close();
  t.close();
});

const head = 'test_id,segment_id,tested_on,phase,method,purpose,voltage_kv,dwell_min,leakage,leakage_unit';
async function takeIn(...rows: string[]): Promise<void> {
  const file = join(t.folder, 'tests.csv');
  writeFileSync(file, `${[head, ...rows].join('\n')}\n`);
  await t.ask('fleet.import', { paths: [file] });
}

test('a window that counts on from what it knew says what one says that counts anew: after new tests and after a correction', async () => {
  const { rows } = await t.ask('ranking.page', { count: 1 });
  const segment = rows[0]!.ownerId;
  const first = await infoOf(watcher);
  expect(first.counts.readings).toBeGreaterThan(100);

  const row = (id: string, on: string, phase: string, leakage: number) =>
    `${id},${segment},${on},${phase},dc_withstand,maintenance,20,15,${leakage},uA`;
  await takeIn(
    row('LATE', '2026-06-01', 'A', 3),
    row('LATE', '2026-06-01', 'B', 4),
    row('EARLY', '1990-02-03', 'A', 1),
  );
  const more = await infoOf(watcher);
  expect(more).toEqual(await afresh());
  expect(more.counts.testEvents).toBe(first.counts.testEvents + 2);
  expect(more.counts.readings).toBe(first.counts.readings + 3);
  expect([more.firstTestOn, more.lastTestOn]).toEqual(['1990-02-03', '2026-06-01']);

  // The last day was a slip of the pen: the test that stands was done a month before.
  await takeIn(row('LATE', '2026-05-01', 'A', 3), row('LATE', '2026-05-01', 'B', 4));
  const corrected = await infoOf(watcher);
  expect(corrected).toEqual(await afresh());
  expect(corrected.lastTestOn).toBe('2026-05-01');
  expect(corrected.counts.testEvents).toBe(more.counts.testEvents);
  expect(corrected.counts.readings).toBe(more.counts.readings);
});

test('with the ranking the counts are kept in the file, hold as long as nothing changes, and disturb no proof', async () => {
  await t.ask('ranking.make', {});
  const kept = await afresh();
  expect(kept).toEqual({ ...(await t.ask('fleet.info', {})), readOnly: true });
  expect((await t.ask('evidence.verify', {})).intact).toBe(true);
  await takeIn(
    `NEXT,${(await t.ask('ranking.page', { count: 1 })).rows[0]!.ownerId},2026-06-02,A,dc_withstand,maintenance,20,15,3,uA`,
  );
  expect((await afresh()).counts.readings).toBe(kept.counts.readings + 1);
});

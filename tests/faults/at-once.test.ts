import Database from 'better-sqlite3';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openCore } from '../../core/index.ts';
import { openPool, type Pool } from '../../electron/pool.ts';
import { migrations } from '../../migrations/index.ts';
import { makeSmallFleet, temporaryFolder } from '../hosts/small-fleet.ts';

// While one writes: others read what was there before, at once; a backup is of one moment; a second writer is told why not.
const home = temporaryFolder('at-once');
const now = () => '2025-06-01T08:00:00.000Z';
let file: string;
let pool: Pool;

beforeAll(async () => {
  file = await makeSmallFleet(home.file('busy.fleet'), home.file('small'));
  const core = await openCore(home.file('large.fleet'), { migrations, now, who: 'x', create: true });
  for (const reply of [
    await core.send('demo.write', { segments: 800 }),
    await core.send('fleet.export', { out: home.file('large') }),
  ])
    if (!reply.ok) throw new Error(reply.problem.message);
  core.close();
  pool = await openPool(file, { who: 'crew lead' });
});
afterAll(async () => {
  await pool?.close();
  home.clear();
});

const revisionIn = (path: string) => {
  const db = new Database(path, { readonly: true });
  const revision = db.prepare('select max(seq) from ledger').pluck().get() as number;
  db.close();
  return revision;
};

test('during an import, questions are answered from before it and do not wait; a backup holds one moment and verifies', async () => {
  const before = await pool.send('fleet.info', {});
  if (!before.ok) throw new Error(before.problem.message);
  // Answered behind all that the reader reads into memory at first.
  expect(await pool.send('fleet.tree', { under: null })).toMatchObject({ ok: true });
  let done = false;
  let began = () => {};
  const reading = new Promise<void>((resolve) => {
    began = resolve;
  });
  const importing = pool
    .send('fleet.import', { paths: [home.file('large')] }, { onProgress: () => began() })
    .finally(() => {
      done = true;
    });
  await Promise.race([reading, importing]);
  const backup = pool.send('fleet.backup', { out: home.file('backup.fleet') });
  let answered = 0;
  let seenNew: unknown;
  while (!done) {
    const info = await pool.send('fleet.info', {});
    if (!info.ok) throw new Error(info.problem.message);
    // The import may have ended just now: then all of it is there, never a part.
    if (info.value.revision === before.value.revision) {
      expect(info.value.counts).toEqual(before.value.counts);
      if (!done) answered++;
    } else seenNew = info.value.counts;
  }
  expect(await importing).toMatchObject({ ok: true, value: { committed: true } });
  // Had they waited for the import, none would have been answered before it ended.
  expect(answered).toBeGreaterThan(3);
  const after = await pool.send('fleet.info', {});
  expect(after).toMatchObject({ ok: true, value: { revision: before.value.revision + 1 } });
  if (seenNew && after.ok) expect(seenNew).toEqual(after.value.counts);
  expect(await backup).toMatchObject({ ok: true });
  expect([before.value.revision, before.value.revision + 1]).toContain(revisionIn(home.file('backup.fleet')));
  expect(await pool.send('evidence.verify', { path: home.file('backup.fleet') })).toMatchObject({
    ok: true,
    value: { intact: true },
  });
});

test('a file that another program holds for writing is refused in words, and nothing is changed; a reader goes on', async () => {
  const revision = revisionIn(file);
  const other = new Database(file);
  other.exec('begin immediate');
  const wish = { keys: ['k'], verdict: 'dismissed' as const, reason: 'seen in the field' };
  const refused = await pool.send('finding.decide', wish);
  expect(refused).toMatchObject({
    ok: false,
    problem: { code: 'in-use', message: expect.stringContaining('Another program') },
  });
  expect(await pool.send('fleet.find', { text: 'weir' })).toMatchObject({ ok: true });
  other.exec('rollback');
  other.close();
  expect(revisionIn(file)).toBe(revision);
  expect(await pool.send('fleet.info', {})).toMatchObject({ ok: true, value: { revision } });
});

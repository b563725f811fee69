import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { CoreThread } from '../../electron/core-thread.ts';
import { openPool, type Pool } from '../../electron/pool.ts';
import { slowLog } from '../../electron/slow-log.ts';
import { makeSmallFleet, temporaryFolder, writeSmallFolder } from './small-fleet.ts';

const home = temporaryFolder('pool');
let fleet: string;
let pool: Pool;
const heard: number[] = [];
beforeAll(async () => {
  fleet = await makeSmallFleet(home.file('pool.fleet'), home.file('folder'));
  pool = await openPool(fleet, { who: 'asset manager', onChanged: (revision) => heard.push(revision) });
});
afterAll(async () => {
  await pool?.close();
  home.clear();
});

const decide = (reason: string) => pool.send('finding.decide', { keys: ['k'], verdict: 'accepted', reason });

describe('a fleet in worker threads', () => {
  test('tells of each change once, with the revision that rose', async () => {
    await pool.send('fleet.tree', { under: null });
    expect(heard).toEqual([]);
    expect(await decide('as the crew said')).toMatchObject({ ok: true });
    expect(heard).toEqual([2]);
  });

  test('does writes one after another, in the order they were asked', async () => {
    const replies = await Promise.all(['one more', 'two more', 'three more'].map(decide));
    const revisions = replies.map((reply) => reply.ok && reply.value.revision);
    expect(revisions).toEqual([3, 4, 5]);
  });

  test('reads the state after a write that was answered', async () => {
    const before = await pool.send('fleet.info', {});
    await decide('and once more');
    const after = await pool.send('fleet.info', {});
    if (!before.ok || !after.ok) throw new Error('not answered');
    expect(after.value.revision).toBe(before.value.revision + 1);
  });

  test('a cancelled write leaves nothing, and the next one is done', async () => {
    writeSmallFolder(home.file('second'));
    const control = new AbortController();
    control.abort();
    const input = { paths: [home.file('second')] };
    expect(await pool.send('fleet.import', input, { signal: control.signal })).toMatchObject({
      ok: false,
      problem: { code: 'cancelled' },
    });
    expect(await pool.send('fleet.import', input)).toMatchObject({ ok: true, value: { changes: 0 } });
  });

  test('a queued ask that is cancelled never runs', async () => {
    const control = new AbortController();
    const first = decide('the running one');
    const second = pool.send(
      'finding.decide',
      { keys: ['k'], verdict: 'dismissed', reason: 'the queued one' },
      { signal: control.signal },
    );
    control.abort();
    expect(await second).toMatchObject({ ok: false, problem: { code: 'cancelled' } });
    expect(await first).toMatchObject({ ok: true });
  });

  test('an ask after closing is refused, not lost', async () => {
    const short = await openPool(fleet, { who: 'auditor', readOnly: true });
    await short.close();
    expect(await short.send('fleet.info', {})).toMatchObject({ ok: false, problem: { code: 'fault' } });
  });

  test('a missing file is refused in words, and no lock is left behind', async () => {
    await expect(openPool(home.file('none.fleet'), { who: 'x' })).rejects.toThrow('There is no fleet file');
    const made = await openPool(home.file('none.fleet'), { who: 'x', create: true });
    expect(await made.send('fleet.info', {})).toMatchObject({ ok: true, value: { counts: { segments: 0 } } });
    await made.close();
  });
});

test('slow asks are noted by name and time, never with what was asked; a folder that can’t be made costs nothing', () => {
  const note = slowLog(home.file('notes'));
  note('fleet.find', 41.6);
  note('fleet.tree', 1234);
  expect(readFileSync(home.file('notes/slow-asks.log'), 'utf8')).toMatch(
    /^\S+Z fleet\.find 42 ms\n\S+Z fleet\.tree 1234 ms\n$/,
  );
  slowLog(`${fleet}/not-a-folder`)('fleet.find', 50);
});

describe('a thread that dies', () => {
  test('its ask ends with the problem "fault", and the next one is answered by a new thread', async () => {
    const thread = new CoreThread({ file: fleet, who: 'x', readOnly: true, create: false });
    await thread.open();
    const lost = thread.ask('fleet.info', {});
    await thread.kill();
    expect(await lost).toMatchObject({
      ok: false,
      problem: { code: 'fault', message: expect.stringContaining('started again') },
    });
    expect(await thread.ask('fleet.info', {})).toMatchObject({ ok: true });
    await thread.close();
  });

  test('one that keeps dying is not started for ever', async () => {
    const thread = new CoreThread({ file: fleet, who: 'x', readOnly: true, create: false });
    for (let n = 0; n < 4; n++) {
      await thread.open();
      await thread.kill();
    }
    expect(await thread.ask('fleet.info', {})).toMatchObject({
      ok: false,
      problem: { code: 'fault', message: expect.stringContaining('keeps failing') },
    });
    await thread.close();
  });
});

import { spawn, spawnSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { hostname } from 'node:os';
import { basename, dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { Refusal } from '../../core/contract/problem.ts';
import { holderOf, lockFileOf, takeLock } from '../../electron/lock.ts';
import { openPool } from '../../electron/pool.ts';
import { makeSmallFleet, temporaryFolder } from './small-fleet.ts';

const home = temporaryFolder('lock');
const at = '2025-06-01T08:00:00.000Z';
let fleet: string;
beforeAll(async () => {
  fleet = await makeSmallFleet(home.file('locked.fleet'), home.file('folder'));
});
afterAll(home.clear);

const refusal = (work: () => unknown): Refusal => {
  try {
    work();
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error('was not refused');
};

/** A process that has ended: its number belongs to nobody. */
const deadPid = () => spawnSync(process.execPath, ['-e', '']).pid!;

describe('one writer', () => {
  test('a second one is refused with who has it, where and since when', () => {
    const lock = takeLock(fleet, 'Ada', at);
    const { problem } = refusal(() => takeLock(fleet, 'Ben', at));
    expect(problem.code).toBe('in-use');
    expect(problem.message).toContain('Ada');
    expect(problem.message).toContain(String(process.pid));
    expect(problem.message).toContain('on this computer');
    expect(problem.message).toContain('read-only');
    lock.release();
    takeLock(fleet, 'Ben', at).release();
    expect(existsSync(lockFileOf(fleet))).toBe(false);
  });

  test('the lock file tells pid, host, since and who in plain JSON', () => {
    const lock = takeLock(fleet, 'Ada', at);
    expect(JSON.parse(readFileSync(lockFileOf(fleet), 'utf8'))).toMatchObject({
      pid: process.pid,
      host: hostname(),
      since: at,
      who: 'Ada',
    });
    expect(holderOf(fleet)).toMatchObject({ who: 'Ada' });
    lock.release();
    expect(holderOf(fleet)).toBeNull();
  });

  test('the lock of a process that ended is taken over', () => {
    writeFileSync(
      lockFileOf(fleet),
      JSON.stringify({ pid: deadPid(), host: hostname(), began: null, since: at, who: 'Ada' }),
    );
    expect(holderOf(fleet)).toBeNull();
    takeLock(fleet, 'Ben', at).release();
  });

  test.runIf(process.platform === 'linux')('a living process that only has the same number is not the holder', () => {
    writeFileSync(
      lockFileOf(fleet),
      JSON.stringify({ pid: process.pid, host: hostname(), began: '1', since: at, who: 'Ada' }),
    );
    takeLock(fleet, 'Ben', at).release();
  });

  test('the lock of another computer is never taken; the words say what to delete if it is gone', () => {
    const file = lockFileOf(fleet);
    writeFileSync(file, JSON.stringify({ pid: deadPid(), host: 'another-desk', began: null, since: at, who: 'Ada' }));
    const { problem } = refusal(() => takeLock(fleet, 'Ben', at));
    expect(problem.message).toContain('another-desk');
    expect(problem.message).toContain(`delete ${file}`);
    writeFileSync(file, 'torn');
    expect(refusal(() => takeLock(fleet, 'Ben', at)).problem.message).toContain('cannot be read');
    spawnSync('rm', [file]);
  });

  test('is never seen half written, and leaves no other file behind', async () => {
    const script = `import { takeLock } from ${JSON.stringify(join(import.meta.dirname, '../../electron/lock.ts'))};
      for (let i = 0; i < 400; i++) takeLock(${JSON.stringify(fleet)}, 'Ada', '${at}').release();`;
    const child = spawn(process.execPath, ['--input-type=module', '-e', script]);
    const ended = new Promise<number | null>((done) => child.once('exit', done));
    let running = true;
    void ended.then(() => {
      running = false;
    });
    const seen = new Set<string>();
    while (running) {
      for (let look = 0; look < 200; look++)
        try {
          seen.add(readFileSync(lockFileOf(fleet), 'utf8'));
        } catch (error) {
          expect((error as NodeJS.ErrnoException).code).toBe('ENOENT');
        }
      await new Promise((next) => setImmediate(next));
    }
    expect(await ended).toBe(0);
    for (const text of seen) expect(JSON.parse(text)).toMatchObject({ who: 'Ada' });
    const others = readdirSync(dirname(fleet)).filter((name) => name.startsWith(`${basename(fleet)}.lock`));
    expect(others).toEqual([]);
  });

  test('a lock that was taken from us is not removed by us', () => {
    const lock = takeLock(fleet, 'Ada', at);
    writeFileSync(lockFileOf(fleet), 'of somebody else');
    lock.release();
    expect(readFileSync(lockFileOf(fleet), 'utf8')).toBe('of somebody else');
    spawnSync('rm', [lockFileOf(fleet)]);
  });

  test('of eight processes that want a stale lock at once exactly one gets it', async () => {
    writeFileSync(
      lockFileOf(fleet),
      JSON.stringify({ pid: deadPid(), host: hostname(), began: null, since: at, who: 'Ada' }),
    );
    const script = `import { takeLock } from ${JSON.stringify(join(import.meta.dirname, '../../electron/lock.ts'))};
      try { takeLock(${JSON.stringify(fleet)}, 'one of many', '${at}'); console.log('got'); } catch (error) { console.log(error.problem.code); }
      setInterval(() => {}, 60_000);`;
    const children = Array.from({ length: 8 }, () => spawn(process.execPath, ['--input-type=module', '-e', script]));
    const said = await Promise.all(
      children.map(
        (child) => new Promise<string>((done) => child.stdout.once('data', (text) => done(String(text).trim()))),
      ),
    );
    for (const child of children) child.kill();
    expect(said.sort()).toEqual(['got', ...Array(7).fill('in-use')].sort());
    spawnSync('rm', [lockFileOf(fleet)]);
  });
});

describe('a fleet that is open elsewhere', () => {
  test('still opens read-only, answers, changes nothing, and hears of what the writer did', async () => {
    const writer = await openPool(fleet, { who: 'Ada' });
    await expect(openPool(fleet, { who: 'Ben' })).rejects.toThrow('open for writing');
    const heard: number[] = [];
    const reader = await openPool(fleet, { who: 'Ben', readOnly: true, onChanged: (revision) => heard.push(revision) });
    expect(await reader.send('fleet.info', {})).toMatchObject({ ok: true, value: { readOnly: true } });
    expect(await writer.send('fleet.info', {})).toMatchObject({ ok: true, value: { readOnly: false } });
    const wish = { keys: ['k'], verdict: 'dismissed' as const, reason: 'seen in the field' };
    expect(await reader.send('finding.decide', wish)).toMatchObject({ ok: false, problem: { code: 'read-only' } });
    expect(await writer.send('finding.decide', wish)).toMatchObject({ ok: true });
    await expect.poll(() => heard.length).toBeGreaterThan(0);
    await reader.close();
    await writer.close();
    expect(existsSync(lockFileOf(fleet))).toBe(false);
  });
});

import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openCore } from '../../core/index.ts';
import { seededRandom } from '../../core/numerics/random.ts';
import { lockFileOf, takeLock } from '../../electron/lock.ts';
import { migrations } from '../../migrations/index.ts';
import { temporaryFolder } from '../hosts/small-fleet.ts';

// An import into a file that is not there yet, ended by force at seeded moments from the first byte of the file to the
// end: all of it or nothing is there, the file opens and verifies, and the import repeated is whole.
const root = join(import.meta.dirname, '../..');
const home = temporaryFolder('ended');
const folder = home.file('folder');
const now = () => '2025-06-01T08:00:00.000Z';
const moments = 12;
const random = seededRandom(42);
let whole: Counts;
/**
 * From the first byte of the file to the end of the program, in milliseconds: no longer than the quickest so far, as a
 * machine may be busier at first.
 */
let lastsMs: number;

interface Counts {
  readonly lines: number;
  readonly segments: number;
  readonly readings: number;
}

function countsIn(file: string): Counts {
  const db = new Database(file, { readonly: true });
  const count = (table: string) => db.prepare(`select count(*) from ${table}`).pluck().get() as number;
  const counts = { lines: count('ledger'), segments: count('segment'), readings: count('reading') };
  db.close();
  return counts;
}

const nothing = { lines: 0, segments: 0, readings: 0 };
const begin = (file: string): ChildProcess =>
  spawn(process.execPath, [join(root, 'electron/command.ts'), 'import', folder, '--fleet', file], { stdio: 'ignore' });
const ended = (child: ChildProcess) =>
  new Promise<NodeJS.Signals | null>((done) => child.once('exit', (_, signal) => done(signal)));

async function firstByte(file: string, child: ChildProcess): Promise<void> {
  while (!existsSync(file)) {
    if (child.exitCode !== null) throw new Error('the import never began');
    await new Promise((done) => setTimeout(done, 2));
  }
}

/** Begins an import, and ends it by force after this share of its time; tells by what it ended. */
async function endedAfter(file: string, share: number) {
  const child = begin(file);
  const end = ended(child);
  await firstByte(file, child);
  const began = performance.now();
  const itself = end.then(() => performance.now() - began);
  await new Promise((done) => setTimeout(done, share * lastsMs));
  child.kill('SIGKILL');
  const signal = await end;
  // It was over before its time: the next are ended sooner, however busy the machine was meanwhile.
  if (!signal) lastsMs = Math.min(0.8 * lastsMs, await itself);
  return { child, signal };
}

beforeAll(async () => {
  const core = await openCore(home.file('source.fleet'), { migrations, now, who: 'x', create: true });
  for (const reply of [
    await core.send('demo.write', { segments: 120 }),
    await core.send('fleet.export', { out: folder }),
  ])
    if (!reply.ok) throw new Error(reply.problem.message);
  core.close();
  const file = home.file('undisturbed.fleet');
  const child = begin(file);
  const end = ended(child);
  await firstByte(file, child);
  const began = performance.now();
  await end;
  lastsMs = performance.now() - began;
  whole = countsIn(file);
});
afterAll(home.clear);

/** One in each equal part of the time an import takes. */
const parts = Array.from({ length: moments }, (_, i) => ({ i, share: (i + random.uniform()) / moments }));

describe('an import into a new file, ended by force', () => {
  test.each(parts)('in part $i of its time', async ({ i, share }) => {
    const file = home.file(`ended-${i}.fleet`);
    let { child, signal } = await endedAfter(file, share);
    while (!signal) {
      expect(countsIn(file)).toEqual(whole);
      for (const name of readdirSync(home.folder)) if (name.startsWith(`ended-${i}.`)) rmSync(home.file(name));
      ({ child, signal } = await endedAfter(file, share));
    }

    const lock = takeLock(file, 'the next one', now());
    if (existsSync(lockFileOf(file)) && lock.cleared) expect(lock.cleared.pid).toBe(child.pid);
    const core = await openCore(file, { migrations, now, who: 'the next one', create: true });
    const left = countsIn(file);
    expect([nothing, whole]).toContainEqual(left);
    if (left.lines > 0)
      expect(await core.send('evidence.verify', {})).toMatchObject({ ok: true, value: { intact: true } });
    const again = await core.send('fleet.import', { paths: [folder] });
    expect(again).toMatchObject({ ok: true, value: { committed: left.lines === 0 } });
    expect(await core.send('evidence.verify', {})).toMatchObject({ ok: true, value: { intact: true } });
    core.close();
    lock.release();
    expect(countsIn(file)).toEqual(whole);
    for (const name of readdirSync(home.folder)) if (name.startsWith(`ended-${i}.`)) rmSync(home.file(name));
  });

  test('the next command says that it cleared the lock', async () => {
    const file = home.file('cleared.fleet');
    const { child, signal } = await endedAfter(file, 0);
    expect(signal).toBe('SIGKILL');
    expect(existsSync(lockFileOf(file))).toBe(true);
    const next = spawn(process.execPath, [join(root, 'electron/command.ts'), 'import', folder, '--fleet', file]);
    let said = '';
    next.stderr.on('data', (text) => (said += text));
    expect(await new Promise((done) => next.once('close', done))).toBe(0);
    expect(said).toContain(`process ${child.pid}`);
    expect(said).toContain('Cleared a lock');
    expect(countsIn(file)).toEqual(whole);
  });
});

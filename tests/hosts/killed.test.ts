import { spawn } from 'node:child_process';
import { copyFileSync, existsSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openCore } from '../../core/index.ts';
import { holderOf, lockFileOf, takeLock } from '../../electron/lock.ts';
import { migrations } from '../../migrations/index.ts';
import { temporaryFolder } from './small-fleet.ts';

// A program that is ended in the middle of an import, by force or by the person, must leave all of it or nothing.
const root = join(import.meta.dirname, '../..');
const home = temporaryFolder('killed');
const folder = home.file('folder');
const now = () => '2025-06-01T08:00:00.000Z';

beforeAll(async () => {
  const core = await openCore(home.file('source.fleet'), { migrations, now, who: 'x', create: true });
  for (const reply of [
    await core.send('demo.write', { segments: 600 }),
    await core.send('fleet.export', { out: folder }),
  ])
    if (!reply.ok) throw new Error(reply.problem.message);
  core.close();
  const empty = await openCore(home.file('empty.fleet'), { migrations, now, who: 'x', create: true });
  empty.close();
});
afterAll(home.clear);

const fresh = (name: string) => {
  for (const old of readdirSync(home.folder).filter((each) => each.startsWith(name))) rmSync(home.file(old));
  copyFileSync(home.file('empty.fleet'), home.file(name));
  return home.file(name);
};

/** An import in a process of its own, which is sent a signal so many milliseconds after it says that it reads. */
async function importEnded(file: string, signal: 'SIGKILL' | 'SIGINT', afterMs: number) {
  const child = spawn(process.execPath, [join(root, 'electron/command.ts'), 'import', folder, '--fleet', file], {
    cwd: home.folder,
  });
  let said = '';
  child.stderr.on('data', (text) => (said += text));
  const ended = new Promise<number | null>((done) => child.once('exit', (code) => done(code)));
  const begun = () => existsSync(lockFileOf(file)) && existsSync(`${file}-wal`);
  // On a busy machine it may be over before anybody has looked.
  await expect.poll(() => begun() || child.exitCode !== null, { interval: 5 }).toBe(true);
  await new Promise((done) => setTimeout(done, afterMs));
  child.kill(signal);
  return { code: await ended, said };
}

/** What the file holds now: sound, and either nothing or the whole import. */
function stateOf(file: string) {
  const db = new Database(file);
  const sound = db.pragma('integrity_check', { simple: true });
  const lines = db.prepare('select count(*) from ledger').pluck().get() as number;
  const segments = db.prepare('select count(*) from segment').pluck().get() as number;
  const readings = db.prepare('select count(*) from reading').pluck().get() as number;
  db.close();
  return { sound, lines, segments, readings };
}

describe('an import that is ended', () => {
  test('by force, at several moments, leaves all or nothing; its lock is taken over and the next import is whole', async () => {
    const source = stateOf(home.file('source.fleet'));
    for (const afterMs of [0, 250]) {
      const file = fresh('killed.fleet');
      const { code } = await importEnded(file, 'SIGKILL', afterMs);
      const left = stateOf(file);
      expect(left.sound).toBe('ok');
      if (left.lines === 0) expect(left).toMatchObject({ segments: 0, readings: 0 });
      else expect(left).toMatchObject({ lines: 1, segments: source.segments, readings: source.readings });
      if (code === null) expect(holderOf(file)).toBeNull();
      const lock = takeLock(file, 'the next one', now());
      const core = await openCore(file, { migrations, now, who: 'the next one' });
      expect(await core.send('fleet.import', { paths: [folder] })).toMatchObject({ ok: true });
      core.close();
      lock.release();
      expect(stateOf(file)).toMatchObject({ sound: 'ok', segments: source.segments, readings: source.readings });
    }
  });

  test('by Ctrl+C, is cancelled with a word, exit 1, and leaves no lock', async () => {
    const file = fresh('cancelled.fleet');
    const { code, said } = await importEnded(file, 'SIGINT', 100);
    const left = stateOf(file);
    expect(existsSync(lockFileOf(file))).toBe(false);
    // On a fast machine the import may be over before the signal comes; then it must be whole.
    if (left.lines === 0) expect([code, said]).toEqual([1, expect.stringContaining('Cancelled')]);
    else expect(code).toBe(0);
    expect(left.sound).toBe('ok');
  });
});

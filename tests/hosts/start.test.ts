import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { existsSync, readdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { lockFileOf } from '../../electron/lock.ts';
import { Visitor } from './browser.ts';
import { makeSmallFleet, temporaryFolder } from './small-fleet.ts';

const root = join(import.meta.dirname, '../..');
const home = temporaryFolder('start');
const built = existsSync(join(root, 'dist/renderer/index.html'));
if (!built) console.log('npm start is not tested: the page is not built (npm run build:renderer)');
let fleet: string;
beforeAll(async () => {
  fleet = await makeSmallFleet(home.file('started.fleet'), home.file('folder'));
});
afterAll(home.clear);

interface Started {
  readonly child: ChildProcess;
  readonly said: { stdout: string; stderr: string };
  readonly ended: Promise<number | null>;
  /** The address, once it stands on a line of its own. */
  link(): Promise<string>;
}

const running = new Set<ChildProcess>();
afterEach(() => {
  for (const child of running) child.kill('SIGKILL');
});

function start(program: 'start' | 'command', ...words: string[]): Started {
  const child = spawn(process.execPath, [join(root, `electron/${program}.ts`), ...words], {
    cwd: home.folder,
    env: { ...process.env, YEARBOOK_STATE: home.file('state'), DISPLAY: '', WAYLAND_DISPLAY: '' },
  });
  running.add(child);
  const said = { stdout: '', stderr: '' };
  child.stdout.on('data', (text) => (said.stdout += text));
  child.stderr.on('data', (text) => (said.stderr += text));
  const ended = new Promise<number | null>((done) =>
    child.once('exit', (code) => {
      running.delete(child);
      done(code);
    }),
  );
  const link = async () => {
    const address = /^http:\/\/127\.0\.0\.1:\d+\/\S+$/m;
    await expect.poll(() => said.stdout, { timeout: 60_000 }).toMatch(address);
    return address.exec(said.stdout)![0];
  };
  return { child, said, ended, link };
}

describe.skipIf(!built)('npm start without a window', () => {
  test('--demo makes the invented utility, ranks it, prints its address on a line of its own and shows it', async () => {
    const started = start('start', '--demo', '--segments', '40', '--no-open');
    const visitor = await Visitor.enter(await started.link());
    expect(started.said.stdout.trim().split('\n')).toHaveLength(1);
    expect(started.said.stderr.split('\n').filter((line) => line.startsWith('No window'))).toHaveLength(1);
    expect((await visitor.send('/')).text).toContain('<div id="root">');
    expect(await visitor.ask('fleet.info', {})).toMatchObject({
      ok: true,
      value: { utilityName: 'Harrow Vale Municipal Power' },
    });
    expect(await visitor.ask('ranking.page', {})).toMatchObject({ ok: true });
    visitor.leave();
    started.child.kill('SIGTERM');
    expect(await started.ended).toBe(0);
  });

  test('--fleet opens that fleet; ended by a signal it gives the lock back and clears its files', async () => {
    const started = start('start', '--fleet', 'started.fleet', '--port', '0', '--who', 'Ada');
    const visitor = await Visitor.enter(await started.link());
    expect(await visitor.ask('host.state', {})).toMatchObject({
      ok: true,
      value: { fleet: { name: 'started', readOnly: false } },
    });
    expect(existsSync(lockFileOf(fleet))).toBe(true);
    const batch = crypto.randomUUID();
    await visitor.send(`/stage/${batch}/x.csv`, { method: 'POST', body: 'a file of this test' });
    const staged = () => readdirSync(tmpdir()).filter((name) => existsSync(join(tmpdir(), name, 'in', batch)));
    expect(staged()).toHaveLength(1);

    const second = start('command', 'serve', '--fleet', 'started.fleet');
    await second.link();
    expect(second.said.stderr).toContain('Opened read-only');
    expect(second.said.stderr).toContain('Ada');
    second.child.kill('SIGINT');
    expect(await second.ended).toBe(0);

    visitor.leave();
    started.child.kill('SIGTERM');
    expect(await started.ended).toBe(0);
    expect(existsSync(lockFileOf(fleet))).toBe(false);
    expect(staged()).toEqual([]);
  });

  test('a fleet that is not there is refused, exit 1; wrong words, exit 2', async () => {
    const missing = start('start', '--fleet', 'none.fleet', '--no-open');
    expect(await missing.ended).toBe(1);
    expect(missing.said).toMatchObject({ stdout: '', stderr: expect.stringContaining('There is no fleet file') });
    const wrong = start('start', '--nonsense');
    expect(await wrong.ended).toBe(2);
    expect(wrong.said.stderr).toContain('npm start --');
  });
});

test('an older Node is refused in one line before any of our code is read', async () => {
  const guard = JSON.stringify(join(root, 'electron/guard.mjs'));
  const pretend = (version: string) =>
    spawnSync(
      process.execPath,
      [
        '--input-type=module',
        '-e',
        `Object.defineProperty(process.versions, 'node', { value: '${version}' }); await import(${guard});`,
      ],
      { encoding: 'utf8' },
    );
  for (const version of ['18.20.0', '20.19.0', '24.14.9']) {
    const { status, stderr } = pretend(version);
    expect([status, stderr.trim().split('\n').length]).toEqual([2, 1]);
    expect(stderr).toContain(version);
  }
  for (const version of ['24.15.0', '24.21.0', '25.0.0'])
    expect(pretend(version)).toMatchObject({ status: 0, stderr: '' });
});

import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { _electron } from 'playwright-core';
import { afterAll, expect, test } from 'vitest';
import type {} from '../../renderer/client/bridge.ts';
import { makeSmallFleet, temporaryFolder } from '../hosts/small-fleet.ts';
import { mainBundle } from './standin/launch.ts';

const home = temporaryFolder('electron');
afterAll(home.clear);

function electronBinary(): string | undefined {
  const folder = join(import.meta.dirname, '../../node_modules/electron');
  const note = join(folder, 'path.txt');
  const file = existsSync(note) ? join(folder, 'dist', readFileSync(note, 'utf8').trim()) : '';
  return file && existsSync(file) ? file : undefined;
}

const executablePath = electronBinary();
const display = process.platform !== 'linux' || process.env.DISPLAY || process.env.WAYLAND_DISPLAY;
const why = !executablePath
  ? 'the Electron runtime is not on this machine (fetch it with: npx install-electron)'
  : display
    ? undefined
    : 'there is no display (run it under xvfb-run)';
if (why) console.log(`real Electron: skipped, ${why}`);

test.skipIf(why !== undefined)(
  'in the real Electron the window opens a fleet, keeps Node out of the page and refuses to leave',
  async () => {
    const fleet = await makeSmallFleet(home.file('real.fleet'), home.file('folder'));
    const run = await _electron.launch({
      executablePath: executablePath!,
      args: [mainBundle, `--user-data-dir=${home.file('user-data')}`, '--fleet', fleet],
    });
    try {
      const page = await run.firstWindow();
      const asked = await page.evaluate(() => globalThis.yearbook!.ask('fleet.info', {}, 'one'));
      expect(asked).toMatchObject({ ok: true, value: { utilityName: 'Harrow Vale Municipal Power' } });
      expect(await page.evaluate('[typeof require, typeof process, Object.keys(yearbook).sort().join()].join()')).toBe(
        'undefined,undefined,ask,cancel,onEvent,pathOf',
      );
      await page.evaluate(() => location.assign('https://elsewhere.example.invalid/')).catch(() => undefined);
      await page.locator('#root > *').first().waitFor();
      expect(page.url()).toBe('app://fleet/');
      expect(await page.evaluate(() => window.open('https://elsewhere.example.invalid/'))).toBeNull();
      expect(await page.evaluate(() => Notification.requestPermission())).toBe('denied');
    } finally {
      await run.close();
    }
  },
);

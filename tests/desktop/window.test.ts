import { existsSync, readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { HostEvent } from '../../core/contract/host.ts';
import { lockFileOf } from '../../electron/lock.ts';
import type {} from '../../renderer/client/bridge.ts';
import { makeSmallFleet, temporaryFolder, writeSmallFolder } from '../hosts/small-fleet.ts';
import { launchSecond, launchShell, noStandIn, type Shell } from './standin/launch.ts';

const home = temporaryFolder('window');
let fleet: string;
let shell: Shell;
beforeAll(async () => {
  if (noStandIn) return;
  fleet = await makeSmallFleet(home.file('first.fleet'), home.file('folder'));
  shell = await launchShell({ userData: home.file('user-data'), words: ['--fleet', fleet] });
  await listenToEvents();
});

async function listenToEvents(): Promise<void> {
  await shell.page.evaluate(() => {
    const heard: HostEvent[] = [];
    globalThis.yearbook!.onEvent((event) => heard.push(event));
    Object.assign(globalThis, { heard });
  });
}

afterAll(async () => {
  await shell?.close();
  home.clear();
});

const ask = (name: string, input: unknown) =>
  shell.page.evaluate(([n, i]) => globalThis.yearbook!.ask(n as string, i, crypto.randomUUID()), [
    name,
    input,
  ] as const);
const heard = () => shell.page.evaluate(() => (globalThis as unknown as { heard: HostEvent[] }).heard);
const answerDialog = (answer: string[] | null) =>
  shell.evaluate(({ dialogAnswers }, given) => void dialogAnswers.push(given), answer);
const title = () => shell.evaluate(({ BrowserWindow }) => BrowserWindow.getAllWindows()[0]!.title);

describe.skipIf(noStandIn)('the window', () => {
  test('shows the built page, with the fleet of the command line open and its name in the title', async () => {
    expect(await shell.page.locator('#root').count()).toBe(1);
    expect(await ask('host.state', {})).toMatchObject({
      ok: true,
      value: { kind: 'window', fleet: { file: fleet, name: 'first', readOnly: false }, recent: [{ file: fleet }] },
    });
    await expect.poll(title).toBe('first – Cable Yearbook');
    expect(existsSync(lockFileOf(fleet))).toBe(true);
  });

  test('the page has nothing to complain of under its policy', async () => {
    const complaints: string[] = [];
    shell.page.on('console', (message) => {
      if (['error', 'warning'].includes(message.type())) complaints.push(message.text());
    });
    shell.page.on('pageerror', (error) => complaints.push(String(error)));
    await shell.page.reload();
    // All that the first page is made of, its numbers too.
    await shell.page.locator('.first-look tbody tr').first().waitFor();
    expect(complaints).toEqual([]);
    await listenToEvents();
  });

  test('is shown only once the page is ready', async () => {
    await expect
      .poll(() => shell.evaluate(({ BrowserWindow }) => BrowserWindow.getAllWindows()[0]!.visible))
      .toBe(true);
  });

  test('a picked folder may be imported, and what is below it too', async () => {
    const folder = writeSmallFolder(home.file('picked'));
    await answerDialog([folder]);
    expect(await ask('host.pickFolder', {})).toEqual({ ok: true, value: { paths: [folder] } });
    expect(await ask('fleet.import', { paths: [folder] })).toMatchObject({ ok: true, value: { changes: 0 } });
    expect(await ask('fleet.import', { paths: [`${folder}/tests.csv`] })).toMatchObject({ ok: true });
    expect(await ask('fleet.import', { paths: [`${folder}/../folder`] })).toMatchObject({
      ok: false,
      problem: { code: 'not-allowed' },
    });
    expect(await ask('fleet.export', { out: folder })).toMatchObject({ ok: false, problem: { code: 'not-allowed' } });
  });

  test('a dropped file may be read: its path comes from the runtime, not from the page', async () => {
    const file = `${writeSmallFolder(home.file('dropped'))}/feeders.csv`;
    await shell.evaluate(({ setPaths }, given) => setPaths(given), { 'feeders.csv': file });
    const path = await shell.page.evaluate(() => globalThis.yearbook!.pathOf(new File(['x'], 'feeders.csv')));
    expect(path).toBe(file);
    expect(await ask('fleet.import', { paths: [path] })).toMatchObject({ ok: true });
  });

  test('a place chosen by dialog may be written to; a closed dialog is no answer', async () => {
    await answerDialog([home.file('exported')]);
    expect(await ask('host.saveFile', { name: 'exported', as: 'folder' })).toEqual({
      ok: true,
      value: { path: home.file('exported') },
    });
    expect(await ask('fleet.export', { out: home.file('exported') })).toMatchObject({ ok: true });
    expect(existsSync(home.file('exported/segments.csv'))).toBe(true);
    await answerDialog(null);
    expect(await ask('host.saveFile', { name: 'x.csv' })).toEqual({ ok: true, value: null });
  });

  test('a file that came as content is kept byte for byte', async () => {
    await answerDialog([home.file('chart.bin')]);
    const content = Buffer.from([0, 255, 10, 13]).toString('base64');
    await ask('host.keepFile', {
      name: 'chart.bin',
      mediaType: 'application/octet-stream',
      encoding: 'base64',
      content,
    });
    expect([...readFileSync(home.file('chart.bin'))]).toEqual([0, 255, 10, 13]);
  });

  test('the menu speaks to the page, prints, and leaves the keys of undo to it', async () => {
    await shell.evaluate(({ chooseMenu }) => {
      chooseMenu('Find a segment…');
      chooseMenu('Ranking');
      chooseMenu('Print…');
    });
    await expect.poll(heard).toEqual(
      expect.arrayContaining([
        { kind: 'menu', word: 'find' },
        { kind: 'menu', word: 'place:Ranking' },
      ]),
    );
    const template = await shell.evaluate(({ menu, log }) => ({
      items: JSON.stringify(menu.template),
      printed: log.some((l) => l.kind === 'print'),
    }));
    expect(template.printed).toBe(true);
    expect(JSON.parse(template.items).flatMap((item: { submenu?: object[] }) => item.submenu ?? [])).toContainEqual(
      expect.objectContaining({ label: 'Undo', registerAccelerator: false }),
    );
  });
});

describe.skipIf(noStandIn)('one instance, other fleets', () => {
  test('a second start ends at once and hands its fleet to the first', async () => {
    expect(await launchSecond({ userData: home.file('user-data'), words: [] })).toBe(0);
    const second = await makeSmallFleet(home.file('second.fleet'), home.file('folder2'));
    await shell.evaluate(
      ({ app }, words) => void app.emit('second-instance', {}, ['electron', 'main.js', ...words], '/'),
      ['--fleet', second],
    );
    await expect.poll(title).toBe('second – Cable Yearbook');
    await expect.poll(heard).toContainEqual(expect.objectContaining({ kind: 'fleet' }));
    await expect.poll(() => existsSync(lockFileOf(fleet))).toBe(false);
    await expect
      .poll(() => shell.evaluate(({ BrowserWindow }) => BrowserWindow.getAllWindows()[0]!.focused))
      .toBeGreaterThan(0);
  });

  test('a recent fleet opens again by its name in the list; the system’s own list knows it too', async () => {
    expect(await ask('host.openFleet', { file: fleet, readOnly: true })).toMatchObject({
      ok: true,
      value: { fleet: { readOnly: true, because: null } },
    });
    await expect.poll(title).toBe('first (read-only) – Cable Yearbook');
    expect(
      await shell.evaluate(({ log }) => log.filter((l) => l.kind === 'recent-document').length),
    ).toBeGreaterThanOrEqual(2);
    expect(await ask('fleet.info', {})).toMatchObject({ ok: true, value: { readOnly: true } });
  });

  test('a recent fleet opens from the menu, for writing or read-only', async () => {
    const choose = (under: string) => shell.evaluate(({ chooseMenu }, from) => chooseMenu('second', from), under);
    await choose('Recent fleets, read-only');
    await expect.poll(title).toBe('second (read-only) – Cable Yearbook');
    await choose('Recent fleets');
    await expect.poll(title).toBe('second – Cable Yearbook');
  });

  test('a new fleet never replaces a file', async () => {
    await answerDialog([fleet]);
    expect(await ask('host.newFleet', { name: 'first' })).toMatchObject({
      ok: false,
      problem: { code: 'not-allowed' },
    });
    await answerDialog([home.file('new.fleet')]);
    expect(await ask('host.newFleet', { name: 'new' })).toMatchObject({ ok: true, value: { fleet: { name: 'new' } } });
  });

  test('a file that is no fleet is refused, and the open one stays open', async () => {
    await answerDialog([home.file('chart.bin')]);
    expect(await ask('host.openFleet', { file: null })).toMatchObject({ ok: false, problem: { code: 'foreign-file' } });
    await expect.poll(title).toBe('new – Cable Yearbook');
    expect(await ask('fleet.info', {})).toMatchObject({ ok: true });
  });

  test('files handed over by the system go to the page', async () => {
    const file = `${home.folder}/folder/tests.csv`;
    await shell.evaluate(({ app }, given) => void app.emit('open-file', { preventDefault() {} }, given), file);
    await expect.poll(heard).toContainEqual({ kind: 'dropped', paths: [file] });
    expect(await ask('fleet.import', { paths: [file], dryRun: true })).toMatchObject({ ok: expect.any(Boolean) });
  });

  test('closing the window keeps its place, gives the lock back and ends the program', async () => {
    await shell.evaluate(({ BrowserWindow }) => {
      BrowserWindow.getAllWindows()[0]!.webContents.setZoomLevel(1.5);
      BrowserWindow.getAllWindows()[0]!.close();
    });
    expect(await shell.exited).toBe(0);
    expect(JSON.parse(readFileSync(home.file('user-data/window.json'), 'utf8'))).toMatchObject({
      width: 1440,
      height: 900,
      zoomLevel: 1.5,
    });
    expect(existsSync(lockFileOf(home.file('new.fleet')))).toBe(false);
  });
});

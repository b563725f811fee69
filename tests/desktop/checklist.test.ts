import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type {} from '../../renderer/client/bridge.ts';
import { makeSmallFleet, temporaryFolder } from '../hosts/small-fleet.ts';
import { launchShell, mainBundle, noStandIn, type Shell } from './standin/launch.ts';

// Source of the rules: Electron's documentation, docs/tutorial/security.md, "Checklist: Security recommendations".
// The numbers are its numbers. The real bundles run in the stand-in (tests/desktop/standin); what only the real runtime
// can show is named in the test.
const home = temporaryFolder('checklist');
const root = join(import.meta.dirname, '../..');
let shell: Shell;
beforeAll(async () => {
  if (noStandIn) return;
  const fleet = await makeSmallFleet(home.file('checked.fleet'), home.file('folder'));
  shell = await launchShell({ userData: home.file('user-data'), words: ['--fleet', fleet] });
});
afterAll(async () => {
  await shell?.close();
  home.clear();
});

const preferences = () =>
  shell.evaluate(({ BrowserWindow }) => BrowserWindow.getAllWindows().map((window) => window.options.webPreferences!));
const elsewhere = 'https://elsewhere.example.invalid/';
const logged = (kind: string) =>
  shell.evaluate(({ log }, wanted) => log.filter((line) => line.kind === wanted).map((line) => line.detail), kind);

describe.skipIf(noStandIn)('the rules of the Electron security checklist', () => {
  test('1 only secure content: the page comes from the program itself, and its policy lets nothing else in', async () => {
    const address = () => shell.evaluate(({ BrowserWindow }) => BrowserWindow.getAllWindows()[0]!.webContents.getURL());
    // A window that has just opened is at about:blank until the page's first byte.
    await expect.poll(address).toBe('app://fleet/');
    const tried = await shell.page.evaluate(
      (url) =>
        fetch(url).then(
          () => 'reached',
          (error: Error) => error.name,
        ),
      elsewhere,
    );
    expect(tried).toBe('TypeError');
    expect(await logged('blocked')).toEqual([]); // the policy stopped it before the network was asked
  });

  test('2 no Node in the page', async () => {
    for (const each of await preferences()) {
      expect(each.nodeIntegration).toBe(false);
      expect(each.nodeIntegrationInWorker).toBe(false);
      expect(each.nodeIntegrationInSubFrames).toBe(false);
    }
    expect(await shell.page.evaluate('[typeof require, typeof process, typeof module, typeof Buffer].join()')).toBe(
      'undefined,undefined,undefined,undefined',
    );
  });

  test('3 context isolation: the page sees the bridge and nothing of the world that made it', async () => {
    for (const each of await preferences()) expect(each.contextIsolation).toBe(true);
    expect(await shell.page.evaluate('[typeof __standin, typeof __deliver, typeof ipcRenderer].join()')).toBe(
      'undefined,undefined,undefined',
    );
    expect(await shell.page.evaluate('Object.isFrozen(yearbook)')).toBe(true);
  });

  test('4 every process in the sandbox', async () => {
    expect(await logged('enableSandbox')).toEqual([true]);
    for (const each of await preferences()) expect(each.sandbox).toBe(true);
  });

  test('5 every permission, check and device is denied', async () => {
    for (const permission of [
      'geolocation',
      'media',
      'notifications',
      'clipboard-read',
      'midi',
      'openExternal',
      'usb',
      'hid',
      'unknown',
    ])
      expect(await shell.evaluate(({ decisionOn }, asked) => decisionOn(asked), permission)).toEqual({
        request: false,
        check: false,
        device: false,
      });
  });

  test('6 web security is on', async () => {
    for (const each of await preferences()) expect(each.webSecurity).toBe(true);
  });

  test('7 a content security policy that allows nothing inline', async () => {
    const policy = await shell.page.evaluate(() =>
      fetch('/').then((page) => page.headers.get('content-security-policy')),
    );
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("script-src 'self'");
    expect(policy).not.toMatch(/unsafe|\*|https?:/);
    const ran = await shell.page.evaluate(() => {
      const script = document.createElement('script');
      script.textContent = 'globalThis.__ran = 1';
      document.head.append(script);
      const style = document.createElement('style');
      style.textContent = 'body { outline: 3px solid red }';
      document.head.append(style);
      return [typeof (globalThis as { __ran?: number }).__ran, getComputedStyle(document.body).outlineStyle];
    });
    expect(ran).toEqual(['undefined', 'none']);
    // Later, and not within this call: what a debugger evaluates is let past the policy while it runs.
    const evaluated = await shell.page.evaluate(
      () =>
        new Promise<string>((done) => {
          setTimeout(() => {
            try {
              done(String(Function('return 1')()));
            } catch (error) {
              done((error as Error).name);
            }
          });
        }),
    );
    expect(evaluated).toBe('EvalError');
  });

  test('8 no insecure content, 9 no experimental features, 10 no enableBlinkFeatures', async () => {
    for (const each of await preferences()) {
      expect(each.allowRunningInsecureContent).toBe(false);
      expect(each.experimentalFeatures ?? false).toBe(false);
      expect(each.enableBlinkFeatures).toBeUndefined();
    }
  });

  test('11 and 12 no webview: the tag is off, and one that came by anyway is refused', async () => {
    for (const each of await preferences()) expect(each.webviewTag).toBe(false);
    const refused = await shell.evaluate(({ BrowserWindow }) => {
      let prevented = false;
      const event = { preventDefault: () => (prevented = true) };
      BrowserWindow.getAllWindows()[0]!.webContents.emit('will-attach-webview', event, {}, {});
      return prevented;
    });
    expect(refused).toBe(true);
  });

  test('13 navigation: away is refused, by script, link or form, and the page stays as it was', async () => {
    const before = shell.page.url();
    const away = [elsewhere, 'https://fleet.elsewhere.example.invalid/', 'data:text/html,x', 'file:///etc/passwd'];
    const seen = async () => (await logged('will-navigate')) as { url: string; prevented: boolean }[];
    for (const url of away) {
      await shell.page.evaluate((to) => location.assign(to), url).catch(() => undefined);
      // What the browser does not refuse by itself has to come by here.
      if (url.startsWith('https:'))
        await expect.poll(async () => (await seen()).map((each) => each.url)).toContain(url);
      expect(shell.page.url()).toBe(before);
    }
    expect((await seen()).filter((each) => !each.prevented)).toEqual([]);
    expect(await shell.page.evaluate(() => location.href)).toBe(before);
  });

  test('13 navigation: an address that only looks like ours is not ours', async () => {
    const decided = await shell.evaluate(({ BrowserWindow }) => {
      const { webContents } = BrowserWindow.getAllWindows()[0]!;
      const refuses = (url: string) =>
        ['will-navigate', 'will-frame-navigate', 'will-redirect'].map((kind) => {
          let prevented = false;
          webContents.emit(kind, { url, preventDefault: () => (prevented = true) });
          return prevented;
        });
      const wrong = [
        'app://fleet.example/',
        'app://fleet:1/',
        'app://fleet@elsewhere/',
        'https://fleet/',
        'appx://fleet/',
        'app:fleet',
        'x',
        '',
      ];
      return { wrong: wrong.map(refuses), ours: refuses('app://fleet/#ranking') };
    });
    for (const each of decided.wrong) expect(each).toEqual([true, true, true]);
    expect(decided.ours).toEqual([false, false, false]);
  });

  test('14 new windows are refused', async () => {
    const opened = async () => ((await logged('window-open')) as { action: string }[]).map((each) => each.action);
    await shell.page.evaluate((url) => void window.open(url), elsewhere);
    // One after the other: while one is refused the browser may not open the next.
    await expect.poll(opened).toEqual(['deny']);
    await shell.page.evaluate((url) => {
      const link = document.createElement('a');
      Object.assign(link, { href: url, target: '_blank' });
      document.body.append(link);
      link.click();
      link.remove();
    }, elsewhere);
    await expect.poll(opened).toEqual(['deny', 'deny']);
    expect(await shell.evaluate(({ BrowserWindow }) => BrowserWindow.getAllWindows().length)).toBe(1);
    // A refused window may take a moment to go.
    await expect.poll(() => shell.page.context().pages().length).toBe(1);
  });

  test('15 nothing is handed to the system’s browser: the program never calls openExternal', () => {
    expect(readFileSync(mainBundle, 'utf8')).not.toContain('openExternal(');
  });

  test('16 a current Electron: the version is pinned exactly, in package.json', () => {
    const { devDependencies } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
    expect(devDependencies.electron).toMatch(/^\d+\.\d+\.\d+$/);
    expect(Number(devDependencies.electron.split('.')[0])).toBeGreaterThanOrEqual(45);
  });

  test('17 the sender of every message is checked: another page, another frame, another contents are refused', async () => {
    const forged = await shell.evaluate(async ({ BrowserWindow, invokeAs, ipcMain }) => {
      const { webContents } = BrowserWindow.getAllWindows()[0]!;
      const ours = 'app://fleet/';
      const senders = {
        ours: { sender: webContents, senderFrame: { url: ours, parent: null } },
        'another host': { sender: webContents, senderFrame: { url: 'app://fleet.example/', parent: null } },
        'another scheme': { sender: webContents, senderFrame: { url: 'https://fleet/', parent: null } },
        'a frame below': { sender: webContents, senderFrame: { url: ours, parent: {} } },
        'no frame': { sender: webContents, senderFrame: null },
        'other contents': { sender: {}, senderFrame: { url: ours, parent: null } },
      };
      const outcome: Record<string, string[]> = {};
      for (const [name, event] of Object.entries(senders)) {
        const tried = [invokeAs(event, 'ask', ['host.state', {}, 'id']), invokeAs(event, 'given', ['/tmp/x'])];
        outcome[name] = await Promise.all(
          tried.map((each) =>
            each.then(
              () => 'answered',
              (e: Error) => e.message,
            ),
          ),
        );
        ipcMain.emit('cancel', event, 'id'); // must not throw
      }
      return outcome;
    });
    const { ours, ...others } = forged;
    expect(ours).toEqual(['answered', 'answered']);
    for (const each of Object.values(others)) expect(each).toEqual(Array(2).fill('refused: not our page'));
  });

  test('18 no file:// page: one scheme of our own, standard and secure, and nothing more', async () => {
    expect(await logged('scheme')).toEqual([
      { scheme: 'app', privileges: { standard: true, secure: true, supportFetchAPI: true } },
    ]);
    for (const path of ['/../package.json', '/..%2fpackage.json', '/%2e%2e/electron/main.js', '//etc/passwd'])
      expect(
        await shell.page.evaluate(
          (p) =>
            fetch(p).then(
              (r) => r.status,
              () => 404,
            ),
          path,
        ),
      ).toBe(404);
  });

  test('19 fuses are set for the packed program (read from its configuration; burning them needs the packager)', () => {
    const { electronFuses, asar } = JSON.parse(readFileSync(join(root, 'electron/builder.json'), 'utf8'));
    expect(asar).toBe(true);
    expect(electronFuses).toEqual({
      runAsNode: false,
      enableNodeOptionsEnvironmentVariable: false,
      enableNodeCliInspectArguments: false,
      enableCookieEncryption: true,
      enableEmbeddedAsarIntegrityValidation: true,
      onlyLoadAppFromAsar: true,
      grantFileProtocolExtraPrivileges: false,
    });
  });

  test('20 no Electron function reaches the page: the bridge has these four names and no more', async () => {
    expect(await shell.page.evaluate('Object.keys(yearbook).sort().join()')).toBe('ask,cancel,onEvent,pathOf');
    const preload = readFileSync(join(root, 'dist/electron/preload.cjs'), 'utf8');
    expect([...preload.matchAll(/require\("([^"]+)"\)/g)].map((found) => found[1])).toEqual(['electron']);
    expect(existsSync(join(root, 'dist/electron/preload.js'))).toBe(false);
  });
});

describe.skipIf(noStandIn)('a page that turned bad', () => {
  const ask = (name: string, input: unknown) =>
    shell.page.evaluate(([n, i]) => globalThis.yearbook!.ask(n as string, i, crypto.randomUUID()), [
      name,
      input,
    ] as const);

  test('can’t read or write a file that nobody picked', async () => {
    for (const path of ['/etc/passwd', home.file('folder'), '../x', '']) {
      const read = await ask('fleet.import', { paths: [path] });
      expect(read).toMatchObject({
        ok: false,
        problem: { code: path === '' ? expect.stringMatching(/bad-input|not-allowed/) : 'not-allowed' },
      });
      expect(await ask('fleet.export', { out: path || '/' })).toMatchObject({
        ok: false,
        problem: { code: 'not-allowed' },
      });
    }
    expect(await ask('host.openFleet', { file: '/etc/passwd' })).toMatchObject({
      ok: false,
      problem: { code: 'not-allowed' },
    });
  });

  test('can’t make up a dropped file: one made by script has no path', async () => {
    const tried = await shell.page.evaluate(() =>
      globalThis.yearbook!.pathOf(new File(['x'], 'passwd')).then(
        (path) => path,
        (error: Error) => error.message,
      ),
    );
    expect(tried).toContain('not a file of the disk');
  });

  test('can’t send a function or an element as data', async () => {
    const tried = await shell.page
      .evaluate(() =>
        globalThis.yearbook!.ask('fleet.find', { text: () => 1 }, 'id').then(
          () => 'passed',
          (e: Error) => e.message,
        ),
      )
      .catch((error: Error) => error.message);
    expect(tried).toContain('could not be cloned');
  });

  test('can’t download from elsewhere; its own blob it may keep', async () => {
    await shell.page.evaluate(() => {
      const link = document.createElement('a');
      link.href = URL.createObjectURL(new Blob(['a chart']));
      link.download = 'chart.svg';
      link.click();
    });
    await expect.poll(() => logged('download')).toHaveLength(1);
    expect(((await logged('download')) as { prevented: boolean }[])[0]).toMatchObject({ prevented: false });
    const outcome = await shell.evaluate(({ session }) => {
      let prevented = false;
      session.defaultSession.emit(
        'will-download',
        { preventDefault: () => (prevented = true) },
        { getURL: () => 'https://elsewhere.example.invalid/x.exe' },
      );
      return prevented;
    });
    expect(outcome).toBe(true);
  });
});

import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import { rolldown } from 'rolldown';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Loopback, startLoopback } from '../../electron/loopback.ts';
import type * as Client from '../../renderer/client/index.ts';
import { makeSmallFleet, temporaryFolder, writeSmallFolder } from './small-fleet.ts';

// The window's client in a real browser on the loopback host: fetch, streams, pickers, drops and downloads.
const chromiumPath = process.env.CHROMIUM ?? '/usr/bin/chromium';
const why = existsSync(chromiumPath) ? null : `no Chromium at ${chromiumPath} (set CHROMIUM)`;
if (why) console.log(`The client is not tested in a browser: ${why}.`);

const home = temporaryFolder('browser');
let host: Loopback;
let browser: Browser;
let page: Page;
const complaints: string[] = [];

declare global {
  var client: typeof Client;
}

beforeAll(async () => {
  if (why) return;
  mkdirSync(home.file('page'));
  writeFileSync(
    home.file('page/index.html'),
    '<!doctype html><title>Client</title><link rel="icon" href="data:,"><script type="module" src="page.js"></script>',
  );
  const entry = `import * as client from ${JSON.stringify(join(import.meta.dirname, '../../renderer/client/index.ts'))}; globalThis.client = client;`;
  writeFileSync(home.file('entry.js'), entry);
  const bundle = await rolldown({ input: home.file('entry.js') });
  await bundle.write({ file: home.file('page/page.js'), format: 'esm' });
  await bundle.close();
  const fleet = await makeSmallFleet(home.file('small.fleet'), home.file('folder'));
  host = await startLoopback({
    who: 'crew lead',
    stateFolder: home.file('state'),
    fleetsFolder: home.file('fleets'),
    pageFolder: home.file('page'),
    named: [fleet],
  });
  await host.shelf.open(fleet);
  browser = await chromium.launch({
    executablePath: chromiumPath,
    args: ['--no-sandbox', '--disable-gpu', '--disable-dev-shm-usage'],
  });
  page = await (await browser.newContext()).newPage();
  page.on('console', (message) => message.type() === 'error' && complaints.push(message.text()));
  page.on('pageerror', (error) => complaints.push(String(error)));
  // The client listens to the host from the start; what happens before it is heard would be told to nobody.
  const listening = page.waitForResponse(/\/events$/);
  await page.goto(host.link);
  await page.waitForFunction(() => globalThis.client !== undefined);
  await listening;
});
afterAll(async () => {
  await browser?.close();
  await host?.close();
  home.clear();
});

describe.skipIf(why)('the client in a browser', () => {
  test('the link leads to the page, and leaves nothing of itself in the address or for scripts', async () => {
    expect(page.url()).toBe(`${host.origin}/`);
    expect(await page.evaluate(() => document.cookie)).toBe('');
    expect(await page.evaluate(() => globalThis.client.host.kind)).toBe('browser');
  });

  test('asks, and throws problems', async () => {
    const name = await page.evaluate(async () => (await globalThis.client.ask('fleet.info', {})).utilityName);
    expect(name).toBe('Harrow Vale Municipal Power');
    const thrown = await page.evaluate(() =>
      globalThis.client.ask('fleet.find', { text: 7 as never }).then(
        () => null,
        (error: { problem: unknown }) => error.problem,
      ),
    );
    expect(thrown).toMatchObject({ code: 'bad-input' });
  });

  test('asked for the ranking, shows the work that makes it', async () => {
    const { rows, works } = await page.evaluate(async () => {
      const { ask, works } = globalThis.client;
      const { rows } = await ask('ranking.page', {});
      return { rows: rows.length, works: works.list().map(({ name, state }) => ({ name, state })) };
    });
    expect(rows).toBe(3);
    expect(works).toEqual([{ name: expect.stringMatching(/^ranking\./), state: 'done' }]);
  });

  test('hears of changes', async () => {
    const revision = await page.evaluate(async () => {
      const { ask, onChanged } = globalThis.client;
      const heard = new Promise<number>((done) => onChanged(done));
      await ask('finding.decide', { keys: ['k'], verdict: 'dismissed', reason: 'seen in the field' });
      return heard;
    });
    expect(revision).toBe(2);
  });

  test('picked files are staged and read; a closed picker is no file', async () => {
    const folder = writeSmallFolder(home.file('picked'));
    const [chooser, asked] = await Promise.all([
      page.waitForEvent('filechooser'),
      page.evaluate(() => {
        Object.assign(globalThis, {
          picking: globalThis.client.host.pickFiles({ kinds: [{ name: 'Tables', extensions: ['csv'] }] }),
        });
        return document.querySelector<HTMLInputElement>('input[type=file]')!.accept;
      }),
    ]);
    expect(asked).toBe('.csv');
    await chooser.setFiles([join(folder, 'feeders.csv'), join(folder, 'substations.csv')]);
    const { paths, result } = await page.evaluate(async () => {
      const paths = await (globalThis as unknown as { picking: Promise<readonly string[]> }).picking;
      return { paths, result: await globalThis.client.ask('fleet.import', { paths: [...paths] }) };
    });
    expect(paths.map((path) => path.split('/').pop())).toEqual(['feeders.csv', 'substations.csv']);
    expect(result).toMatchObject({ changes: 0, refusedCount: 0 });
  });

  test('dropped files are staged as they were dropped', async () => {
    const text = readFileSync(join(home.folder, 'folder/substations.csv'), 'utf8');
    const paths = await page.evaluate(async (content) => {
      const transfer = new DataTransfer();
      transfer.items.add(new File([content], 'substations.csv'));
      const heard = new Promise<readonly string[]>((done) =>
        document.addEventListener('drop', (event) => done(globalThis.client.host.dropped(event.dataTransfer!)), {
          once: true,
        }),
      );
      document.dispatchEvent(new DragEvent('drop', { dataTransfer: transfer }));
      return heard;
    }, text);
    expect(paths).toEqual([expect.stringMatching(/^staged:[0-9a-f-]{36}\/substations\.csv$/)]);
  });

  test('what an ask wrote is downloaded when it is done', async () => {
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.evaluate(async () => {
        const { ask, host } = globalThis.client;
        const place = await host.saveFile('the whole ranking.csv');
        await ask('ranking.list', { csv: place!.path });
        await place!.done();
      }),
    ]);
    expect(download.suggestedFilename()).toBe('the whole ranking.csv');
    expect(readFileSync(await download.path(), 'utf8')).toMatch(/^rank,segment_id,growth_pct_per_yr/);
  });

  test('a file that came as content is kept byte for byte', async () => {
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.evaluate(() =>
        globalThis.client.host.keepFile({
          name: 'x.bin',
          mediaType: 'application/octet-stream',
          encoding: 'base64',
          content: 'AP8KDQ==',
        }),
      ),
    ]);
    expect([...readFileSync(await download.path())]).toEqual([0, 255, 10, 13]);
  });

  test('once the host is gone the problem says what to do', async () => {
    const other = await browser.newPage();
    const short = await startLoopback({
      who: 'x',
      stateFolder: home.file('s'),
      fleetsFolder: home.file('f'),
      pageFolder: home.file('page'),
    });
    await other.goto(short.link);
    await other.waitForFunction(() => globalThis.client !== undefined);
    await short.close();
    const message = await other.evaluate(() =>
      globalThis.client.ask('fleet.info', {}).then(
        () => '',
        (error: Error) => error.message,
      ),
    );
    expect(message).toContain('start it again');
    await other.close();
  });

  test('a link that is clicked on another page leads in all the same, though its cookie is a strict one', async () => {
    const other = await (await browser.newContext()).newPage();
    await other.setContent(`<a href="${host.newLink()}">Cable Yearbook</a>`);
    await other.click('a');
    await other.waitForFunction(() => globalThis.client !== undefined);
    expect(other.url()).toBe(`${host.origin}/`);
    await other.context().close();
  });

  test('a page of another port of this computer, in the same browser, gets nothing by any way', async () => {
    const { createServer } = await import('node:http');
    const elsewhere = createServer((_request, response) => {
      response.setHeader('content-type', 'text/html');
      response.end('<!doctype html><title>Elsewhere</title><link rel="icon" href="data:,">');
    });
    await new Promise<void>((done) => elsewhere.listen(0, '127.0.0.1', done));
    const { port } = elsewhere.address() as { port: number };
    const other = await page.context().newPage();
    await other.goto(`http://127.0.0.1:${port}/`);
    const outcome = await other.evaluate(async (origin) => {
      const json = { 'content-type': 'application/json' };
      const post = { method: 'POST', credentials: 'include', body: '{}' } as const;
      const tried = (work: Promise<Response>) =>
        work.then(
          (response) => response.text(),
          () => 'nothing',
        );
      const loads = (element: HTMLElement) =>
        new Promise<string>((done) => {
          element.addEventListener('load', () => done('loaded'));
          element.addEventListener('error', () => done('nothing'));
          document.body.append(element);
          setTimeout(() => done('nothing'), 2_000);
        });
      const frame = document.createElement('iframe');
      frame.src = `${origin}/`;
      const script = document.createElement('script');
      script.src = `${origin}/page.js`;
      const events = new Promise<string>((done) => {
        const stream = new EventSource(`${origin}/events`, { withCredentials: true });
        stream.onopen = () => done('opened');
        stream.onerror = () => done('nothing');
      });
      await loads(frame);
      const inFrame = (() => {
        try {
          return frame.contentDocument === null ? 'nothing' : 'readable';
        } catch {
          return 'nothing';
        }
      })();
      return Promise.all([
        tried(fetch(`${origin}/ask/fleet.info`, { ...post, headers: json })),
        tried(fetch(`${origin}/ask/fleet.info`, { ...post, mode: 'no-cors' })),
        tried(fetch(`${origin}/`, { credentials: 'include' })),
        loads(script),
        events,
        inFrame,
      ]);
    }, host.origin);
    expect(outcome).toEqual(Array(6).fill('nothing'));
    const before = await page.evaluate(async () => (await globalThis.client.ask('fleet.info', {})).revision);
    await other.evaluate((origin) => {
      const form = document.createElement('form');
      Object.assign(form, { method: 'POST', action: `${origin}/cancel/x`, enctype: 'text/plain' });
      document.body.append(form);
      form.submit();
    }, host.origin);
    await other.waitForLoadState();
    expect(await other.textContent('body')).toContain('not answered');
    expect(await page.evaluate(async () => (await globalThis.client.ask('fleet.info', {})).revision)).toBe(before);
    await other.close();
    elsewhere.closeAllConnections();
    elsewhere.close();
  });

  test('the page had nothing to complain of', () => {
    expect(complaints).toEqual([]);
  });
});

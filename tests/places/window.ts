import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Browser, chromium, type Locator, type Page } from 'playwright-core';
import { expect } from 'vitest';
import { openCore } from '../../core/index.ts';
import { type Loopback, startLoopback } from '../../electron/loopback.ts';
import { migrations } from '../../migrations/index.ts';

const pageFolder = join(import.meta.dirname, '../../dist/renderer');
const chromiumPath = process.env.CHROMIUM ?? '/usr/bin/chromium';

/** Why no window can be shown here; null where one can. */
export const noWindow = !existsSync(chromiumPath)
  ? `no Chromium at ${chromiumPath} (set CHROMIUM)`
  : !existsSync(join(pageFolder, 'index.html'))
    ? 'the page is not built (npm run build:renderer)'
    : null;

if (noWindow) console.log(`The window is not tested: ${noWindow}.`);

/** How long a test waits for what must come, in ms: the page may be many times slower than here. Nothing is measured by it. */
const patience = 60_000;
/** The same for what takes seconds alone: a plan, a long paper. */
export const longWork = { timeout: 180_000 };

export interface Window {
  readonly page: Page;
  readonly host: Loopback;
  readonly folder: string;
  /** What the page complained of: console errors, exceptions, breaches of its policy. */
  readonly complaints: string[];
  close(): Promise<void>;
}

/** The real page in Chromium on the loopback host. `segments` 0: no fleet is open; `make` writes another than the demo. */
export async function openWindow({
  segments,
  readOnly = false,
  make = writeDemo,
}: {
  segments: number;
  readOnly?: boolean;
  make?: (file: string, segments: number) => Promise<unknown>;
}): Promise<Window> {
  const folder = mkdtempSync(join(tmpdir(), 'yearbook-window-'));
  const file = join(folder, 'demo.fleet');
  if (segments > 0) await make(file, segments);
  const host = await startLoopback({
    who: 'asset manager',
    stateFolder: join(folder, 'state'),
    fleetsFolder: join(folder, 'fleets'),
    pageFolder,
    named: [file],
  });
  if (segments > 0) await host.shelf.open(file, { readOnly });
  const browser: Browser = await chromium.launch({
    executablePath: chromiumPath,
    args: ['--no-sandbox', '--disable-gpu', '--disable-dev-shm-usage'],
  });
  const page = await browser.newPage({ viewport: { width: 1440, height: 900 }, reducedMotion: 'reduce' });
  page.setDefaultTimeout(patience);
  const complaints: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(String(error)));
  await page.goto(host.link);
  return {
    page,
    host,
    folder,
    complaints,
    async close() {
      await browser.close();
      await host.close();
      rmSync(folder, { recursive: true });
    },
  };
}

async function writeDemo(file: string, segments: number): Promise<void> {
  const core = await openCore(file, { migrations, now: () => new Date().toISOString(), who: 'demo', create: true });
  const reply = await core.send('demo.write', { segments });
  core.close();
  if (!reply.ok) throw new Error(reply.problem.message);
}

/** Goes to a place by its address and waits for its heading, which no page before it lends. */
export async function visit(page: Page, hash: string): Promise<void> {
  await page.evaluate(
    (to) =>
      new Promise<void>((there) => {
        if (new URL(to, location.href).hash === location.hash) return there();
        // The window itself has listened for longer, and has left the former place when this is heard.
        addEventListener('hashchange', () => setTimeout(there), { once: true });
        location.hash = to;
      }),
    hash,
  );
  await page.locator('main h1:not([inert] *)').first().waitFor();
}

/** Asserts what will be so soon; how soon depends on how busy the machine is. */
export function eventually(tell: () => unknown, { timeout = patience } = {}): ReturnType<typeof expect.poll> {
  return expect.poll(tell, { timeout });
}

/** Waits until the keys go to what was opened: a sheet that appears takes the focus a moment later. */
export async function focused(sheet: Locator): Promise<void> {
  await eventually(() => sheet.evaluate((el) => el.contains(document.activeElement))).toBe(true);
}

/** Rests the pointer on the passing word, which then stays until it is used. */
export async function holdWord(page: Page, words: string | RegExp): Promise<void> {
  await page.locator('.toast', { hasText: words }).hover();
}

/** Drops files from disk on the window, as a file manager does. */
export async function drop(page: Page, paths: readonly string[]): Promise<void> {
  const session = await page.context().newCDPSession(page);
  const data = { items: [], files: [...paths], dragOperationsMask: 1 };
  for (const type of ['dragEnter', 'dragOver', 'drop'] as const)
    await session.send('Input.dispatchDragEvent', { type, x: 600, y: 400, data });
  await session.detach();
}

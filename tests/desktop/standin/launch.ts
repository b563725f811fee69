import { fork } from 'node:child_process';
import { existsSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import type { Hands } from './standin.ts';

export interface Shell {
  readonly page: Page;
  /** Runs in the program's process; the function is sent as text, so it sees only what it is given. */
  evaluate<T, G>(f: (hands: Hands, given: G) => T | Promise<T>, given?: G): Promise<T>;
  /** Ended by itself: its exit code. */
  readonly exited: Promise<number | null>;
  close(): Promise<void>;
}

export interface LaunchOptions {
  readonly words?: readonly string[];
  readonly userData: string;
}

export const mainBundle = join(import.meta.dirname, '../../../dist/electron/main.js');

const chromiumPath = process.env.CHROMIUM ?? '/usr/bin/chromium';

/** Why the stand-in can't run here; null where it can. */
export const noStandIn = !existsSync(chromiumPath)
  ? `no Chromium at ${chromiumPath} (set CHROMIUM)`
  : !existsSync(mainBundle)
    ? 'the bundles are not built (npm run build)'
    : null;

if (noStandIn) console.log(`The desktop window is not tested: ${noStandIn}.`);

function start(options: LaunchOptions, env: Record<string, string>) {
  const child = fork(mainBundle, options.words ?? [], {
    execArgv: ['--no-warnings', '--import', new URL('./register.ts', import.meta.url).href],
    env: { ...process.env, STANDIN_USER_DATA: options.userData, ...env },
    stdio: ['ignore', 'inherit', 'inherit', 'ipc'],
  });
  return { child, exited: new Promise<number | null>((done) => child.once('exit', (code) => done(code))) };
}

/** Starts the program where another instance runs already; gives its exit code. */
export const launchSecond = (options: LaunchOptions): Promise<number | null> =>
  start(options, { STANDIN_SECOND: '1' }).exited;

/** Starts the real bundle of the main process with the stand-in, and joins its window. */
export async function launchShell(options: LaunchOptions): Promise<Shell> {
  const port = await freePort();
  const { child, exited } = start(options, { STANDIN_PORT: String(port) });
  const { browser, page } = await joinWindow(port, exited);
  let next = 1;
  return {
    page,
    exited,
    evaluate: (f, given) =>
      new Promise((resolve, reject) => {
        if (!child.connected) {
          reject(new Error('the program has ended'));
          return;
        }
        const id = next++;
        const hear = (m: { id: number; ok?: never; error?: string }) => {
          if (m.id !== id) return;
          child.off('message', hear);
          if (m.error === undefined) resolve(m.ok as never);
          else reject(new Error(m.error));
        };
        child.on('message', hear);
        child.send({ id, code: f.toString(), given });
      }),
    async close() {
      await browser.close();
      child.kill();
      await exited;
    },
  };
}

async function joinWindow(port: number, exited: Promise<number | null>): Promise<{ browser: Browser; page: Page }> {
  let gone = false;
  void exited.then(() => {
    gone = true;
  });
  const until = performance.now() + 120_000;
  while (performance.now() < until && !gone) {
    await new Promise((r) => setTimeout(r, 100));
    const browser = await chromium.connectOverCDP(`http://127.0.0.1:${port}`).catch(() => undefined);
    const page = browser
      ?.contexts()
      .flatMap((c) => c.pages())
      .find((p) => p.url().includes('.standin'));
    if (browser && page) {
      await page.locator('#root > *').first().waitFor();
      return { browser, page };
    }
    await browser?.close();
  }
  throw new Error(gone ? 'the program ended before it showed a window' : 'no window within two minutes');
}

function freePort(): Promise<number> {
  return new Promise((done) => {
    const server = createServer().listen(0, '127.0.0.1', () => {
      const { port } = server.address() as { port: number };
      server.close(() => done(port));
    });
  });
}

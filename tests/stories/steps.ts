import { execFileSync, spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Download, Page } from 'playwright-core';
import type { AskName, InputOf, OutputOf } from '../../core/contract/asks/index.ts';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';
import { longWork } from '../places/window.ts';

/** What people do in the stories, by the same hands: mouse, keys, files. */

/** Segments of the invented utility in a story: large enough for a ranking and a plan, small enough to begin at once. */
export const segments = 140;

/** The invented utility in a file of its own; `after` goes on with it, the clock standing at `at`. */
export async function writeUtility(
  file: string,
  options: { at?: string; after?: (core: Core) => Promise<void> } = {},
): Promise<void> {
  const now = () => options.at ?? new Date().toISOString();
  const core = await openCore(file, { migrations, now, who: 'R. Keeper', create: true });
  try {
    await asked(core, 'demo.write', { segments });
    await options.after?.(core);
  } finally {
    core.close();
  }
}

export async function asked<N extends AskName>(core: Core, name: N, input: InputOf<N>): Promise<OutputOf<N>> {
  const reply = await core.send(name, input);
  if (!reply.ok) throw new Error(`${name}: ${reply.problem.message}`);
  return reply.value;
}

/** Asks the host from inside the page, as the page's own script would. */
export function askFromPage<N extends AskName>(
  page: Page,
  name: N,
  input: InputOf<N>,
): Promise<{ ok: true; value: OutputOf<N> } | { ok: false; problem: { code: string; message: string } }> {
  return page.evaluate(
    async ([to, body]) => {
      const response = await fetch(`/ask/${to}`, {
        method: 'POST',
        headers: { 'content-type': 'application/json', 'x-ask-id': crypto.randomUUID() },
        body: JSON.stringify(body),
      });
      const lines = (await response.text()).trim().split('\n');
      return JSON.parse(lines.at(-1) ?? '').reply;
    },
    [name, input] as const,
  );
}

/** Goes to a place by its word in the header. */
export async function goTo(page: Page, place: string): Promise<void> {
  const link = page.getByRole('navigation', { name: 'Places' }).getByRole('link', { name: place, exact: true });
  await link.click();
  await page.locator('header a[aria-current=page]', { hasText: place }).waitFor();
  await page.locator('main h1:not([inert] *)').first().waitFor();
}

/** Picks a file where a button or a menu's line asks for one. */
export async function pick(page: Page, press: () => Promise<void>, file: string): Promise<void> {
  const [chooser] = await Promise.all([page.waitForEvent('filechooser'), press()]);
  await chooser.setFiles(file);
}

/** What comes down after a press, as a file in the folder. */
export async function downloaded(page: Page, press: () => Promise<void>, to: string): Promise<Download> {
  const [download] = await Promise.all([page.waitForEvent('download', longWork), press()]);
  await download.saveAs(to);
  return download;
}

/** The words of a PDF by poppler, which had no part in making it; null, with a word, where it is not installed. */
export function wordsOfPdf(file: string): string | null {
  if (spawnSync('pdftotext', ['-v']).error) {
    console.log('The words of the PDF are not read: poppler (pdftotext) is not installed.');
    return null;
  }
  return execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' });
}

/** Writes files into a folder and gives their paths. */
export const writeAll = (folder: string, files: Readonly<Record<string, string | Uint8Array>>): string[] =>
  Object.entries(files).map(([name, content]) => {
    writeFileSync(join(folder, name), content);
    return join(folder, name);
  });

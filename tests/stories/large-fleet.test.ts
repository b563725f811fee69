import { copyFileSync, existsSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { noWindow, openWindow, type Window } from '../places/window.ts';
import { downloaded, wordsOfPdf } from './steps.ts';

const large = process.env.YEARBOOK_LARGE_FLEET;
const why = noWindow
  ? noWindow
  : !large
    ? 'YEARBOOK_LARGE_FLEET names no large fleet (npm run yearbook -- demo --fleet large.fleet --segments 200000 makes one)'
    : !existsSync(large)
      ? `YEARBOOK_LARGE_FLEET names ${large}, which is not there`
      : null;
if (why) console.log(`The crew lead among two hundred thousand segments is skipped: ${why}.`);

/** Keys after the name, as the promise to the crew lead counts them. */
const mostKeys = 8;
const segment = 'Tannery Row 12 1';
const celsius = '16';

describe.skipIf(why !== null)('the crew lead among two hundred thousand segments', () => {
  let window: Window;
  let folder: string;
  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'yearbook-large-'));
    // A copy: the fleet that was named stays as it is.
    window = await openWindow({ segments: 1, make: async (file) => copyFileSync(large!, file) });
    // The day's ranking may have to be made first, as it would on the first morning.
    await window.page.locator('.first-look tbody tr').first().waitFor({ timeout: 900_000 });
  }, 960_000);
  afterAll(async () => {
    await window?.close();
    if (folder) rmSync(folder, { recursive: true });
  });

  test('prints the brief of a cable at today’s temperature, in at most eight keys after its name', async () => {
    const { page } = window;
    let keys = 0;
    const press = async (key: string): Promise<void> => {
      keys++;
      await page.keyboard.press(key);
    };
    await page.keyboard.press('Control+k');
    await page.keyboard.type(segment);
    await page.locator('.find-hit[aria-selected=true]', { hasText: segment }).waitFor();
    await press('Enter');
    await page.getByRole('heading', { name: segment, level: 1 }).waitFor();
    await press('b');
    const expected = page.locator('.expected-figure').first();
    await expected.waitFor();
    await press('c');
    for (const digit of celsius) await press(digit);
    await press('Enter');
    const field = page.getByLabel(/^Temperature of the insulation/);
    await expect.poll(async () => Number(await field.inputValue())).toBe(Number(celsius));
    const pdf = join(folder, 'brief.pdf');
    await downloaded(page, () => press('p'), pdf);
    expect(keys).toBeLessThanOrEqual(mostKeys);
    expect(statSync(pdf).size).toBeGreaterThan(5_000);
    const words = wordsOfPdf(pdf);
    if (words === null) return;
    expect(words).toContain(segment);
    expect(words).toMatch(new RegExp(`${celsius}(\\.0)?\\s*°C`));
    expect(window.complaints).toEqual([]);
  });
});

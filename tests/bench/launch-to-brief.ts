import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Browser, chromium } from 'playwright-core';
import { OwnHost } from './own-host.ts';
import { keyS } from './person.ts';
import { line } from './tell.ts';

const goalS = 10;
const goalKeys = 8;
const segment = 'Tannery Row 12 1';
/** As a person types it: the beginnings of its words. */
const typed = 'tan 12 1';

/**
 * The crew lead's errand on a fresh process, by keys alone: the finder, the cable's name, its page, its brief, today's
 * temperature, the printed sheet on the disk; typed at a person's pace, so that what the machine does meanwhile is not
 * counted twice.
 */
export async function launchToBrief(fleet: string, executablePath: string): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'yearbook-bench-'));
  const waits: [string, number][] = [];
  let since = performance.now();
  const waited = (words: string): void => {
    waits.push([words, performance.now() - since]);
    since = performance.now();
  };
  const host = new OwnHost(fleet, folder);
  let browser: Browser | undefined;
  try {
    browser = await chromium.launch({ executablePath, args: ['--no-sandbox', '--disable-gpu'] });
    const address = await host.link();
    waited('launch, until the address');
    const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
    page.setDefaultTimeout(120_000);
    await page.goto(address);
    await page.locator('.find input').waitFor();
    waited('until the finder is there');
    let keys = 0;
    const press = async (...pressed: string[]): Promise<void> => {
      for (const key of pressed) {
        keys++;
        await page.waitForTimeout(keyS * 1000);
        await page.keyboard.press(key);
      }
    };
    await page.keyboard.press('Control+k');
    await page.keyboard.type(typed, { delay: keyS * 1000 });
    await page.locator('.find-hit[aria-selected=true]', { hasText: segment }).waitFor();
    waited('until the name is found');
    await press('Enter');
    await page.getByRole('heading', { name: segment, level: 1 }).waitFor();
    waited('until its page');
    await press('b');
    await page.locator('.brief .expected-figure').first().waitFor();
    waited('until its brief');
    const field = page.getByLabel(/^Temperature of the insulation/);
    await press('c', '1', '6', 'Enter');
    await page.waitForFunction(
      (input) => Number((input as HTMLInputElement).value) === 16,
      await field.elementHandle(),
    );
    waited('until the brief at 16 °C');
    const downloading = page.waitForEvent('download');
    await press('p');
    const sheet = join(folder, 'brief.pdf');
    await (await downloading).saveAs(sheet);
    waited('until the sheet is on the disk');
    const totalS = waits.reduce((sum, [, ms]) => sum + ms, 0) / 1000;
    const withoutNameS = totalS - typed.length * keyS;
    console.log('\nfrom launch to the printed brief, a process of its own, a key each 0.28 s; ms');
    for (const [words, ms] of waits) console.log(line(words, ms.toFixed(0)));
    console.log(line('the sheet, kB', (statSync(sheet).size / 1000).toFixed(0)));
    console.log(line('keys after the name, of goal', keys, (keys / goalKeys).toFixed(2)));
    console.log(line('altogether, s, of goal', totalS.toFixed(1), (totalS / goalS).toFixed(2)));
    console.log(
      line('without typing the name, s, of goal', withoutNameS.toFixed(1), (withoutNameS / goalS).toFixed(2)),
    );
  } finally {
    await browser?.close();
    await host.close();
    rmSync(folder, { recursive: true });
  }
}

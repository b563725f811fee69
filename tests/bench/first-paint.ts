import type { Browser } from 'playwright-core';
import type { OwnHost } from './own-host.ts';
import { ascending, at, line } from './tell.ts';

const rounds = 7;
const goalMs = 1000;
const goalBytes = 350_000;

/** A window that opens for the first time, its cache empty: first paint, first rows of the fleet, and what came over the wire by then. */
export async function firstPaint(browser: Browser, host: OwnHost): Promise<void> {
  const paints: number[] = [];
  const rows: number[] = [];
  let scripts = 0;
  let fonts = 0;
  for (let i = 0; i < rounds; i++) {
    const context = await browser.newContext({ viewport: { width: 1440, height: 900 } });
    const page = await context.newPage();
    page.setDefaultTimeout(120_000);
    await page.goto(await host.link());
    await page.locator('.first-look tbody tr').first().waitFor();
    const seen = await page.evaluate(() => {
      const paint = performance.getEntriesByName('first-contentful-paint')[0];
      const entries = [
        ...(performance.getEntriesByType('navigation') as PerformanceResourceTiming[]),
        ...(performance.getEntriesByType('resource') as PerformanceResourceTiming[]),
      ].filter((entry) => !/\/(ask|events)/.test(entry.name) && entry.responseEnd <= (paint?.startTime ?? Infinity));
      const bytes = (list: PerformanceResourceTiming[]) => list.reduce((sum, entry) => sum + entry.encodedBodySize, 0);
      const isFont = (entry: PerformanceResourceTiming) => /\.(ttf|woff2?)$/.test(entry.name);
      return {
        paint: paint?.startTime ?? Number.NaN,
        rows: performance.now(),
        scripts: bytes(entries.filter((entry) => !isFont(entry))),
        fonts: bytes(entries.filter(isFont)),
      };
    });
    paints.push(seen.paint);
    rows.push(seen.rows);
    scripts = seen.scripts;
    fonts = seen.fonts;
    await context.close();
  }
  console.log(`\nfirst paint of ${rounds} new windows, ms from the address; kB as they came, packed`);
  console.log(line('', 'p50', 'max', 'of goal'));
  for (const [name, list] of Object.entries({ 'first paint': paints, 'the fleet with its first rows': rows })) {
    const sorted = ascending(list);
    const max = at(sorted, 1);
    console.log(line(name, at(sorted, 0.5).toFixed(0), max.toFixed(0), (max / goalMs).toFixed(2)));
  }
  console.log(line('page, scripts, styles, kB', (scripts / 1000).toFixed(0), '', (scripts / goalBytes).toFixed(2)));
  console.log(line('fonts, kB', (fonts / 1000).toFixed(0), '', ''));
}

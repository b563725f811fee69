import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { loadavg, tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import type { OutputOf } from '../../core/contract/asks/index.ts';
import { Visitor } from '../hosts/browser.ts';
import { firstPaint } from './first-paint.ts';
import { interactionsOf, type Named } from './interactions.ts';
import { largeFleet } from './large-fleet.ts';
import { launchToBrief } from './launch-to-brief.ts';
import { OwnHost } from './own-host.ts';
import { ascending, at, line } from './tell.ts';

// Goals on 200,000 segments: every interaction in the window drawn within 100 ms at the 95th percentile, its asks
// within 30 ms through the loopback host; first paint within 1.0 s and 350 kB packed; from launch to the printed brief
// of a named segment within 10 s of a person's time and 8 keys after the name.
// Run: npm run build:renderer && npm run bench -- window, or node tests/bench/window.bench.ts NAMES.
// It prints; it decides nothing.
const goalMs = 100;
const askGoalMs = 30;

const pageFolder = join(import.meta.dirname, '../../dist/renderer');
const executablePath = process.env.CHROMIUM ?? '/usr/bin/chromium';
if (!existsSync(join(pageFolder, 'index.html')) || !existsSync(executablePath)) {
  console.log(`Needs the built page (npm run build:renderer) and Chromium at ${executablePath} (or CHROMIUM).`);
  process.exit(0);
}
/** What is measured: names that fit, all without a word. */
const wanted = new RegExp(process.argv[2] ?? '');
const fleet = await largeFleet();
const load = () => loadavg().map((each) => each.toFixed(1));
console.log(`load of the machine before: ${load().join(' ')}`);

const folder = mkdtempSync(join(tmpdir(), 'yearbook-bench-'));
const browser = await chromium.launch({ executablePath, args: ['--no-sandbox', '--disable-gpu'] });
const host = new OwnHost(fleet, folder);
try {
  const visitor = await Visitor.enter(await host.link());
  const segments = await spread(visitor);
  visitor.leave();
  await firstPaint(browser, host);
  const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
  page.setDefaultTimeout(120_000);
  await page.goto(await host.link());
  console.log('\nfrom input to drawn frame, ms; ×: p95 against one empty frame of this run');
  console.log(line('', 'p50', 'p95', 'max', '×', 'of goal', 'ask p95', 'of goal'));
  let frameMs = Number.NaN;
  for (const { name, rounds, once, ready } of interactionsOf(page, segments)) {
    if (!Number.isNaN(frameMs) && !wanted.test(name)) continue;
    await ready?.();
    const frames: number[] = [];
    const asks: number[] = [];
    for (let i = 0; i < rounds; i++) {
      const { ms, askMs } = await once(i);
      frames.push(ms);
      asks.push(askMs);
    }
    const [sorted, asked] = [ascending(frames), ascending(asks)];
    const p95 = at(sorted, 0.95);
    if (Number.isNaN(frameMs)) frameMs = p95;
    const ask = at(asked, 0.95);
    console.log(
      line(
        `${name} (${rounds})`,
        at(sorted, 0.5).toFixed(0),
        p95.toFixed(0),
        at(sorted, 1).toFixed(0),
        (p95 / frameMs).toFixed(1),
        (p95 / goalMs).toFixed(2),
        ask === 0 ? '–' : ask.toFixed(0),
        ask === 0 ? '–' : (ask / askGoalMs).toFixed(2),
      ),
    );
  }
} finally {
  await browser.close();
  await host.close();
  rmSync(folder, { recursive: true });
}
if (wanted.test('launch')) await launchToBrief(fleet, executablePath);
console.log(`\nload of the machine after: ${load().join(' ')}`);

/**
 * Segments from everywhere in the ranking, so that nothing is asked twice. Today's answers are made for it, once, and
 * kept in the file; a window that is first to ask shows progress meanwhile.
 */
async function spread(visitor: Visitor): Promise<Named[]> {
  const made = await visitor.ask('ranking.make', {});
  if (!made.ok) throw new Error(made.problem.message);
  const named: Named[] = [];
  for (let i = 0; i < 150; i++) {
    const reply = await visitor.ask('ranking.page', { from: i * 1200, count: 1 });
    if (!reply.ok) throw new Error(reply.problem.message);
    named.push(...(reply.value as OutputOf<'ranking.page'>).rows);
  }
  return named;
}

import { readFileSync } from 'node:fs';
import type { Route } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { SegmentId } from '../../core/contract/ids.ts';
import { eventually, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
/** Two segments with tests, of different feeders. */
let one: { id: string; name: string };
let other: { id: string; name: string };
const page = () => window.page;
const heading = () => page().locator('main h1').innerText();
const chart = () => page().locator('.figure-place svg');
const pages = /ask\/segment\.page/;
const onlyOf =
  (id: string, act: (route: Route) => Promise<void>) =>
  (route: Route): Promise<void> =>
    route.request().postData()?.includes(id) ? act(route) : route.continue();

describe.skipIf(noWindow)('from one segment to another', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 120 });
    await page().locator('.first-look tbody tr').first().waitFor();
    const pool = await window.host.shelf.pool();
    const reply = await pool.send('ranking.page', { count: 40 });
    if (!reply.ok) throw new Error(reply.problem.message);
    const rows = reply.value.rows;
    one = rows[0]!;
    other = rows.find((row) => row.feeder !== rows[0]!.feeder)!;
  });
  afterAll(() => window?.close());

  test('back is there without an ask, its chart too, and the tree follows', async () => {
    await visit(page(), `#/fleet/${one.id}`);
    await chart().locator('text').first().waitFor();
    await visit(page(), `#/fleet/${other.id}`);
    await eventually(heading).toBe(other.name);
    await chart().locator('text').first().waitFor();
    await page().route(pages, (route) => route.abort());
    await page().goBack();
    await eventually(heading).toBe(one.name);
    await eventually(() => chart().locator('path').count()).toBeGreaterThan(0);
    await eventually(() => page().locator('[aria-current=page][role=treeitem] .tree-name').innerText()).toContain(
      one.name,
    );
    await page().unroute(pages);
  });

  test('the page before stays in sight while the next is read, but takes no keys and no clicks', async () => {
    await page().reload();
    await visit(page(), `#/fleet/${one.id}`);
    await eventually(heading).toBe(one.name);
    let answer = (): void => {};
    const asked = new Promise<void>((resolve) => {
      answer = resolve;
    });
    const hold = onlyOf(other.id, async (route) => {
      await asked;
      await route.continue();
    });
    await page().route(pages, hold);
    // Whether the former page took clicks until the end: it lets go of them before it leaves.
    const letGo = page().evaluate(
      () =>
        new Promise<{ inert: boolean; busy: boolean }>((resolve) => {
          const look = new MutationObserver(() => {
            const held = document.querySelector('[inert] h1');
            if (!held) return;
            look.disconnect();
            resolve({ inert: true, busy: held.closest('[aria-busy=true]') !== null });
          });
          look.observe(document.querySelector('main')!, { attributes: true, subtree: true });
        }),
    );
    // Looked at before the page's own patience can be over: timers fire in the order of their time.
    const seen = await page().evaluate(
      (to) =>
        new Promise((resolve) => {
          addEventListener(
            'hashchange',
            () =>
              setTimeout(() => {
                document.body.dispatchEvent(new KeyboardEvent('keydown', { key: 'b', bubbles: true }));
                const h1 = document.querySelector('main h1');
                resolve({ name: h1?.textContent, hash: location.hash });
              }),
            { once: true },
          );
          location.hash = to;
        }),
      `#/fleet/${other.id}`,
    );
    expect(seen).toEqual({ name: one.name, hash: `#/fleet/${other.id}` });
    expect(await letGo).toEqual({ inert: true, busy: true });
    // One that takes long is waited for on a sheet of its own.
    await page().getByText('Reading the segment…').waitFor();
    expect(await page().locator('main h1').count()).toBe(0);
    answer();
    await eventually(heading).toBe(other.name);
    expect(await page().locator('[inert] h1').count()).toBe(0);
    await page().unroute(pages, hold);
  });

  test('a page that the finder rests on is read ahead, and stands without another ask', async () => {
    await visit(page(), `#/fleet/${one.id}`);
    let answer = (): void => {};
    const held = new Promise<void>((resolve) => {
      answer = resolve;
    });
    // The tree says that there is a ranking; who came to rest before it has said so waits for it.
    const tree = /ask\/fleet\.tree/;
    await page().route(tree, async (route) => {
      await held;
      await route.continue();
    });
    await page().reload();
    await chart().locator('text').first().waitFor();
    const read = page().waitForResponse(
      (response) => pages.test(response.url()) && response.request().postData()!.includes(other.id),
    );
    await page().keyboard.press('Control+k');
    await page().keyboard.type(other.name);
    await eventually(() => page().getByRole('listbox', { name: 'Found' }).getAttribute('aria-busy')).toBe('false');
    // Timers fire in the order of their time: by then the page has taken it for rest.
    await page().evaluate(() => new Promise((rested) => setTimeout(rested, 200)));
    answer();
    // From here on it is on its way into the page, and what is asked anew is cut off.
    await read;
    await page().unroute(tree);
    await page().route(pages, (route) => route.abort());
    await page().keyboard.press('Enter');
    await eventually(heading).toBe(other.name);
    await chart().locator('text').first().waitFor();
    await page().unroute(pages);
  });

  test('a chart stands while it is drawn anew: nothing of it leaves the page', async () => {
    await visit(page(), `#/fleet/${one.id}`);
    await eventually(heading).toBe(one.name);
    await chart().locator('text').first().waitFor();
    const labels = () => chart().locator('text').allTextContents();
    const before = await labels();
    await page().evaluate(() => {
      const svg = document.querySelector('.figure-place svg')!;
      Object.assign(globalThis, { stood: { svg, empty: 0 } });
      new MutationObserver(() => {
        if (!svg.isConnected || svg.querySelectorAll('path').length === 0)
          (globalThis as unknown as { stood: { empty: number } }).stood.empty++;
      }).observe(svg.closest('.figure-place')!, { childList: true, subtree: true });
    });
    const pool = await window.host.shelf.pool();
    const segmentId = one.id as SegmentId;
    const reply = await pool.send('segment.edit', { segmentId, field: 'length', value: '31 m' });
    expect(reply).toMatchObject({ ok: true });
    await eventually(labels).not.toEqual(before);
    const stood = await page().evaluate(() => {
      const { svg, empty } = (globalThis as unknown as { stood: { svg: Element; empty: number } }).stood;
      return { same: document.querySelector('.figure-place svg') === svg, empty };
    });
    expect(stood).toEqual({ same: true, empty: 0 });
  });

  test('a chart follows the theme as it stands; a picture that leaves carries its colours with it', async () => {
    const fills = () =>
      page().evaluate(() => {
        const text = [...document.querySelectorAll('.figure-place svg text')].find((each) =>
          each.textContent?.startsWith('phase'),
        )!;
        return [getComputedStyle(text).fill, getComputedStyle(document.body).color];
      });
    for (const theme of ['dark', 'light', 'contrast']) {
      await page().evaluate((to) => {
        document.documentElement.dataset.theme = to;
      }, theme);
      const [label, ink] = await fills();
      expect(label).toBe(ink);
    }
    const [download] = await Promise.all([
      page().waitForEvent('download'),
      page().getByRole('button', { name: 'SVG' }).click(),
    ]);
    const svg = readFileSync((await download.path())!, 'utf8');
    expect(svg).toContain('phase A');
    const phaseA = await page().evaluate(() =>
      getComputedStyle(document.documentElement).getPropertyValue('--phase-a').trim(),
    );
    expect(svg).toContain(`fill="${phaseA}"`);
    expect(svg).not.toContain('var(');
  });

  test('complains of nothing but the asks that were cut off on purpose', () => {
    expect(window.complaints.filter((words) => !words.includes('ERR_FAILED'))).toEqual([]);
  });
});

import type { Request } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { cellsOf, inOrder } from './table-cells.ts';
import { eventually, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;
const cells = (head: string) => cellsOf(page(), head);

describe.skipIf(noWindow)('the rows of the ranking', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 260 });
    await visit(page(), '#/ranking');
    await page().locator('.grid-room .grid-row').first().waitFor();
  });
  afterAll(() => window?.close());

  test('Enter on a row that is still to be read opens it once it is', async () => {
    await visit(page(), '#/ranking');
    const grid = page().getByRole('grid', { name: 'Growth of leakage' });
    await page().locator('.grid-room .grid-row').first().waitFor();
    // From the top, and in another order, so that the rows at its end were never asked for.
    await grid.focus();
    await page().keyboard.press('Home');
    await page().getByRole('columnheader', { name: 'Segment' }).getByRole('button').click();
    await eventually(async () => inOrder((await cells('Segment')).slice(0, 12))).toBe(true);
    let answer = (): void => {};
    const held = new Promise<void>((resolve) => {
      answer = resolve;
    });
    await page().route(/ask\/ranking\.page/, async (route) => {
      await held;
      await route.continue();
    });
    await grid.focus();
    await page().keyboard.press('End');
    await page().locator('.grid-row[data-active][data-unread]').waitFor({ state: 'attached' });
    await page().keyboard.press('Enter');
    expect(new URL(page().url()).hash).toBe('#/ranking');
    answer();
    await page().locator('.page-head').waitFor();
    await page().unroute(/ask\/ranking\.page/);
    await page().goBack();
    await page().locator('.grid-room .grid-row').first().waitFor();
    await page()
      .getByRole('columnheader', { name: /^Growth, % a year, 90/ })
      .getByRole('button')
      .click();
  });

  test('draws the rows in sight in their order, wherever it was scrolled to, and the active one wholly in sight', async () => {
    await visit(page(), '#/ranking');
    const grid = page().getByRole('grid', { name: 'Growth of leakage' });
    await page().locator('.grid-room .grid-row').first().waitFor();
    const drawn = () =>
      page().evaluate(() => {
        const pane = document.querySelector('.ranking-table .grid-body')!.getBoundingClientRect();
        const head = document.querySelector('.grid-head')!.getBoundingClientRect();
        const rows = [...document.querySelectorAll('.grid-room .grid-row')];
        const active = document.querySelector('.grid-room .grid-row[data-active]')?.getBoundingClientRect();
        return {
          indices: rows.map((row) => Number(row.getAttribute('aria-rowindex'))),
          // An edge may lie between two of the screen's points.
          activeInSight: active !== undefined && active.top >= head.bottom - 1 && active.bottom <= pane.bottom + 1,
          uncovered:
            rows[0]!.getBoundingClientRect().top > head.bottom + 1 ||
            rows.at(-1)!.getBoundingClientRect().bottom <
              Math.min(pane.bottom, rows[0]!.parentElement!.parentElement!.getBoundingClientRect().bottom) - 1,
          empty: rows.filter((row) => row.matches('[data-unread], [data-ahead]')).length,
        };
      });
    const expectDrawn = async (activeInSight: boolean) => {
      // One look tells everything: between two, the pane may have gone on to rows that are still to be read.
      await eventually(async () => {
        const { indices, ...rest } = await drawn();
        return { ...rest, inOrder: indices.every((index, k) => index === indices[0]! + k), few: indices.length < 45 };
      }).toEqual({ activeInSight, uncovered: false, empty: 0, inOrder: true, few: true });
    };
    await grid.focus();
    await page().keyboard.press('Home');
    await expectDrawn(true);
    for (let k = 0; k < 26; k++) await page().keyboard.press('ArrowDown');
    await expectDrawn(true);
    await page().keyboard.press('PageDown');
    await expectDrawn(true);
    for (const share of [0.9, 0.35, 0.37]) {
      await grid.evaluate((pane, to) => {
        pane.scrollTop = to * (pane.scrollHeight - pane.clientHeight);
      }, share);
      await expectDrawn(false);
    }
    await page().keyboard.press('ArrowUp');
    await expectDrawn(true);
  });

  test('a jump asks once, and shows rows still to be read where the answer is late', async () => {
    await page().reload();
    await visit(page(), '#/ranking');
    const grid = page().getByRole('grid', { name: 'Growth of leakage' });
    await page().locator('#row-0:not([data-unread])').waitFor();
    let release = (): void => {};
    const held = new Promise<void>((resolve) => {
      release = resolve;
    });
    const asked: number[] = [];
    await page().route('**/ask/ranking.page', async (route) => {
      asked.push((route.request().postDataJSON() as { from: number }).from);
      await held;
      await route.continue();
    });
    await grid.evaluate((pane) => {
      pane.scrollTop = 0.7 * (pane.scrollHeight - pane.clientHeight);
    });
    const unread = page().locator('.grid-room .grid-row[data-unread]');
    await eventually(() => unread.count()).toBeGreaterThan(20);
    // The stretch behind the first is read ahead as the page rests.
    expect(asked.filter((from) => from > 50)).toHaveLength(1);
    release();
    await eventually(() => page().locator('.grid-room :is([data-unread], [data-ahead])').count()).toBe(0);
    await page().unroute('**/ask/ranking.page');
    const ranks = (await cells('Rank')).map(Number);
    expect(ranks).toEqual(ranks.map((_, k) => ranks[0]! + k));
    expect(ranks[0]).toBeGreaterThan(150);
  });

  test('what the few words of an open filter would show is read before one is chosen', async () => {
    await page().reload();
    await visit(page(), '#/ranking');
    await page().locator('#row-0:not([data-unread])').waitFor();
    const asked: string[] = [];
    const note = (request: Request): void => {
      if (!request.url().endsWith('/ask/ranking.page')) return;
      const { from, filter } = request.postDataJSON() as { from: number; filter: { insulation?: string[] } };
      if (from === 0) asked.push(filter.insulation?.join('+') ?? 'every');
    };
    page().on('request', note);
    const word = page().getByRole('button', { name: /^Insulation:/ });
    await word.click();
    await page().getByRole('option', { name: 'PILC' }).waitFor();
    const offered = await page().getByRole('option').allInnerTexts();
    expect(offered.length).toBeGreaterThan(3);
    // What stands there already is not asked for again.
    await eventually(() => [...asked].sort()).toEqual(offered.slice(1).sort());
    await page().getByRole('option', { name: 'PILC' }).click();
    await eventually(() => word.innerText()).toBe('PILC');
    await eventually(async () => new Set((await cells('Insulation')).map((text) => text.split(',')[0]))).toEqual(
      new Set(['PILC']),
    );
    expect(asked.filter((names) => names === 'PILC')).toHaveLength(1);
    page().off('request', note);
    await page().keyboard.press('Escape');
    await page().reload();
    await page().locator('#row-0:not([data-unread])').waitFor();
  });

  test('keeps its rows until those of another order have come, wherever it stands', async () => {
    const grid = page().getByRole('grid', { name: 'Growth of leakage' });
    await grid.focus();
    await page().keyboard.press('End');
    const active = page().locator('.grid-row[data-active]:not([data-unread])');
    await eventually(() => active.count()).toBe(1);
    const before = await active.innerText();
    await page().evaluate(() => {
      const blank: number[] = [];
      (globalThis as { blank?: number[] }).blank = blank;
      new MutationObserver(() => blank.push(document.querySelectorAll('.grid-row[data-unread]').length)).observe(
        document.querySelector('.grid-room')!,
        { subtree: true, childList: true, attributes: true, characterData: true },
      );
    });
    const tests = page().getByRole('columnheader', { name: 'Tests' }).getByRole('button');
    await tests.click();
    await eventually(() => active.innerText()).not.toBe(before);
    const blank = await page().evaluate(() => (globalThis as { blank?: number[] }).blank);
    expect(blank!.length).toBeGreaterThan(0);
    expect(Math.max(...blank!)).toBe(0);
    await page()
      .getByRole('columnheader', { name: /^Growth, % a year, 90/ })
      .getByRole('button')
      .click();
    await page().keyboard.press('Home');
  });

  test('what was on its way ahead while something was written is asked again', async () => {
    await page().reload();
    await visit(page(), '#/ranking');
    await page().locator('#row-0:not([data-unread])').waitFor();
    // First rows alone: those that follow them are read ahead too, at any time.
    const asked: string[] = [];
    const times = (words: string): number => asked.filter((each) => each === words).length;
    let release = (): void => {};
    const held = new Promise<void>((resolve) => {
      release = resolve;
    });
    await page().route('**/ask/ranking.page', async (route) => {
      const { from, filter } = route.request().postDataJSON() as { from: number; filter: { insulation?: string[] } };
      const words = filter.insulation?.join('+') ?? 'every';
      if (from === 0) asked.push(words);
      if (words !== 'every' && times(words) === 1) await held;
      await route.continue();
    });
    await page()
      .getByRole('button', { name: /^Insulation:/ })
      .click();
    await eventually(() => asked.length).toBe(1);
    const [first] = asked as [string];
    // Money is nothing that the ranking is drawn from.
    const pool = await window.host.shelf.pool();
    const set = await pool.send('plan.setCost', { name: 'repairPerFailure', value: 61_000, source: 'a letter' });
    expect(set.ok).toBe(true);
    // What stands there is asked for again, once the page has heard of it.
    await eventually(() => times('every')).toBe(1);
    release();
    expect(times(first)).toBe(1);
    await page().getByRole('option', { name: first, exact: true }).click();
    await eventually(() => times(first)).toBe(2);
    await page().keyboard.press('Escape');
    await page().unroute('**/ask/ranking.page');
  });

  test('complain of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

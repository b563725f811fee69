import { readFileSync } from 'node:fs';
import type { Request } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { eventually, longWork, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;
const cells = (name: string) =>
  page().evaluate((head) => {
    const heads = [...document.querySelectorAll('.grid-head [role=columnheader]')].map((el) => el.textContent ?? '');
    const at = heads.findIndex((text) => text.startsWith(head));
    const rows = [...document.querySelectorAll<HTMLElement>('.grid-room .grid-row')];
    rows.sort((a, b) => Number(a.getAttribute('aria-rowindex')) - Number(b.getAttribute('aria-rowindex')));
    return rows.map((row) => row.children[at]?.textContent ?? '');
  }, name);

const inOrder = (names: readonly string[]) =>
  names.every((name, at) => at === 0 || name.localeCompare(names[at - 1]!, 'en', { numeric: true }) >= 0);

describe.skipIf(noWindow)('the place Ranking', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 260 });
    await visit(page(), '#/ranking');
    await page().locator('.grid-room .grid-row').first().waitFor();
  });
  afterAll(() => window?.close());

  test('puts the fastest growth on top', async () => {
    const ranks = (await cells('Rank')).map(Number);
    expect(ranks.slice(0, 10)).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10]);
    const values = await page().evaluate(() =>
      [...document.querySelectorAll('.grid-room .interval')].map((el) =>
        Number.parseFloat((el.getAttribute('aria-label') ?? '').replace('−', '-')),
      ),
    );
    expect(values.slice(0, 12)).toEqual([...values.slice(0, 12)].sort((a, b) => b - a));
  });

  test('sorts by a head, once and again', async () => {
    await page().getByRole('columnheader', { name: 'Segment' }).getByRole('button').click();
    await eventually(async () => inOrder((await cells('Segment')).slice(0, 12))).toBe(true);
    expect(await page().getByRole('columnheader', { name: 'Segment' }).getAttribute('aria-sort')).toBe('ascending');
    await page().getByRole('columnheader', { name: 'Segment' }).getByRole('button').click();
    await eventually(async () => inOrder((await cells('Segment')).slice(0, 12).reverse())).toBe(true);
    expect(await page().getByRole('columnheader', { name: 'Segment' }).getAttribute('aria-sort')).toBe('descending');
    await page()
      .getByRole('columnheader', { name: /^Growth, % a year, 90/ })
      .getByRole('button')
      .click();
  });

  test('the ring of focus goes around a head and its arrow', async () => {
    const sort = page()
      .getByRole('columnheader', { name: /^Growth, % a year, 90/ })
      .getByRole('button');
    const { button, arrow } = await sort.evaluate((el) => {
      const range = document.createRange();
      range.selectNodeContents(el.querySelector('.grid-arrow')!);
      return { button: el.getBoundingClientRect().right, arrow: range.getBoundingClientRect().right };
    });
    expect(await sort.locator('.grid-arrow').innerText()).toBe('↓');
    expect(arrow).toBeLessThanOrEqual(button);
  });

  test('keeps only what its words say', async () => {
    await page()
      .getByRole('button', { name: /^Insulation:/ })
      .click();
    await page().getByRole('option', { name: 'PILC' }).click();
    await page().keyboard.press('Escape');
    await eventually(async () => new Set((await cells('Insulation')).map((text) => text.split(',')[0]))).toEqual(
      new Set(['PILC']),
    );
    await eventually(() =>
      page()
        .getByRole('button', { name: /^Insulation:/ })
        .innerText(),
    ).toBe('PILC');
    await page()
      .getByRole('button', { name: /^Insulation:/ })
      .click();
    await page().getByRole('option', { name: 'every insulation' }).click();
    await eventually(
      async () => new Set((await cells('Insulation')).map((text) => text.split(',')[0])).size,
    ).toBeGreaterThan(1);
  });

  test('names feeders once a substation is named', async () => {
    expect(
      await page()
        .getByRole('button', { name: /^Feeder:/ })
        .count(),
    ).toBe(0);
    await page()
      .getByRole('button', { name: /^Substation:/ })
      .click();
    const name = await page().getByRole('option').nth(1).innerText();
    await page().getByRole('option').nth(1).click();
    await page()
      .getByRole('button', { name: /^Feeder:/ })
      .waitFor();
    await eventually(() =>
      page()
        .getByRole('button', { name: /^Substation:/ })
        .innerText(),
    ).toBe(name);
    await page()
      .getByRole('button', { name: /^Substation:/ })
      .click();
    await page().getByRole('option', { name: 'every substation' }).click();
  });

  test('is walked by keys to its very end, and Enter opens the row', async () => {
    const grid = page().getByRole('grid', { name: 'Growth of leakage' });
    await eventually(async () => Number(await grid.getAttribute('aria-rowcount'))).toBeGreaterThan(200);
    await grid.focus();
    await page().keyboard.press('End');
    const last = Number(await grid.getAttribute('aria-rowcount'));
    await eventually(() => page().locator('.grid-row[data-active]').getAttribute('aria-rowindex')).toBe(String(last));
    const name = await page().locator('.grid-row[data-active]:not([data-unread]) .strong').innerText();
    await page().keyboard.press('Enter');
    await eventually(() => page().locator('main h1').innerText()).toBe(name);
  });

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

  test('is saved whole as CSV with the columns that are fixed', async () => {
    await visit(page(), '#/ranking');
    const [download] = await Promise.all([
      page().waitForEvent('download'),
      page().getByRole('button', { name: 'CSV' }).click(),
    ]);
    const [head, ...rows] = readFileSync((await download.path())!, 'utf8')
      .trim()
      .split(/\r?\n/);
    expect(head).toBe(
      'rank,segment_id,growth_pct_per_yr,growth_lo,growth_hi,p_growing,level_ns_per_km,tests,p_exceed_5y,crossing_year',
    );
    expect(rows.length).toBeGreaterThan(200);
  });

  test('is as it was left when one comes back from a segment’s page: filter, order and row', async () => {
    const grid = page().getByRole('grid', { name: 'Growth of leakage' });
    const all = Number(await grid.getAttribute('aria-rowcount'));
    expect(all).toBeGreaterThan(200);
    await page()
      .getByRole('button', { name: /^Growth:/ })
      .click();
    await page().getByRole('option', { name: 'surely growing' }).click();
    const labels = () =>
      page().evaluate(() =>
        [...document.querySelectorAll('.grid-room .interval')].map((el) => el.getAttribute('aria-label') ?? ''),
      );
    await eventually(async () => Number(await grid.getAttribute('aria-rowcount'))).toBeLessThan(all);
    await eventually(async () => (await labels()).every((label) => !label.includes('includes no growth'))).toBe(true);
    const rows = Number(await grid.getAttribute('aria-rowcount'));
    await grid.focus();
    await page().keyboard.press('End');
    await eventually(() => page().locator('.grid-row[data-active]').getAttribute('aria-rowindex')).toBe(String(rows));
    const last = await page().locator('.grid-row[data-active]:not([data-unread]) .strong').innerText();
    await page().keyboard.press('Enter');
    await eventually(() => page().locator('main h1').innerText()).toBe(last);
    await page().goBack();
    await eventually(() => page().locator('.grid-row[data-active] .strong').innerText()).toBe(last);
    await page().locator('.grid-row[data-active]').waitFor();
    await eventually(async () => Number(await grid.getAttribute('aria-rowcount'))).toBe(rows);
    // The focus is where it was: keys walk the rows at once.
    await eventually(() => page().evaluate(() => document.activeElement?.getAttribute('role'))).toBe('grid');
    await page().keyboard.press('Home');
    await eventually(() => page().locator('.grid-body').getAttribute('aria-activedescendant')).toBe('row-0');
    await page().keyboard.press('End');
    await eventually(() => page().locator('.grid-body').getAttribute('aria-activedescendant')).toBe(`row-${rows - 2}`);
  });

  test('keeps a view with its columns under a name', async () => {
    await page()
      .getByRole('button', { name: /^Columns:/ })
      .click();
    await page().getByRole('option', { name: 'Tests' }).click();
    await page().keyboard.press('Escape');
    const heads = () => page().locator('.grid-head [role=columnheader]').allInnerTexts();
    await eventually(heads).not.toContain('Tests');
    const views = page().getByRole('button', { name: /^Kept views:/ });
    await views.click();
    await page()
      .getByRole('option', { name: /^Keep this view/ })
      .click();
    await page().getByLabel('Name').fill('for the board');
    await page().getByRole('button', { name: 'Keep it' }).click();
    await eventually(() => views.innerText()).toBe('for the board');
    await page()
      .getByRole('button', { name: /^Columns:/ })
      .click();
    await page().getByRole('option', { name: 'Tests' }).click();
    await page().keyboard.press('Escape');
    await page()
      .getByRole('button', { name: /^Growth:/ })
      .click();
    await page().getByRole('option', { name: 'every growth' }).click();
    await eventually(heads).toContain('Tests');
    await eventually(() => views.innerText()).toBe('views');
    await views.click();
    await page().getByRole('option', { name: 'for the board' }).click();
    await eventually(heads).not.toContain('Tests');
    await eventually(() =>
      page()
        .getByRole('button', { name: /^Growth:/ })
        .innerText(),
    ).toBe('surely growing');
  });

  test('is printed as PDF in the view that is shown', async () => {
    await page()
      .getByRole('button', { name: /^Print:/ })
      .click();
    const [download] = await Promise.all([
      page().waitForEvent('download', longWork),
      page().getByRole('option', { name: 'PDF, Letter' }).click(),
    ]);
    expect(download.suggestedFilename()).toBe('ranking.pdf');
    expect(
      readFileSync((await download.path())!)
        .subarray(0, 8)
        .toString(),
    ).toBe('%PDF-1.7');
  });

  test('says what changed since a day that is typed, why, and keeps to one reason', async () => {
    await visit(page(), '#/ranking');
    await page().getByRole('link', { name: 'what changed' }).click();
    const said = page().locator('.changed .say');
    await eventually(() => said.innerText()).toMatch(/segments ranked on both days/);
    const day = page().getByRole('textbox', { name: /^Compared with the day/ });
    await day.fill('2021-06-30');
    await eventually(() => new URL(page().url()).hash).toBe('#/ranking/since-2021-06-30');
    await eventually(() => said.innerText()).toMatch(/^From 2021-06-30 to/);
    const rows = page().locator('.changed-table tbody tr');
    await rows.nth(10).waitFor();
    const ranks = await rows.locator('td:first-child [aria-hidden]').allInnerTexts();
    // The nearest to the head of either ranking first.
    const heads = ranks.map((text) => Math.min(...(text.match(/\d+/g) ?? []).map(Number)));
    expect(heads).toEqual([...heads].sort((a, b) => a - b));
    await page()
      .getByRole('button', { name: /^Reason:/ })
      .click();
    await page()
      .getByRole('option', { name: /^a test of its own/ })
      .click();
    await eventually(async () =>
      (await rows.locator('td:last-child').allInnerTexts()).every((why) => /test of \d{4}-\d\d-\d\d/.test(why)),
    ).toBe(true);
    const [download] = await Promise.all([
      page().waitForEvent('download'),
      page().getByRole('button', { name: 'CSV' }).click(),
    ]);
    expect(readFileSync((await download.path())!, 'utf8')).toMatch(/^segment_id,name,rank_then,rank,/);
  });

  test('complains of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { cellsOf, inOrder } from './table-cells.ts';
import { eventually, longWork, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;
const cells = (head: string) => cellsOf(page(), head);

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

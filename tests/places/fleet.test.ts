import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { eventually, focused, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;

describe.skipIf(noWindow)('the place Fleet', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 120 });
  });
  afterAll(() => window?.close());

  test('opens with what the fleet holds, and where leakage grows fastest', async () => {
    await page().locator('.first-look tbody tr').first().waitFor();
    await eventually(() => page().locator('main h1').innerText()).toBe('Harrow Vale Municipal Power');
    await eventually(() => page().locator('.say').innerText()).toMatch(
      /^\d+ segments of cable in service, \d+\skm, on \d+ feeders of 3 substations(; \d+ more retired)?\./,
    );
    await eventually(() => page().title()).toBe('Harrow Vale Municipal Power · Cable Yearbook');
  });

  test('is walked by keys: arrows open and close, letters find, Enter opens the page', async () => {
    const tree = page().getByRole('tree');
    await tree.getByRole('treeitem').first().waitFor();
    const active = () =>
      tree.evaluate((el) =>
        document.getElementById(el.getAttribute('aria-activedescendant') ?? '')?.getAttribute('aria-label'),
      );
    let answer = (): void => {};
    const held = new Promise<void>((resolve) => {
      answer = resolve;
    });
    await page().route(/ask\/fleet\.tree/, async (route) => {
      await held;
      await route.continue();
    });
    await tree.focus();
    await page().keyboard.press('Home');
    const first = await active();
    await page().keyboard.press('ArrowRight');
    // What stands below is still to come, and is not the neighbour.
    await page().keyboard.press('ArrowRight');
    expect(await active()).toBe(first);
    answer();
    await eventually(() => page().locator('[role=treeitem][aria-level="2"]').count()).toBeGreaterThan(1);
    await page().unroute(/ask\/fleet\.tree/);
    await page().keyboard.press('ArrowRight');
    expect(await page().locator('[data-active]').getAttribute('aria-level')).toBe('2');
    const second = await page().locator('[role=treeitem][aria-level="2"]').nth(1).locator('.tree-name').innerText();
    // All in one go: letters that come too far apart begin another word.
    await tree.evaluate(async (el, letters) => {
      for (const key of letters) {
        el.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
        await Promise.resolve();
      }
    }, second.slice(0, 4).toLowerCase());
    await eventually(active).toMatch(new RegExp(`^${second.slice(0, 4)}`, 'i'));
    await page().keyboard.press('ArrowRight');
    await page().locator('[role=treeitem][aria-level="3"]').first().waitFor();
    await page().keyboard.press('ArrowRight');
    const name = (await active())!.split(',')[0]!;
    await page().keyboard.press('Enter');
    await eventually(() => page().locator('main h1').innerText()).toBe(name);
    await eventually(() => page().locator('[role=treeitem][aria-current=page]').getAttribute('aria-label')).toMatch(
      new RegExp(`^${name}`),
    );
    await tree.focus();
    await page().keyboard.press('ArrowLeft');
    expect(await page().locator('[data-active]').getAttribute('aria-level')).toBe('2');
    await page().keyboard.press('ArrowLeft');
    await eventually(() => page().locator('[role=treeitem][aria-level="3"]').count()).toBe(0);
  });

  test('finds a segment from anywhere with Ctrl+K and four letters', async () => {
    await visit(page(), '#/import');
    await page().keyboard.press('Control+k');
    await page().keyboard.type('mill');
    const list = page().getByRole('listbox', { name: 'Found' });
    // The hits of fewer letters stand until those of all of them have come.
    await eventually(() => list.getAttribute('aria-busy')).toBe('false');
    const options = list.getByRole('option');
    await options.first().waitFor();
    const names = await options.locator('.strong').allInnerTexts();
    expect(names.length).toBeGreaterThan(0);
    const hit = options.filter({ hasText: 'segment' }).first();
    const wanted = await hit.locator('.strong').innerText();
    const all = await options.allInnerTexts();
    for (let step = all.findIndex((text) => text.startsWith(wanted)); step > 0; step--)
      await page().keyboard.press('ArrowDown');
    await page().keyboard.press('Enter');
    await eventually(() => page().locator('main h1').innerText()).toBe(wanted);
  });

  // Enter once opened the first hit of the letters before, where the answer to the last ones was still on its way.
  test('Enter waits for the answer to all that is typed', async () => {
    await visit(page(), '#/ranking');
    const wanted = await page().locator('.grid-room .grid-row .strong').nth(4).innerText();
    await page().keyboard.press('Control+k');
    await page().keyboard.type('a');
    await page().getByRole('listbox', { name: 'Found' }).getByRole('option').first().waitFor();
    let answer = (): void => {};
    const held = new Promise<void>((resolve) => {
      answer = resolve;
    });
    await page().route(/ask\/fleet\.find/, async (route) => {
      await held;
      await route.continue();
    });
    await page().keyboard.press('Backspace');
    await page().keyboard.type(wanted);
    await page().keyboard.press('Enter');
    expect(new URL(page().url()).hash).toBe('#/ranking');
    answer();
    await eventually(() => page().locator('main h1').innerText()).toBe(wanted);
    await page().unroute(/ask\/fleet\.find/);
  });

  test('an arrow down before there are hits leaves the first of them chosen', async () => {
    await visit(page(), '#/ranking');
    const wanted = await page().locator('.grid-room .grid-row .strong').nth(6).innerText();
    let answer = (): void => {};
    const held = new Promise<void>((resolve) => {
      answer = resolve;
    });
    await page().route(/ask\/fleet\.find/, async (route) => {
      await held;
      await route.continue();
    });
    await page().keyboard.press('Control+k');
    await page().keyboard.type(wanted);
    await page().keyboard.press('ArrowDown');
    await page().keyboard.press('Enter');
    answer();
    await eventually(() => page().locator('main h1').innerText()).toBe(wanted);
    await page().unroute(/ask\/fleet\.find/);
  });

  test('says that nothing is called so', async () => {
    await page().keyboard.press('Control+k');
    await page().keyboard.type('zzzzqqq');
    await page().getByText('Nothing is called so').waitFor();
    await page().keyboard.press('Escape');
    await eventually(() => page().locator('#finder').inputValue()).toBe('');
  });

  test('shows a chart whose table twin and CSV hold every reading that the tests table has', async () => {
    await visit(page(), '#/ranking');
    await page().locator('.grid-room .grid-row').first().click();
    await page().locator('.figure-place svg text').first().waitFor();
    const tests = await page().locator('.tests-table tbody tr').count();
    await page().getByRole('button', { name: 'table', exact: true }).click();
    const twin = page().getByRole('region', { name: /as a table/ });
    await twin.locator('tbody tr').first().waitFor();
    const rows = await twin.locator('tbody tr td:first-child').allInnerTexts();
    const readings = rows.filter((what) => what.startsWith('phase '));
    expect(readings.length).toBeGreaterThanOrEqual(tests);
    const [download] = await Promise.all([
      page().waitForEvent('download'),
      page().getByRole('button', { name: 'CSV' }).click(),
    ]);
    const csv = readFileSync((await download.path())!, 'utf8');
    expect(csv.split('\r\n').filter((line) => line.includes('phase ')).length).toBe(readings.length);
    await page().getByRole('button', { name: 'chart', exact: true }).click();
  });

  test('keeps the picture: the SVG is drawn with the words of the chart, the PNG is a PNG', async () => {
    await page().locator('.figure-place svg text').first().waitFor();
    const save = async (name: string) => {
      const [download] = await Promise.all([
        page().waitForEvent('download'),
        page().getByRole('button', { name }).click(),
      ]);
      return readFileSync((await download.path())!);
    };
    expect((await save('SVG')).toString()).toContain('phase A');
    expect((await save('PNG')).subarray(1, 4).toString()).toBe('PNG');
  });

  test('leads from a raised numeral to its note', async () => {
    await page().getByRole('button', { name: 'Note 1' }).click();
    await eventually(() => page().evaluate(() => document.activeElement?.id)).toBe('note-1');
  });

  test('opens the readings of a test at its date', async () => {
    const date = page().locator('.tests-table .fold').first();
    await date.click();
    expect(await date.getAttribute('aria-expanded')).toBe('true');
    await page().locator('.readings table').getByText('In the model').waitFor();
    const aligned = (cells: string) =>
      page()
        .locator(`.readings table ${cells}`)
        .evaluateAll((els) => els.map((el) => getComputedStyle(el).textAlign));
    expect(await aligned('tbody tr:first-child td')).toEqual(await aligned('thead th'));
  });

  test('switches to US customary units and back', async () => {
    const where = page().locator('.where');
    expect(await where.innerText()).toMatch(/\smm²/);
    await page().getByRole('button', { name: 'View' }).click();
    await page()
      .getByRole('menuitemradio', { name: /US customary/ })
      .click();
    await eventually(() => where.innerText()).toMatch(/(AWG|kcmil)/);
    await eventually(() => where.innerText()).toMatch(/\sk?ft/);
    await eventually(() => page().locator('.tests-table > thead').innerText()).toContain('°F');
    const menu = page().locator('.menu-sheet');
    await menu.waitFor({ state: 'detached' });
    await page().getByRole('button', { name: 'View' }).click();
    await page()
      .getByRole('menuitemradio', { name: /Metric/ })
      .click();
    await menu.waitFor({ state: 'detached' });
    await eventually(() => where.innerText()).toMatch(/\smm²/);
  });

  test('shows its keys on ?', async () => {
    await page().locator('main h1').click();
    await page().keyboard.press('?');
    await page().getByRole('dialog', { name: 'Keys' }).waitFor();
    await focused(page().getByRole('dialog', { name: 'Keys' }));
    await page().keyboard.press('Escape');
    await eventually(() => page().getByRole('dialog').count()).toBe(0);
  });

  test('complains of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

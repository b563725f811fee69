import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { eventually, focused, holdWord, longWork, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;

describe.skipIf(noWindow)('the place Plan', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 40 });
  });
  afterAll(() => window?.close());

  test('says what is wrong with its terms before anything is made', async () => {
    await visit(page(), '#/plan');
    await page().getByLabel('Years of the plan').fill('0');
    await page().getByText('The plan spans 1 to 30 whole years.').waitFor();
    expect(await page().getByRole('button', { name: 'Make the plan' }).isDisabled()).toBe(true);
    await page().getByLabel('Years of the plan').fill('3');
    await page().getByLabel('Budget of each year').fill('300,000');
  });

  test('spends no year’s money twice, and shows its years as columns', async () => {
    await page()
      .getByRole('button', { name: /^What is sought/ })
      .click();
    await page().getByRole('option', { name: 'the most benefit net of cost' }).click();
    await page()
      .getByRole('button', { name: /^What is sought/ })
      .click();
    await page().getByRole('option', { name: 'the most risk removed' }).click();
    await page()
      .getByRole('button', { name: /^What is sought/ })
      .click();
    await page().getByRole('option', { name: 'the most risk removed' }).click();
    await page().getByRole('button', { name: 'Make the plan' }).click();
    await page().locator('.plan-item').first().waitFor(longWork);
    expect(await page().locator('.plan-year').count()).toBe(3);
    const rules = await page()
      .locator('.plan-rule')
      .evaluateAll((els) => els.map((el) => el.getAttribute('aria-label')));
    expect(rules).toHaveLength(3);
    const shares = await page()
      .locator('.plan-spent')
      .evaluateAll((els) => els.map((el) => Number.parseFloat(el.getAttribute('width') ?? '')));
    for (const share of shares) expect(share).toBeLessThanOrEqual(100);
    expect(await page().locator('.plan-sheet .say').innerText()).toMatch(/\d+ projects? for .* of the risk/);
  });

  test('tells the price of moving one project, and moves it', async () => {
    const item = page().locator('.plan-item').first();
    const name = (await item.getAttribute('aria-label'))!.split(',')[0]!;
    await item.click();
    const dialog = page().getByRole('dialog');
    await dialog.getByLabel('Move it to').selectOption({ index: 2 });
    await dialog.getByRole('button', { name: /See what the move costs/ }).click();
    await page().locator('.trial').waitFor(longWork);
    expect(await page().locator('.trial').innerText()).toMatch(/It (costs|gains)/);
    await page().getByRole('button', { name: 'Move it', exact: true }).click();
    await eventually(() => page().locator('.wishes').innerText()).toContain(name);
    const third = page().locator('.plan-year').nth(2);
    await eventually(() =>
      third.locator('.plan-item').evaluateAll((els) => els.map((el) => el.getAttribute('aria-label'))),
    ).toContainEqual(expect.stringMatching(new RegExp(`^${name},`)));
  });

  test('keeps a plan under a name and locks it when it is approved', async () => {
    await page().getByRole('button', { name: 'keep this plan…' }).click();
    await page().getByRole('dialog').getByLabel('Name').fill('Board, spring');
    await page().getByRole('button', { name: 'Keep it' }).click();
    await page().getByRole('dialog').waitFor({ state: 'detached' });
    await eventually(() => page().locator('.kept-as').innerText()).toMatch(
      /^“Board, spring” was kept by .*; a draft\./,
    );
    await visit(page(), '#/plan/kept');
    await page().getByRole('button', { name: 'approve…' }).click();
    await page().getByRole('dialog').getByLabel('Reason').fill('Agreed at the spring meeting');
    await page().getByRole('button', { name: 'Approve', exact: true }).click();
    await eventually(() => page().locator('.kept tbody').innerText()).toMatch(/Board, spring.*approved by/s);
    expect(await page().getByRole('button', { name: 'approve…' }).count()).toBe(0);
  });

  test('says when the terms typed are not those of the plan below, and a kept plan that is opened brings its own', async () => {
    await visit(page(), '#/plan');
    const budget = page().getByLabel('Budget of each year');
    const own = await budget.inputValue();
    await eventually(() => page().locator('.terms').innerText()).not.toContain('other terms');
    await budget.fill('4,000,000');
    await eventually(() => page().locator('.terms').innerText()).toMatch(
      /plan below was made on other terms: .* from \d{4}\./,
    );
    await visit(page(), '#/plan/kept');
    await page().getByRole('button', { name: 'Board, spring' }).click();
    await eventually(() => budget.inputValue()).toBe(own);
    await eventually(() => page().locator('.terms').innerText()).not.toContain('other terms');
    await eventually(() => page().locator('.kept-as').innerText()).toMatch(
      /^“Board, spring” was kept by .+ on \d{4}-\d\d-\d\d \d\d:\d\d UTC; approved by .+, \d{4}-\d\d-\d\d\. Nothing that it was made from has changed since\.$/,
    );
  });

  test('sets a cost with its source, and takes it back', async () => {
    await visit(page(), '#/plan/costs');
    const row = page().locator('tbody tr').filter({ hasText: 'repair of one failure' });
    const before = await row.getByRole('button').innerText();
    await row.getByRole('button').click();
    await page()
      .getByRole('dialog')
      .getByLabel(/^Value/)
      .fill('31,000');
    await page().getByRole('dialog').getByLabel('Source').fill('ledger of repairs 2020 to 2025');
    await page().getByRole('button', { name: 'Set it' }).click();
    await holdWord(page(), /is now 31,000/);
    await eventually(() => row.innerText()).toMatch(/31,000.*ledger of repairs 2020 to 2025/s);
    await page().getByRole('button', { name: 'Undo' }).click();
    await eventually(() => row.getByRole('button').innerText()).toBe(before);
  });

  test('names the currency, which then stands beside the money of the terms and of the next plan', async () => {
    await page().getByRole('button', { name: 'name the currency…' }).click();
    const dialog = page().getByRole('dialog');
    await dialog.getByLabel('Currency').fill('EUR');
    await dialog.getByLabel('Source').fill('the treasurer');
    await dialog.getByRole('button', { name: 'Set it' }).click();
    await page().getByText('All money is in EUR.').waitFor();
    await visit(page(), '#/plan');
    await eventually(() => page().locator('.terms .say').innerText()).toMatch(/^Spend\s+EUR a year for/);
  });

  test('lays ten years side by side at 1440: the largest works of each, the others counted, with a list of all', async () => {
    await visit(page(), '#/plan');
    await page().getByLabel('Years of the plan').fill('10');
    await page().getByLabel('Budget of each year').fill('2,500,000');
    // The fleet's currency was named since: the plan of before stands for what it is, and its words are told once.
    await eventually(() => page().locator('.kept-as').innerText()).toContain('The fleet has changed since');
    let answer = (): void => {};
    const held = new Promise<void>((resolve) => {
      answer = resolve;
    });
    await page().route(/ask\/plan\.make/, async (route) => {
      await held;
      await route.continue();
    });
    await page().getByRole('button', { name: 'Make it again' }).click();
    await page().getByText('The former plan, until the new one is here:').waitFor();
    expect(await page().locator('.plan-sheet.former').count()).toBe(1);
    answer();
    await eventually(() => page().locator('.plan-year').count(), longWork).toBe(10);
    await page().unroute(/ask\/plan\.make/);
    await eventually(() => page().locator('.plan-sheet.former').count()).toBe(0);
    expect(await page().locator('.kept-as').count()).toBe(0);
    const board = page().locator('.plan-years');
    await eventually(() => board.evaluate((el) => el.scrollWidth - el.clientWidth)).toBe(0);
    const shown = await page()
      .locator('.plan-year')
      .evaluateAll((years) =>
        years.map((year) => ({
          works: year.querySelectorAll('.plan-item').length,
          by: year.textContent.split('›').length - 1,
          rest: Number(/and (\d+) more/.exec(year.textContent)?.[1] ?? 0),
        })),
      );
    const total = shown.reduce((sum, year) => sum + year.works + year.rest, 0);
    const says = await page().locator('.plan-sheet .say').innerText();
    expect(says).toMatch(new RegExp(`^${total} projects? for [\\d.]+\\smillion\\sEUR remove`));
    // How many pay for themselves is said; net is benefit less cost and what cable is still worth.
    expect(says).toMatch(
      /(\d+ of them pays?|None of them pays|Each of them pays) for (itself|themselves) within 20 years/,
    );
    expect(await page().locator('.margin').innerText()).toMatch(
      /of risk removed, less .* of cost, plus .* that new cable is still worth .* net/,
    );
    for (const year of shown) expect(year.works).toBeLessThanOrEqual(8 + year.by);
    const full = shown.findIndex((year) => year.rest > 0);
    expect(full).toBeGreaterThanOrEqual(0);
    await page().locator('.plan-year').nth(full).getByRole('button', { name: /more/ }).click();
    const dialog = page().getByRole('dialog');
    const { works, rest } = shown[full]!;
    expect(await dialog.innerText()).toContain(`${works + rest} projects on `);
    const grid = dialog.getByRole('grid');
    expect(await grid.getAttribute('aria-rowcount')).toBe(String(works + rest + 1));
    // By keyboard to the last of them, which is not on the board.
    await grid.focus();
    await page().keyboard.press('End');
    await page().keyboard.press('Enter');
    await dialog.getByRole('button', { name: 'See what leaving it costs' }).waitFor();
    await focused(dialog);
    await page().keyboard.press('Escape');
    await grid.waitFor();
    await focused(dialog);
    await page().keyboard.press('Escape');
    await dialog.waitFor({ state: 'detached' });
  });

  test('is one tab stop that arrows walk, also where it must scroll; Shift with → tells the price of a year later', async () => {
    await page().setViewportSize({ width: 1024, height: 700 });
    const board = page().locator('.plan-years');
    expect(await board.locator('button[tabindex="0"].plan-item').count()).toBe(1);
    await board.locator('button[tabindex="0"].plan-item').focus();
    for (let i = 0; i < 9; i++) await page().keyboard.press('ArrowRight');
    const years = board.locator('.plan-year');
    const last = await years.evaluateAll((all) => all.findLastIndex((year) => year.querySelector('button')));
    const at = () => years.evaluateAll((all) => all.findIndex((year) => year.contains(document.activeElement)));
    expect(await at()).toBe(last);
    await eventually(() =>
      board.evaluate((el) => {
        const [seen, frame] = [document.activeElement!.getBoundingClientRect(), el.getBoundingClientRect()];
        return seen.left >= frame.left && seen.right <= frame.right;
      }),
    ).toBe(true);
    for (let i = 0; i < 9; i++) await page().keyboard.press('ArrowLeft');
    expect(await at()).toBe(0);
    await page().keyboard.press('Home');
    await page().keyboard.press('Shift+ArrowRight');
    await page().locator('.trial').waitFor(longWork);
    const head = await years.nth(1).getByRole('heading').innerText();
    expect(await page().locator('.trial').innerText()).toContain(` in ${head}.`);
    await page().getByRole('button', { name: 'Leave it where it is' }).click();
    await page().setViewportSize({ width: 1440, height: 900 });
  });

  test('tells the price of a work dragged to another year', async () => {
    const years = page().locator('.plan-year');
    const head = await years.nth(3).getByRole('heading').innerText();
    await years.first().locator('.plan-item').first().dragTo(years.nth(3));
    await page().locator('.trial').waitFor(longWork);
    expect(await page().locator('.trial').innerText()).toContain(` in ${head}.`);
    await page().getByRole('button', { name: 'Leave it where it is' }).click();
  });

  test('shows the plan under other terms, each made anew, when it is asked to', async () => {
    const section = page().getByRole('region', { name: 'If things were otherwise' });
    await section.getByRole('button', { name: 'Work it out' }).click();
    await section.locator('tbody tr').first().waitFor(longWork);
    expect(await section.locator('tbody tr').count()).toBe(6);
    const works = await section.locator('tbody tr').first().locator('td').nth(1).innerText();
    expect(await page().locator('.plan-sheet .say').innerText()).toMatch(new RegExp(`^${works} projects? for`));
  });

  test('complains of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { eventually, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;

describe.skipIf(noWindow)('the place Plan', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 40 });
  }, 120_000);
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
    await page().locator('.plan-item').first().waitFor({ timeout: 150_000 });
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
  }, 180_000);

  test('tells the price of moving one project, and moves it', async () => {
    const item = page().locator('.plan-item').first();
    const name = (await item.getAttribute('aria-label'))!.split(',')[0]!;
    await item.click();
    const dialog = page().getByRole('dialog');
    await dialog.getByLabel('Move it to').selectOption({ index: 2 });
    await dialog.getByRole('button', { name: /See what the move costs/ }).click();
    await page().locator('.trial').waitFor({ timeout: 150_000 });
    expect(await page().locator('.trial').innerText()).toMatch(/It (costs|gains)/);
    await page().getByRole('button', { name: 'Move it', exact: true }).click();
    await eventually(() => page().locator('.wishes').innerText()).toContain(name);
    const third = page().locator('.plan-year').nth(2);
    await eventually(() =>
      third.locator('.plan-item').evaluateAll((els) => els.map((el) => el.getAttribute('aria-label'))),
    ).toContainEqual(expect.stringMatching(new RegExp(`^${name},`)));
  }, 180_000);

  test('keeps a plan under a name and locks it when it is approved', async () => {
    await page().getByRole('button', { name: 'keep this plan…' }).click();
    await page().getByRole('dialog').getByLabel('Name').fill('Board, spring');
    await page().getByRole('button', { name: 'Keep it' }).click();
    await page().getByRole('dialog').waitFor({ state: 'detached' });
    await visit(page(), '#/plan/kept');
    await page().getByRole('button', { name: 'approve…' }).click();
    await page().getByRole('dialog').getByLabel('Reason').fill('Agreed at the spring meeting');
    await page().getByRole('button', { name: 'Approve', exact: true }).click();
    await eventually(() => page().locator('.kept tbody').innerText()).toMatch(/Board, spring.*approved by/s);
    expect(await page().getByRole('button', { name: 'approve…' }).count()).toBe(0);
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
    await eventually(() => row.innerText()).toMatch(/31,000.*ledger of repairs 2020 to 2025/s);
    await page().getByRole('button', { name: 'Undo' }).click();
    await eventually(() => row.getByRole('button').innerText()).toBe(before);
  });

  test('complains of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

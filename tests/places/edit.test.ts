import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { violations } from './accessibility.ts';
import { eventually, focused, holdWord, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;
const note = () => page().locator('.margin-note:has(> h2:text-is("The cable"))');
const toast = () => page().locator('.toast');

describe.skipIf(noWindow)('a segment edited where it stands', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 80 });
    await visit(page(), '#/fleet');
    await page().locator('.first-look tbody a').first().click();
    await note().waitFor();
  });
  afterAll(() => window?.close());

  test('E opens the form, Enter saves a field, Undo puts it back; the history keeps both', async () => {
    const before = await note().innerText();
    await page().keyboard.press('e');
    const word = page().getByRole('button', { name: /^Length, with its unit/ });
    const was = await word.innerText();
    await word.press('Enter');
    const field = page().getByLabel('Length, with its unit');
    expect(await field.inputValue()).toBe(was);
    await field.fill('1234');
    await field.press('Enter');
    await eventually(() => note().getByRole('alert').innerText()).toMatch(/with its unit/);
    await field.fill('1234 ft');
    await field.press('Enter');
    await holdWord(page(), 'length is now 1234 ft');
    await eventually(() => word.innerText()).toBe('1234 ft');
    await page().keyboard.press('Control+z');
    await eventually(() => word.innerText()).toBe(was);
    await word.press('Enter');
    await eventually(() => note().innerText()).toMatch(/until \d{4}-\d{2}-\d{2} · asset manager, line \d+/);
    expect(await violations(page())).toEqual([]);
    await page().keyboard.press('Escape');
    await page().locator('.cable-entry').waitFor({ state: 'detached' });
    await focused(note());
    await page().keyboard.press('Escape');
    await eventually(() => note().innerText()).toBe(before);
    await page().locator('.history summary').click();
    await eventually(() => page().locator('.history').innerText()).toMatch(/take back[\s\S]*edit segment/);
  });

  test('says that the page is being brought up to date while a change is on its way to it', async () => {
    let answer = (): void => {};
    const held = new Promise<void>((resolve) => {
      answer = resolve;
    });
    await page().route(/ask\/segment\.page/, async (route) => {
      await held;
      await route.continue();
    });
    await note().getByRole('button', { name: 'edit' }).click();
    await page()
      .getByRole('button', { name: /^Customers/ })
      .click();
    await page().getByLabel('Customers').fill('321');
    await page().keyboard.press('Enter');
    await page().getByText('Being brought up to date…').waitFor();
    expect(await page().locator('article.sheet').getAttribute('aria-busy')).toBe('true');
    answer();
    await eventually(() => note().innerText()).toContain('321');
    await page().getByText('Being brought up to date…').waitFor({ state: 'detached' });
    await page().unroute(/ask\/segment\.page/);
    await page().keyboard.press('Escape');
  });

  test('is retired with a reason, and taken back', async () => {
    await note().getByRole('button', { name: 'retire…' }).click();
    const dialog = page().getByRole('dialog');
    expect(await dialog.getByRole('button', { name: 'Retire it' }).isDisabled()).toBe(true);
    await dialog.getByLabel('Reason').fill('water in the duct bank');
    const today = await dialog.getByLabel('Last day in service').inputValue();
    await dialog.getByLabel('Last day in service').fill('2026-02-30');
    await dialog.getByText('2026-02-30 is not a day of the calendar.').waitFor();
    expect(await dialog.getByRole('button', { name: 'Retire it' }).isDisabled()).toBe(true);
    await dialog.getByLabel('Last day in service').fill(today);
    await dialog.getByLabel('A new segment takes its place').check();
    await dialog.getByLabel('Owner’s id').waitFor();
    expect(await violations(page())).toEqual([]);
    await dialog.getByLabel('A new segment takes its place').uncheck();
    await dialog.getByRole('button', { name: 'Retire it' }).click();
    await holdWord(page(), 'is retired as of');
    await eventually(() => page().locator('.where').innerText()).toContain('retired');
    await toast().getByRole('button', { name: 'Undo' }).click();
    await eventually(() => page().locator('.where').innerText()).not.toContain('retired');
  });

  test('a new one is added under the feeder in sight; what is missing is named', async () => {
    await page().getByRole('button', { name: 'add a segment…' }).click();
    const dialog = page().getByRole('dialog');
    await dialog.getByLabel('Owner’s id').fill('ML-3');
    await dialog.getByLabel('Name').fill('Mill Lane 3');
    await dialog.getByLabel('Length, with its unit').fill('640 m');
    await dialog.getByRole('button', { name: 'Add it' }).click();
    await eventually(() => dialog.getByRole('alert').innerText()).toMatch(/Insulation: .*Write/);
    await dialog.getByLabel('Insulation', { exact: true }).selectOption('EPR');
    await dialog.getByLabel('Phases').selectOption('ABC');
    await dialog.getByRole('button', { name: 'Add it' }).click();
    await eventually(() => page().locator('main h1').innerText()).toBe('Mill Lane 3');
    await page()
      .getByRole('treeitem', { name: /^Mill Lane 3/ })
      .waitFor();
  });

  test('complains of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

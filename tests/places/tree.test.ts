import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { violations } from './accessibility.ts';
import { eventually, holdWord, longWork, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;
const tree = () => page().getByRole('tree');
const leaves = () => page().locator('[role=treeitem][aria-level="3"]');
const head = () => page().locator('.tree-head [role=status]').innerText();
const bar = () => page().locator('.chosen-bar');
/** Waits until the leaves are all that passes: what stands below a branch comes after the branch. */
const allLeaves = () =>
  eventually(async () => (await leaves().count()) - Number(/^(\d+) of/.exec(await head())?.[1])).toBe(0);
const query = () => new URL(page().url()).hash.split('?')[1] ?? '';

describe.skipIf(noWindow)('the tree, narrowed and chosen from', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 120 });
    await page().locator('.first-look tbody tr').first().waitFor();
  });
  afterAll(() => window?.close());

  test('counts what passes the filter, keeps it in the address, and shows all again on Escape', async () => {
    await eventually(head).toMatch(/^\d+ segments · /);
    const all = Number(/^\d+/.exec(await head())![0]);
    await tree().focus();
    await page().keyboard.press('/');
    expect(await page().evaluate(() => document.activeElement?.id)).toBe('tree-text');
    await page().getByLabel('growing for sure').check();
    await eventually(head).toMatch(new RegExp(`^\\d+ of ${all} segments`));
    await eventually(query).toBe('growing=yes');
    await page().getByLabel('Energised to, a year').fill('1990');
    await eventually(query).toBe('until=1990&growing=yes');
    const words = () => page().locator('.tree-narrow').innerText();
    await eventually(words).toMatch(/^energised up to 1990 · growing for sure/);
    expect(await violations(page())).toEqual([]);
    await page().goBack();
    await eventually(words).toMatch(/^growing for sure/);
    expect(query()).toBe('growing=yes');
    await page().goForward();
    await eventually(words).toMatch(/^energised up to 1990 · growing for sure/);
    expect(query()).toBe('until=1990&growing=yes');
    await tree().focus();
    await page().keyboard.press('Escape');
    await eventually(head).toMatch(new RegExp(`^${all} segments`));
    await eventually(query).toBe('');
  });

  test('opens from a bookmark, stays narrowed while pages are opened, and says where nothing passes', async () => {
    // More than a filter opens every branch for, so that all substations are in sight.
    await visit(page(), '#/fleet?insulation=HMWPE,XLPE,TR-XLPE,EPR');
    const first = (words: string) => Number(/^\d+/.exec(words)![0]);
    const under = async () => {
      const branches = await page().locator('[role=treeitem][aria-level="1"] small').allInnerTexts();
      return branches.reduce((sum, words) => sum + (/^\d+ of \d+$/.test(words) ? first(words) : Number.NaN), 0);
    };
    await eventually(async () => (await under()) - first(await head())).toBe(0);
    await visit(page(), '#/fleet?name=mill');
    await allLeaves();
    const names = await leaves().locator('.tree-name').allInnerTexts();
    expect(names.filter((name) => !name.toLowerCase().includes('mill'))).toEqual([]);
    await leaves().first().click();
    await page().locator('.page-head').waitFor();
    expect(query()).toBe('name=mill');
    await visit(page(), '#/fleet?name=zzzz');
    await page().getByText('No segment fits these words').waitFor();
    await page().locator('.tree-none').getByRole('button', { name: 'Show all' }).click();
    await tree().waitFor();
  });

  test('chooses by Space and Shift with arrows; a branch chooses what passes below it; Escape lets go', async () => {
    await visit(page(), '#/fleet?name=mill');
    await allLeaves();
    expect(await tree().getAttribute('aria-multiselectable')).toBe('true');
    await tree().focus();
    for (const key of ['Home', 'ArrowDown', 'ArrowDown', 'Space']) await page().keyboard.press(key);
    await eventually(() => bar().getByRole('status').innerText()).toBe('1 segment chosen');
    await page().keyboard.press('Shift+ArrowDown');
    await page().keyboard.press('Shift+ArrowDown');
    await eventually(() => bar().getByRole('status').innerText()).toBe('3 segments chosen');
    await eventually(() => page().locator('[role=treeitem][aria-selected=true]').count()).toBe(3);
    await leaves()
      .nth(1)
      .click({ modifiers: ['Control'] });
    await eventually(() => bar().getByRole('status').innerText()).toBe('2 segments chosen');
    expect(await bar().getByRole('link', { name: 'compare the two' }).getAttribute('href')).toMatch(
      /^#\/ranking\/.+%2B/,
    );
    expect(await violations(page())).toEqual([]);
    await tree().focus();
    await page().keyboard.press('Escape');
    await eventually(() => bar().getByRole('status').innerText()).toBe('');
    await page().keyboard.press('Home');
    await page().keyboard.press('Space');
    const below = await page().locator('[role=treeitem][aria-level="1"] small').first().innerText();
    const n = Number(/^\d+/.exec(below)![0]);
    await eventually(() => bar().getByRole('status').innerText()).toMatch(new RegExp(`^${n} segments? chosen$`));
  });

  test('gives the briefs of the chosen as one PDF and a table of them as CSV', async () => {
    const save = async (name: string) => {
      const [download] = await Promise.all([
        page().waitForEvent('download', longWork),
        bar().getByRole('button', { name }).click(),
      ]);
      return readFileSync((await download.path())!);
    };
    const n = Number(/^\d+/.exec(await bar().getByRole('status').innerText())![0]);
    const pdf = (await save('briefs as one PDF')).toString('latin1');
    expect(pdf.startsWith('%PDF-')).toBe(true);
    expect(Math.max(...[...pdf.matchAll(/\/Count (\d+)/g)].map((found) => Number(found[1])))).toBeGreaterThanOrEqual(n);
    const csv = (await save('CSV')).toString();
    expect(csv.trimEnd().split('\n').length).toBe(n + 1);
  });

  test('changes one field of all that are chosen, and takes it back as one', async () => {
    const n = /^\d+/.exec(await bar().getByRole('status').innerText())![0];
    await bar().getByRole('button', { name: 'change a field…' }).click();
    const dialog = page().getByRole('dialog', { name: `Change a field of ${n} segment` });
    await dialog.getByLabel('Field', { exact: true }).selectOption('How it lies');
    await dialog.getByLabel('New value').selectOption('tray');
    expect(await violations(page())).toEqual([]);
    await dialog.getByRole('button', { name: 'Change them' }).click();
    await dialog.waitFor({ state: 'detached' });
    await holdWord(page(), /^How it lies is on tray for \d+ segments? now/);
    const leaf = (await leaves().first().getAttribute('id'))!.replace('node-', '');
    await visit(page(), `#/fleet/${leaf}?name=mill`);
    await eventually(() => page().locator('.where').innerText()).toContain('on tray');
    await page().locator('.toast').getByRole('button', { name: 'Undo' }).click();
    await eventually(() => page().locator('.where').innerText()).not.toContain('on tray');
  });

  test('the ranking chooses into the same bar, a span with Shift', async () => {
    await visit(page(), '#/ranking');
    const grid = page().getByRole('grid');
    await page().locator('.grid-room .grid-row .strong').nth(2).waitFor();
    await bar().getByRole('button', { name: 'let go' }).click();
    await eventually(() => bar().getByRole('status').innerText()).toBe('');
    expect(await grid.getAttribute('aria-multiselectable')).toBe('true');
    await grid.focus();
    await page().keyboard.press('Home');
    await page().keyboard.press('Shift+ArrowDown');
    await page().keyboard.press('Shift+ArrowDown');
    await eventually(() => bar().getByRole('status').innerText()).toBe('3 segments chosen');
    await page().keyboard.press('Space');
    await eventually(() => bar().getByRole('status').innerText()).toBe('2 segments chosen');
    await eventually(() => page().locator('.grid-room [role=row][aria-selected=true]').count()).toBe(2);
    await bar().getByRole('link', { name: 'compare the two' }).click();
    await page().locator('.compare').waitFor();
  });

  test('complains of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

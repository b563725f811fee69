import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { eventually, longWork, noWindow, openWindow, type Window } from '../places/window.ts';
import { downloaded, goTo, pick, segments, wordsOfPdf, writeUtility } from './steps.ts';

let window: Window;
const page = () => window.page;

/** A budget of 2.5 million for a utility of 600 segments, for as many as there are here. */
const budget = Math.round((2_500_000 * segments) / 600 / 10_000) * 10_000;
const years = 10;
const planName = 'Board, ten years';

interface Growth {
  readonly value: number;
  readonly lo: number;
  readonly hi: number;
  readonly sure: boolean;
}

/** Growth and interval of the rows in sight, from what a screen reader hears. */
async function growths(): Promise<Growth[]> {
  const labels = await page()
    .locator('.grid-room .interval')
    .evaluateAll((marks) => marks.map((mark) => mark.getAttribute('aria-label') ?? ''));
  return labels.map((label) => {
    const [value, lo, hi] = [...label.replaceAll('−', '-').matchAll(/-?\d+\.\d/g)].map(Number);
    return { value: value!, lo: lo!, hi: hi!, sure: !label.includes('includes no growth') };
  });
}

const amount = (words: string): number => Number(words.replaceAll(/[^\d.]/g, ''));

describe.skipIf(noWindow)('the asset manager’s day', () => {
  let segment: { name: string; growth: Growth };
  let moved: { name: string; to: string };
  beforeAll(async () => {
    window = await openWindow({ segments: 0 });
  });
  afterAll(() => window?.close());

  test('opens the fleet', async () => {
    const file = join(window.folder, 'Harrow Vale.fleet');
    await writeUtility(file);
    await pick(page(), () => page().getByRole('button', { name: 'Open a fleet…' }).click(), file);
    await page().getByRole('heading', { name: 'Harrow Vale Municipal Power', level: 1 }).waitFor();
    await eventually(() => page().locator('.say').innerText()).toMatch(/\d+ segments/);
  });

  test('sorts the ranking by growth, and sees which growths are certain', async () => {
    await goTo(page(), 'Ranking');
    await page().locator('.grid-room .interval').first().waitFor();
    await page().getByRole('columnheader', { name: 'Segment' }).getByRole('button').click();
    await eventually(() => page().getByRole('columnheader', { name: 'Segment' }).getAttribute('aria-sort')).toBe(
      'ascending',
    );
    const head = page().getByRole('columnheader', { name: /^Growth, % a year, 90/ });
    await head.getByRole('button').click();
    await eventually(() => head.getAttribute('aria-sort')).toBe('descending');
    await eventually(async () => {
      const values = (await growths()).slice(0, 12).map((each) => each.value);
      return values.length === 12 && values.every((value, at) => at === 0 || value <= values[at - 1]!);
    }).toBe(true);
    for (const { lo, hi, value, sure } of await growths()) {
      expect(lo).toBeLessThanOrEqual(value);
      expect(value).toBeLessThanOrEqual(hi);
      // Printed ends are rounded to a tenth: at the very edge either is right.
      if (Math.abs(lo) > 0.1 && Math.abs(hi) > 0.1) expect(sure).toBe(lo > 0 || hi < 0);
    }
    expect(await page().locator('.grid-room .interval-dot.hollow').count()).toBe(
      (await growths()).filter((each) => !each.sure).length,
    );
  });

  test('reads in a sentence why a segment stands where it stands; it says the ranking’s own numbers', async () => {
    const row = page()
      .locator('.grid-room .grid-row')
      .filter({ has: page().locator('.interval') })
      .first();
    segment = { name: await row.locator('.strong').innerText(), growth: (await growths())[0]! };
    await row.locator('.strong').click();
    await page().getByRole('heading', { name: segment.name, level: 1 }).waitFor();
    const sentence = (await page().locator('.say').innerText()).replaceAll('−', '-').replaceAll(/\s/g, ' ');
    const { value, lo, hi } = segment.growth;
    expect(sentence).toContain(`${value.toFixed(1)} % a year`);
    expect(sentence).toContain(`90 %: ${lo.toFixed(1)} to ${hi.toFixed(1)}`);
    expect(await page().locator('main').innerText()).toContain('Why this rank');
  });

  test('sets the budget and gets a plan by year: the risk it removes, the risk it leaves', async () => {
    await goTo(page(), 'Plan');
    await page().getByLabel('Budget of each year').fill(budget.toLocaleString('en'));
    await page().getByLabel('Years of the plan').fill(String(years));
    await page().getByRole('button', { name: 'Make the plan' }).click();
    await page().locator('.plan-item').first().waitFor(longWork);
    await eventually(() => page().locator('.plan-year').count()).toBe(years);
    const spent = await page()
      .locator('.plan-rule')
      .evaluateAll((rules) => rules.map((rule) => (rule.getAttribute('aria-label') ?? '').split(' of ')));
    expect(spent).toHaveLength(years);
    for (const [of, funds] of spent) expect(amount(of!)).toBeLessThanOrEqual(amount(funds!));
    expect(spent.reduce((sum, [of]) => sum + amount(of!), 0)).toBeLessThanOrEqual(budget * years);
    const says = await page().locator('.plan-sheet .say').innerText();
    expect(says).toMatch(/projects? for .* remove .* of the risk/s);
    // What is removed and what is left make up what there was.
    const [removed, before, left] = /: (\S+) of (\S+) in present value .*\. (\S+) is left/s
      .exec(says)!
      .slice(1)
      .map(amount);
    expect(Math.abs(removed! + left! - before!)).toBeLessThanOrEqual(2);
  });

  test('sees what waiting a year costs, moves one project by hand, and sees the price first', async () => {
    const item = page().locator('.plan-year').first().locator('.plan-item').first();
    const name = (await item.getAttribute('aria-label'))!.split(', ')[0]!;
    await item.click();
    const dialog = page().getByRole('dialog');
    expect(await dialog.getByRole('note', { name: 'If it waits a year' }).innerText()).toMatch(/\d/);
    const year = dialog.getByLabel('Move it to');
    await year.selectOption({ index: 3 });
    moved = { name, to: await year.inputValue() };
    await dialog.getByRole('button', { name: 'See what the move costs' }).click();
    await page().locator('.trial').waitFor(longWork);
    expect(await page().locator('.trial').innerText()).toMatch(/It (costs|gains) \S*\d|It costs nothing/);
    expect(await page().locator('.wishes').count()).toBe(0);
    await page().getByRole('button', { name: 'Move it', exact: true }).click();
    await eventually(() => page().locator('.wishes').innerText()).toContain(name);
    const column = page()
      .locator('.plan-year')
      .filter({ has: page().getByRole('heading', { name: moved.to }) });
    await column.getByRole('button', { name: new RegExp(`^${name}, `) }).waitFor();
  });

  test('keeps the plan and approves it; it is locked', async () => {
    await page().getByRole('button', { name: 'keep this plan…' }).click();
    await page().getByRole('dialog').getByLabel('Name').fill(planName);
    await page().getByRole('button', { name: 'Keep it' }).click();
    await page().getByRole('dialog').waitFor({ state: 'detached' });
    await page().getByRole('link', { name: 'Kept plans' }).click();
    await page().getByRole('button', { name: 'approve…' }).click();
    await page().getByRole('dialog').getByLabel('Reason').fill('Agreed by the board in spring');
    await page().getByRole('button', { name: 'Approve', exact: true }).click();
    await eventually(() => page().locator('.kept tbody').innerText()).toMatch(
      new RegExp(`${planName}.*approved by asset manager`, 's'),
    );
    expect(await page().getByRole('button', { name: 'approve…' }).count()).toBe(0);
  });

  test('prints the kept plan for the board', async () => {
    await page().getByRole('button', { name: planName }).click();
    await page().locator('.plan-item').first().waitFor();
    expect(await page().locator('.wishes').innerText()).toContain(moved.name);
    const pdf = join(window.folder, 'board.pdf');
    await downloaded(page(), () => page().getByRole('button', { name: 'PDF for the board' }).click(), pdf);
    expect(readFileSync(pdf).subarray(0, 5).toString()).toBe('%PDF-');
    const words = wordsOfPdf(pdf);
    if (words === null) return;
    expect(words).toContain('Harrow Vale Municipal Power');
    // The project stands under the year to which it was moved.
    const parts = words.replaceAll('\f', '\n').split(/^(?=20\d\d: \d+ projects? for )/m);
    expect(parts.find((part) => part.startsWith(`${moved.to}: `))).toMatch(new RegExp(`^${moved.name} `, 'm'));
  });

  test('without a complaint from the page', () => {
    expect(window.complaints).toEqual([]);
  });
});

import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { violations } from './accessibility.ts';
import { noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;
let segment = '';

const looks = {
  light: { colorScheme: 'light', contrast: 'no-preference', theme: 'light' },
  dark: { colorScheme: 'dark', contrast: 'no-preference', theme: 'dark' },
  'high contrast': { colorScheme: 'light', contrast: 'more', theme: 'contrast' },
} as const;

const places: Readonly<Record<string, () => string>> = {
  'the fleet': () => '#/fleet',
  'a segment': () => segment,
  'the ranking': () => '#/ranking',
  'what changed in it': () => '#/ranking/since-2022-01-01',
  'the plan': () => '#/plan',
  'the retests': () => '#/retests',
  'a brief': () => segment.replace('#/fleet', '#/retests'),
  'the evidence': () => '#/evidence',
  'the import': () => '#/import',
};

async function look({ theme, ...media }: (typeof looks)[keyof typeof looks]): Promise<void> {
  await page().emulateMedia(media);
  await page().locator(`html[data-theme="${theme}"]`).waitFor();
}

describe.skipIf(noWindow)('everyone can read', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 80 });
    await visit(page(), '#/ranking');
    await page().locator('.grid-room .grid-row').nth(1).click();
    await page().locator('.figure-place svg text').first().waitFor();
    segment = new URL(page().url()).hash;
  }, 120_000);
  afterAll(() => window?.close());

  describe.each(Object.entries(looks))('in %s', (_name, media) => {
    test.each(Object.entries(places))('%s', async (_place, hash) => {
      await look(media);
      await visit(page(), hash());
      await page().waitForLoadState('networkidle');
      await page().waitForTimeout(250);
      expect(await violations(page())).toEqual([]);
    });
  });

  test('the finder, a menu, a filter and the sheet of keys while they are open', async () => {
    await look(looks.light);
    await visit(page(), '#/ranking');
    await page().keyboard.press('Control+k');
    await page().keyboard.type('a');
    await page().getByRole('option').first().waitFor();
    expect(await violations(page())).toEqual([]);
    await page().keyboard.press('Escape');
    for (const name of [/^View$/, /: fleets$/, /^Insulation:/]) {
      await page().getByRole('button', { name }).click();
      await page().locator('.menu-sheet, .filter-sheet').waitFor();
      expect([String(name), ...(await violations(page()))]).toEqual([String(name)]);
      await page().keyboard.press('Escape');
      await page().locator('.menu-sheet, .filter-sheet').waitFor({ state: 'detached' });
    }
    await page().locator('main h1').click();
    await page().keyboard.press('?');
    await page().getByRole('dialog').waitFor();
    expect(await violations(page())).toEqual([]);
    await page().keyboard.press('Escape');
  });

  test('a plan that was made, the list of a year, one of its works, and its costs', async () => {
    await look(looks.light);
    await visit(page(), '#/plan');
    await page().getByLabel('Budget of each year').fill('1,500,000');
    await page().getByRole('button', { name: 'Make the plan' }).click();
    await page().locator('.plan-item').first().waitFor({ timeout: 150_000 });
    for (const media of Object.values(looks)) {
      await look(media);
      expect(await violations(page())).toEqual([]);
    }
    await look(looks.light);
    await page()
      .getByRole('button', { name: /more, / })
      .first()
      .click();
    await page().getByRole('dialog').getByRole('grid').waitFor();
    expect(await violations(page())).toEqual([]);
    await page().keyboard.press('Escape');
    await page().getByRole('dialog').waitFor({ state: 'detached' });
    await page().locator('.plan-item').first().click();
    await page().getByRole('dialog').getByRole('note', { name: 'If it waits a year' }).waitFor();
    expect(await violations(page())).toEqual([]);
    await page().keyboard.press('Escape');
    await visit(page(), '#/plan/costs');
    await page().getByText('repair of one failure').waitFor();
    expect(await violations(page())).toEqual([]);
  }, 240_000);

  test('at 200 % zoom nothing is cut off and the page does not scroll sideways', async () => {
    // 200 % of a 1440 px window is a page 720 px wide.
    await page().setViewportSize({ width: 720, height: 450 });
    for (const hash of ['#/fleet', segment, '#/import']) {
      await visit(page(), hash);
      expect([hash, await page().evaluate(() => document.documentElement.scrollWidth)]).toEqual([hash, 720]);
    }
    await page().setViewportSize({ width: 1440, height: 900 });
  });

  test('colours that the system forces bring the theme of high contrast, light or dark', async () => {
    for (const [colorScheme, theme] of [
      ['light', 'contrast'],
      ['dark', 'contrast-dark'],
    ] as const) {
      await page().emulateMedia({ colorScheme, contrast: 'no-preference', forcedColors: 'active' });
      await page().locator(`html[data-theme="${theme}"]`).waitFor();
    }
    await page().emulateMedia({ colorScheme: 'light', forcedColors: 'none' });
    await page().locator('html[data-theme="light"]').waitFor();
  });

  test('the acts of a long form stay in sight in the smallest window, at its head and at its foot', async () => {
    await page().setViewportSize({ width: 1024, height: 700 });
    await visit(page(), '#/retests');
    await page().getByRole('button', { name: 'rule', exact: true }).click();
    const dialog = page().getByRole('dialog', { name: 'The rule on retests' });
    const acts = dialog.getByRole('button', { name: 'Leave it' });
    await acts.waitFor();
    const [height, room] = await page()
      .locator('.modal')
      .evaluate((sheet) => [sheet.scrollHeight, sheet.clientHeight]);
    expect(height).toBeGreaterThan(room!);
    for (const top of [0, height!]) {
      await page()
        .locator('.modal')
        .evaluate((sheet, to) => sheet.scrollTo(0, to), top);
      const box = (await acts.boundingBox())!;
      expect(box.y).toBeGreaterThan(0);
      expect(box.y + box.height).toBeLessThan(700);
    }
    await page().keyboard.press('Escape');
    await dialog.waitFor({ state: 'detached' });
    await page().setViewportSize({ width: 1440, height: 900 });
  });

  test('complains of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

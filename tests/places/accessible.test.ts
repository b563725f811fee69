import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { violations } from './accessibility.ts';
import { eventually, focused, longWork, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;
let segment = '';

const looks = {
  light: { colorScheme: 'light', contrast: 'no-preference', theme: 'light' },
  dark: { colorScheme: 'dark', contrast: 'no-preference', theme: 'dark' },
  'high contrast': { colorScheme: 'light', contrast: 'more', theme: 'contrast' },
} as const;

/** Each place by its address, and what stands there once all of it has come. */
const places: Readonly<Record<string, readonly [address: () => string, whole: string]>> = {
  'the fleet': [() => '#/fleet', '.first-look tbody tr'],
  'a segment': [() => segment, '.figure-place svg text'],
  'the ranking': [() => '#/ranking', '.grid-room .grid-row:not([data-unread], [data-ahead])'],
  'what changed in it': [() => '#/ranking/since-2022-01-01', '.changed-table tbody tr'],
  'the plan': [() => '#/plan', '.terms button[type=submit]'],
  'the retests': [() => '#/retests', '.grid-room .grid-row:not([data-unread], [data-ahead])'],
  'a brief': [() => segment.replace('#/fleet', '#/retests'), '.expected-figure, .brief .alternatives'],
  'the evidence': [() => '#/evidence', '.counts tbody tr'],
  'the import': [() => '#/import', 'main button:has-text("Choose files…")'],
};

/** Goes to a place and waits until it stands there whole. */
async function see([address, whole]: (typeof places)[string]): Promise<void> {
  await visit(page(), address());
  await page().locator(whole).first().waitFor();
  await page().locator('main [aria-busy=true]').waitFor({ state: 'detached' });
}

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
  });
  afterAll(() => window?.close());

  describe.each(Object.entries(looks))('in %s', (_name, media) => {
    test.each(Object.entries(places))('%s', async (_name, place) => {
      await look(media);
      await see(place);
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
      await focused(page().locator('.menu-sheet, .filter-sheet'));
      expect([String(name), ...(await violations(page()))]).toEqual([String(name)]);
      await page().keyboard.press('Escape');
      await page().locator('.menu-sheet, .filter-sheet').waitFor({ state: 'detached' });
    }
    await page().locator('main h1').click();
    await page().keyboard.press('?');
    await page().getByRole('dialog').waitFor();
    expect(await violations(page())).toEqual([]);
    await focused(page().getByRole('dialog'));
    await page().keyboard.press('Escape');
    await page().getByRole('dialog').waitFor({ state: 'detached' });
  });

  test('a plan that was made, the list of a year, one of its works, and its costs', async () => {
    await look(looks.light);
    await visit(page(), '#/plan');
    await page().getByLabel('Budget of each year').fill('1,500,000');
    await page().getByRole('button', { name: 'Make the plan' }).click();
    await page().locator('.plan-item').first().waitFor(longWork);
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
    await focused(page().getByRole('dialog'));
    await page().keyboard.press('Escape');
    await page().getByRole('dialog').waitFor({ state: 'detached' });
    await page().locator('.plan-item').first().click();
    await page().getByRole('dialog').getByRole('note', { name: 'If it waits a year' }).waitFor();
    expect(await violations(page())).toEqual([]);
    await focused(page().getByRole('dialog'));
    await page().keyboard.press('Escape');
    await page().getByRole('dialog').waitFor({ state: 'detached' });
    await visit(page(), '#/plan/costs');
    await page().getByText('repair of one failure').waitFor();
    expect(await violations(page())).toEqual([]);
  });

  test('at 200 % zoom nothing is cut off and the page does not scroll sideways', async () => {
    // 200 % of a 1440 px window is a page 720 px wide.
    await page().setViewportSize({ width: 720, height: 450 });
    for (const name of ['the fleet', 'a segment', 'the import']) {
      await see(places[name]!);
      await eventually(async () => [name, await page().evaluate(() => document.documentElement.scrollWidth)]).toEqual([
        name,
        720,
      ]);
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
    const sheet = page().locator('.modal');
    await eventually(() => sheet.evaluate((el) => el.scrollHeight - el.clientHeight)).toBeGreaterThan(0);
    for (const end of [0, 1]) {
      await sheet.evaluate((el, to) => el.scrollTo(0, to * el.scrollHeight), end);
      const box = (await acts.boundingBox())!;
      expect(box.y).toBeGreaterThan(0);
      expect(box.y + box.height).toBeLessThan(700);
    }
    await focused(dialog);
    await page().keyboard.press('Escape');
    await dialog.waitFor({ state: 'detached' });
    await page().setViewportSize({ width: 1440, height: 900 });
  });

  test('complains of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

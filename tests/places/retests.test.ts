import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { eventually, holdWord, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;
const grid = () => page().getByRole('grid', { name: 'Tests due' });

/** Opens the brief of the first segment in sight whose row says this. */
async function openFirst(text: string): Promise<void> {
  await visit(page(), '#/retests');
  await grid().locator('.grid-room .grid-row').first().waitFor();
  const rows = grid().locator('.grid-room .grid-row');
  const name = await rows.filter({ hasText: text }).first().locator('.strong').innerText();
  // By its name: the list may be brought up to date in between.
  await rows
    .filter({ has: page().locator('.strong').getByText(name, { exact: true }) })
    .first()
    .click();
  await eventually(() => page().locator('main h1').innerText()).toBe(name);
}

describe.skipIf(noWindow)('the place Retests', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 120 });
  });
  afterAll(() => window?.close());

  test('lists what is due, the most overdue first', async () => {
    await visit(page(), '#/retests');
    await grid().locator('.grid-room .grid-row').first().waitFor();
    const days = await grid().locator('.grid-room .grid-row > :nth-child(2)').allInnerTexts();
    expect(days.length).toBeGreaterThan(10);
    expect(days.slice(0, 10)).toEqual([...days.slice(0, 10)].sort());
  });

  // Reclamation FIST 4-1B, page 13: direct voltage on cross-linked polyethylene after its first five years is held harmful.
  test('offers no direct voltage for aged extruded cable, and names what is accepted instead', async () => {
    await openFirst('no direct voltage');
    expect(await page().locator('.voltage-says').innerText()).toMatch(/^No direct voltage is advised/);
    const expects = await page().getByRole('region', { name: 'What to expect' }).innerText();
    expect(expects).toContain('Cannot be told');
    expect(expects).not.toContain('9 in 10 readings');
    expect(await page().locator('.voltage-says').innerText()).not.toMatch(/kV/);
    expect(await page().locator('.alternatives').innerText()).toContain('IEEE 400');
    expect(await page().getByLabel('Test voltage, kV DC').inputValue()).toBe('');
  });

  test('names a voltage only as the most that a table allows, with the reading to expect below the limit’s', async () => {
    await openFirst('DC by its table');
    expect(await page().locator('.voltage-says').innerText()).toMatch(/^At most [\d.]+\skV DC/);
    const expected = Number.parseFloat(await page().locator('.expected-figure').first().innerText());
    expect(expected).toBeGreaterThan(0);
    expect(await page().locator('.expected-phase').last().innerText()).toMatch(/min\s+at the least, before touching/);
  });

  test('shows the reading to expect, when to stop and the earthing on the first screen of the smallest window', async () => {
    await page().setViewportSize({ width: 1024, height: 700 });
    // Where no direct voltage is advised the earthing lay below the methods that are accepted instead.
    await openFirst('no direct voltage');
    const earthing = page().locator('.expected-figure').last();
    await eventually(() => earthing.evaluate((el) => el.getBoundingClientRect().bottom)).toBeLessThan(700);
    await openFirst('DC by its table');
    for (const shown of ['.expected-figure >> nth=0', '.expected-figure >> nth=-1', '.caution-note >> nth=0']) {
      await eventually(async () => {
        const box = await page().locator(shown).boundingBox();
        return [shown, box !== null && box.y > 0 && box.y + box.height < 700];
      }).toEqual([shown, true]);
    }
    await page().setViewportSize({ width: 1440, height: 900 });
  });

  test('foretells more leakage of a warmer cable', async () => {
    const figure = page().locator('.expected-figure').first();
    const before = Number.parseFloat(await figure.innerText());
    await page()
      .getByLabel(/^Temperature of the insulation/)
      .fill('25');
    await page().keyboard.press('Enter');
    await eventually(async () => Number.parseFloat(await figure.innerText())).toBeGreaterThan(before * 1.1);
  });

  test('tells at once whether a reading is as expected', async () => {
    const figure = Number.parseFloat(await page().locator('.expected-figure').first().innerText());
    const phase = (await page().locator('.expected-phase .caption').first().innerText()).trim().slice(-1);
    const field = page().getByLabel(`Reading of phase ${phase}, µA`);
    const verdict = page().locator('.cubicle-phase').first().getByRole('status');
    await field.fill(String(figure));
    await eventually(() => verdict.innerText()).toBe('as expected');
    await field.fill(String(figure * 20));
    await eventually(() => verdict.innerText()).toBe('far above');
    // The limit of the phase stands above, among what to expect; beside the verdict it is said once it is passed.
    const limitUa = Number(
      /limit of one phase: ([\d.]+)/.exec(await page().locator('.expected-phase').first().innerText())![1],
    );
    const above = page().locator('.cubicle-phase').first().getByText('above the limit of a phase');
    await field.fill(String(limitUa * 1.02));
    await above.waitFor();
    await field.fill(String(limitUa * 0.98));
    await above.waitFor({ state: 'detached' });
    await field.fill(String(figure * 20));
    await eventually(() => verdict.innerText()).toBe('far above');
  });

  test('takes a test by hand; the segment’s page then has it', async () => {
    const name = await page().locator('main h1').innerText();
    const before = await page().locator('section[aria-label="What was measured"] tbody tr').count();
    await page().getByRole('button', { name: 'Record this test…' }).click();
    const dialog = page().getByRole('dialog');
    // The temperature entered for the brief and the reading typed at the cubicle are there already.
    expect(await dialog.getByLabel('Cable, °C').inputValue()).toBe('25.0');
    const [first] = await dialog.getByLabel(/^Leakage of phase/).all();
    expect(Number(await first!.inputValue())).toBeGreaterThan(0);
    await dialog.getByLabel('Cable, °C').fill('14');
    await dialog.getByLabel('Crew').fill('north');
    for (const field of await dialog.getByLabel(/^Leakage of phase/).all()) await field.fill('12.5');
    await eventually(() => dialog.getByRole('button', { name: 'Record it' }).isDisabled()).toBe(true);
    for (const field of await dialog.getByLabel(/^Outcome of phase/).all()) await field.selectOption('withstood');
    // Nothing that stands in the form is dropped without a word: a comma, or a breakdown without its current.
    for (const lost of ['12,5', '']) {
      await first!.fill(lost);
      expect(await dialog.locator('.caution').innerText()).toMatch(/^Phase [ABC]: no reading that can be kept/);
      expect(await dialog.getByRole('button', { name: 'Record it' }).isDisabled()).toBe(true);
    }
    await first!.fill('12.5');
    // In a large fleet the ranking is fitted first: the sheet of before stood for seconds as if nothing had been recorded.
    let answer = (): void => {};
    const held = new Promise<void>((resolve) => {
      answer = resolve;
    });
    await page().route(/ask\/retest\.brief/, async (route) => {
      await held;
      await route.continue();
    });
    await dialog.getByRole('button', { name: 'Record it' }).click();
    await dialog.waitFor({ state: 'detached' });
    const recorded = page().locator('.brief .recorded');
    await eventually(() => recorded.innerText()).toMatch(
      /^Recorded: the test of \d{4}-\d\d-\d\d at [\d.]+\skV: A 12\.5\sµA, .* Growth and the reading to expect are being counted with it; until they are, the sheet below is as of before it\.$/,
    );
    answer();
    await recorded.waitFor({ state: 'detached' });
    await page().unroute(/ask\/retest\.brief/);
    await eventually(() => page().locator('section[aria-label="What was measured"] tbody tr').count()).toBe(before + 1);
    await page().getByRole('link', { name: 'its page' }).click();
    await eventually(() => page().locator('main h1').innerText()).toBe(name);
    await eventually(() => page().locator('.tests-table tbody tr').first().innerText()).toContain('12.5');
  });

  test('from a segment’s name to its printed sheet takes three keys: Enter, B, P', async () => {
    await visit(page(), '#/retests');
    const name = await grid().locator('.grid-room .grid-row .strong').first().innerText();
    await visit(page(), '#/fleet');
    let keys = 0;
    const press = async (key: string): Promise<void> => {
      keys++;
      await page().keyboard.press(key);
    };
    await page().keyboard.press('Control+k');
    await page().keyboard.type(name);
    await page().getByRole('option', { name }).first().waitFor();
    await press('Enter');
    await page().locator('.tests-table').waitFor();
    await press('b');
    await page().locator('.brief h1').waitFor();
    const download = page().waitForEvent('download');
    await press('p');
    const pdf = readFileSync((await (await download).path())!);
    expect(keys).toBeLessThanOrEqual(8);
    expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
    // One sheet: page objects stand uncompressed in the file.
    expect(pdf.toString('latin1').match(/\/Type \/Page\b(?!s)/g)).toHaveLength(1);
  });

  test('letters typed into a field stay letters', async () => {
    const field = page().getByLabel('Reading of phase A, µA');
    await page().keyboard.press('j');
    expect(await field.evaluate((el) => el === document.activeElement)).toBe(true);
    await page().keyboard.type('tw');
    expect(await field.inputValue()).toBe('tw');
    expect(await page().getByRole('dialog').count()).toBe(0);
    await field.fill('');
    await field.blur();
  });

  test('work done begins a new era, by keys alone', async () => {
    await page().keyboard.press('w');
    const dialog = page().getByRole('dialog');
    await dialog.waitFor();
    // What was done is never presumed.
    expect(await dialog.getByRole('button', { name: 'Record it' }).isDisabled()).toBe(true);
    const done = dialog.getByLabel('What was done');
    await done.focus();
    const chosen = () => done.evaluate((list) => (list as HTMLSelectElement).selectedOptions[0]!.text);
    // By arrows: letters that come too far apart begin another word.
    const choices = await done.locator('option').count();
    for (let k = 0; k < choices && (await chosen()) !== 'splice added'; k++) await page().keyboard.press('ArrowDown');
    expect(await chosen()).toBe('splice added');
    await dialog.getByLabel('Note').focus();
    await page().keyboard.type('new splice by the west crew');
    await page().keyboard.press('Enter');
    await dialog.waitFor({ state: 'detached' });
    await eventually(() => page().locator('.brief-events').innerText()).toContain('splice added');
  });

  test('marks nothing of a plan while none is kept, and says so', async () => {
    await visit(page(), '#/retests');
    await page().getByRole('button', { name: 'mark what the plan would test first' }).click();
    await eventually(() => page().locator('.due-caution').innerText()).toContain(
      'No marks of a plan: no plan is kept.',
    );
  });

  test('takes a step test by hand; a breakdown opens the failure, and that the repair', async () => {
    await openFirst('DC by its table');
    const before = await page().locator('section[aria-label="What was measured"] tbody tr').count();
    await page().keyboard.press('t');
    const dialog = page().getByRole('dialog');
    await dialog.getByLabel('Method').selectOption('dc_step');
    await dialog.getByLabel('Purpose').selectOption('after_repair');
    await dialog.getByRole('button', { name: 'another step' }).click();
    await dialog.getByLabel('kV of step 1').fill('8');
    await dialog.getByLabel('kV of step 2').fill('16');
    const [phase] = (await dialog.locator('tbody tr td:nth-child(2)').allInnerTexts()).map((text) => text.trim());
    for (const step of [1, 2]) {
      await dialog.getByLabel(`Leakage of phase ${phase}, step ${step}`).fill(String(8 * step));
      await dialog
        .getByLabel(`Outcome of phase ${phase}, step ${step}`)
        .selectOption(step === 1 ? 'withstood' : 'breakdown');
    }
    await dialog.getByRole('button', { name: 'Record it' }).click();
    await page()
      .getByRole('heading', { name: /broke down on phase/ })
      .waitFor();
    await page().getByRole('button', { name: 'Record the failure' }).click();
    await page()
      .getByRole('heading', { name: /^Work done on/ })
      .waitFor();
    await page().getByLabel('What was done').selectOption('section_replaced');
    await page().getByRole('button', { name: 'Record it' }).click();
    await dialog.waitFor({ state: 'detached' });
    const rows = page().locator('section[aria-label="What was measured"] tbody tr');
    await eventually(() => rows.count()).toBe(before + 1);
    await eventually(() => page().locator('.brief-events').innerText()).toMatch(/section replaced.*failed/s);
  });

  test('corrects that test: the choice brings its day, a reason is asked for, and the list keeps its length', async () => {
    const rows = page().locator('section[aria-label="What was measured"] tbody tr');
    const before = await rows.count();
    await page().keyboard.press('t');
    const dialog = page().getByRole('dialog');
    await dialog.getByLabel('Corrects').selectOption({ index: 1 });
    await eventually(() => dialog.getByLabel('Method').inputValue()).toBe('dc_step');
    // What is not written anew stays as it was read.
    const typed = (label: RegExp) =>
      dialog.getByLabel(label).evaluateAll((all) => all.map((each) => (each as HTMLInputElement).value));
    expect(await typed(/^kV of step/)).toEqual(['8', '16']);
    expect((await typed(/^Leakage of phase/)).filter((value) => value !== '')).toEqual(['8', '16']);
    expect((await typed(/^Outcome of phase/)).filter((value) => value !== '')).toEqual(['withstood', 'breakdown']);
    await dialog.getByLabel('Method').selectOption('insulation_resistance');
    await dialog.getByLabel('kV DC').fill('5');
    await dialog.getByLabel('Unit of leakage').selectOption('MΩ');
    // 5 kV over 2,000 MΩ is 2.5 µA (Ohm).
    await dialog
      .getByLabel(/^Leakage of phase/)
      .first()
      .fill('2000');
    await dialog
      .getByLabel(/^Outcome of phase/)
      .first()
      .selectOption('withstood');
    expect(await dialog.getByRole('button', { name: 'Correct it' }).isDisabled()).toBe(true);
    await dialog.getByLabel('Why').fill('wrong range');
    await dialog.getByRole('button', { name: 'Correct it' }).click();
    await dialog.waitFor({ state: 'detached' });
    await eventually(() => rows.first().innerText()).toContain('2.50');
    expect(await rows.count()).toBe(before);
    // What was replaced stays in sight on the segment's page, marked, and is not among the tests that are counted.
    await page().getByRole('link', { name: 'its page' }).click();
    const replaced = page().locator('.tests-table tr.replaced');
    await eventually(() => replaced.innerText()).toMatch(/replaced on \d{4}-\d\d-\d\d by .+: wrong range/);
    const said = page().locator('section[aria-label="Tests"] .caption').first();
    await eventually(() => said.innerText()).toMatch(
      new RegExp(`^${before} tests, newest first\\..* 1 test that a correction replaced stands below`),
    );
    await page().goBack();
  });

  test('shows what a rule would change before it is set; set, the list follows; taken back, it stands as before', async () => {
    await visit(page(), '#/retests');
    const sentence = page().locator('.due-head .say');
    await sentence.waitFor();
    await page().getByRole('button', { name: 'rule', exact: true }).click();
    const dialog = page().getByRole('dialog', { name: 'The rule on retests' });
    await dialog.getByLabel('Line 1: months').fill('0');
    expect(await dialog.getByRole('status').innerText()).toBe('Line 1: months are a whole number from 1 to 600.');
    expect(await dialog.getByRole('button', { name: 'Show what it changes' }).isDisabled()).toBe(true);
    await dialog.getByLabel('Line 1: months').fill('6');
    await dialog.getByLabel('All others: months').fill('12');
    await dialog.getByLabel('In force from').fill('2020-01-01');
    await dialog.getByRole('button', { name: 'Show what it changes' }).click();
    const preview = dialog.getByRole('region', { name: 'What it changes' });
    await eventually(() => preview.locator('.say').innerText()).toMatch(
      /^\d+ segments become overdue; in all \d+ segments are due sooner/,
    );
    const [was, overdue] = await preview.locator('tbody tr').first().locator('td').allInnerTexts();
    // Nothing is set without a source and a reason.
    expect(await dialog.getByRole('button', { name: 'Set the rule' }).isDisabled()).toBe(true);
    await dialog.getByLabel('Where it comes from').fill('board, minute 12');
    await dialog.getByLabel('Why', { exact: true }).fill('a hard year');
    await dialog.getByRole('button', { name: 'Set the rule' }).click();
    await dialog.waitFor({ state: 'detached' });
    await holdWord(page(), /^The rule is set/);
    await eventually(() => sentence.innerText()).toContain(`${overdue} tests are overdue`);
    await page().getByRole('button', { name: 'Undo' }).click();
    await eventually(() => sentence.innerText()).toContain(`${was} tests are overdue`);
  });

  test('at 1024 × 700 nothing is cut off sideways', async () => {
    await page().setViewportSize({ width: 1024, height: 700 });
    for (const text of ['no direct voltage', 'DC by its table']) {
      await openFirst(text);
      await eventually(() => page().evaluate(() => document.documentElement.scrollWidth)).toBe(1024);
    }
    // Why a test is due was cut off to a few letters.
    await visit(page(), '#/retests');
    await grid().locator('.grid-room .grid-row').first().waitFor();
    const reasons = grid().locator('.grid-room .second > .two-lines');
    await reasons.nth(5).waitFor();
    await eventually(() =>
      reasons.evaluateAll((els) => els.filter((el) => el.scrollHeight > el.clientHeight + 1).length),
    ).toBe(0);
    await page().setViewportSize({ width: 1440, height: 900 });
  });

  test('complains of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';
import { cables, filesOfDay, makeDayFleet } from '../records/a-day.ts';
import { minuteColumns, usInventory } from '../records/owners.ts';
import { violations } from './accessibility.ts';
import { drop, eventually, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;
const files = filesOfDay();

describe.skipIf(noWindow)('a day’s files from the tester', () => {
  let paths: string[];
  beforeAll(async () => {
    window = await openWindow({
      segments: 1,
      make: (file) => makeDayFleet(file, `${file}-folder`),
    });
    const stick = join(window.folder, 'stick');
    mkdirSync(stick);
    paths = files.map(({ name, bytes }) => {
      writeFileSync(join(stick, name), bytes);
      return join(stick, name);
    });
  });
  afterAll(() => window?.close());

  test('thirty files dropped on the window: twenty-seven are matched, three say why they cannot be read', async () => {
    await page().locator('main h1').first().waitFor();
    await drop(page(), paths);
    await page().getByRole('button', { name: 'Accept 27 files' }).waitFor();
    await eventually(() => page().locator('.say').innerText()).toMatch(
      /27 files are matched .* 3 files cannot be read/s,
    );
    const refused = page().locator('.tester-files tr[data-verdict="refused"]');
    expect(await refused.allInnerTexts()).toEqual([
      expect.stringMatching(/photo of the joint\.jpg\s+Cannot be read: the file is binary/),
      expect.stringMatching(/cut short\.csv\s+Cannot be read: the file says 9000 samples/),
      expect.stringMatching(/no units\.csv\s+Cannot be read: the unit of/),
    ]);
    const first = page().locator('.tester-files tbody tr').first();
    expect(await first.innerText()).toMatch(/withstood 20.0\skV for 5\smin · .*µA · .*GΩ · .*nF/);
    expect(await page().getByLabel(`Segment of ${files[0]!.name}`).inputValue()).not.toBe('');
  });

  test('a file’s name opens what it says, its columns over the first rows, and the caution', async () => {
    await page().getByRole('button', { name: files[0]!.name }).click();
    const read = page().locator('.how-read');
    await read.waitFor();
    await eventually(() => read.innerText()).toMatch(/earthed for four times as long/);
    expect(await page().getByLabel('Column Current (uA) is').inputValue()).toBe('current');
    expect(await violations(page())).toEqual([]);
    await page().getByRole('button', { name: files[0]!.name }).click();
  });

  test('accepted together and the rest set aside, with nothing typed', async () => {
    const typed: string[] = [];
    await page().exposeFunction('noteKey', (key: string) => typed.push(key));
    await page().evaluate(() =>
      addEventListener('keydown', (event) =>
        (window as unknown as { noteKey: (k: string) => void }).noteKey(event.key),
      ),
    );
    await page().getByRole('button', { name: 'Accept 27 files' }).click();
    await eventually(() => page().locator('.taken').innerText()).toMatch(
      /27 files as 9 tests, one entry of the ledger/,
    );
    await page().getByRole('button', { name: 'Set 3 unreadable files aside' }).click();
    await eventually(() => page().locator('.say').innerText()).toMatch(/27 files are in already.*3 files cannot/s);
    await page()
      .getByRole('button', { name: /unreadable/ })
      .waitFor({ state: 'detached' });
    expect(typed).toEqual([]);
  });

  test('each test stands on its segment’s page with its samples', async () => {
    await page().getByRole('link', { name: cables[0]!.name }).first().click();
    await page().getByRole('heading', { name: cables[0]!.name, level: 1 }).waitFor();
    const row = page().locator('.tests-table tbody tr').first();
    await eventually(() => row.innerText()).toMatch(/2025-05-14\s+20\s/);
  });

  test('the samples are drawn with the phases of the test, read by the keyboard’s cursor, and stand in a table too', async () => {
    await page().locator('.tests-table .fold').first().click();
    await page().getByRole('button', { name: 'the samples' }).click();
    const view = page().locator('.trace-view');
    await view.locator('path.trace-line').first().waitFor();
    // Voltage and current of three phases.
    await eventually(() => view.locator('path.trace-line').count()).toBe(6);
    await eventually(() => view.locator('.trace-part-name').allTextContents()).toContain('dwell');
    const cursor = page().getByRole('slider', { name: /Cursor along the test/ });
    await cursor.focus();
    for (let i = 0; i < 3; i++) await page().keyboard.press('Shift+ArrowRight');
    await eventually(() => cursor.getAttribute('aria-valuetext')).toMatch(/^at \d.*\ss: A 20.0\skV, .*µA · B 20.0\skV/);
    await view.getByRole('button', { name: 'resistance' }).click();
    await eventually(() => view.locator('path.trace-line').count()).toBe(9);
    await view.getByRole('button', { name: 'phase C' }).click();
    await eventually(() => view.locator('path.trace-line').count()).toBe(6);
    await view.getByRole('button', { name: 'log current', pressed: true }).click();
    expect(await violations(page())).toEqual([]);
    await view.getByRole('button', { name: 'table' }).click();
    await eventually(() =>
      page().getByRole('region', { name: 'Current, µA, as a table' }).locator('tbody tr').count(),
    ).toBeGreaterThan(500);
    await page().getByRole('dialog').getByRole('button', { name: 'Close' }).click();
    await page().getByRole('dialog').waitFor({ state: 'detached' });
  });

  test('the test of another year is laid over it', async () => {
    const old = Buffer.from(files[0]!.bytes).toString('utf8').replace('2025-05-14', '2022-05-11');
    const path = join(window.folder, 'another year.csv');
    writeFileSync(path, old);
    await drop(page(), [path]);
    await page().getByRole('button', { name: 'Accept 1 file' }).click();
    await page().locator('.taken').getByRole('link', { name: cables[0]!.name }).click();
    await page().getByRole('heading', { name: cables[0]!.name, level: 1 }).waitFor();
    await page().locator('.tests-table .fold').first().click();
    await page().getByRole('button', { name: 'the samples' }).click();
    await page()
      .getByLabel(/Laid over them/)
      .selectOption({ label: '2022-05-11' });
    await eventually(() => page().locator('path.trace-line.beside').count()).toBe(2);
    await page().getByRole('dialog').getByRole('button', { name: 'Close' }).click();
  });

  test('what was set aside is listed with its reason and can be looked at again', async () => {
    await visit(page(), '#/import');
    const aside = page().getByRole('region', { name: 'Set aside' });
    await eventually(() => aside.innerText()).toMatch(/3 files set aside/);
    await page().getByRole('button', { name: 'Look at them again' }).click();
    await eventually(() => page().locator('.tester-files tr[data-verdict="refused"]').count()).toBe(3);
  });

  test('complains of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

describe.skipIf(noWindow)('tables of the owner’s own making', () => {
  let owner: Window;
  beforeAll(async () => {
    owner = await openWindow({ segments: 1, make: makeOwnersFleet });
  });
  afterAll(() => owner?.close());

  async function choose(file: { name: string; bytes: Uint8Array }): Promise<void> {
    const path = join(owner.folder, file.name);
    writeFileSync(path, file.bytes);
    const [chooser] = await Promise.all([
      owner.page.waitForEvent('filechooser'),
      owner.page.getByRole('button', { name: 'Choose files…' }).click(),
    ]);
    await chooser.setFiles(path);
  }

  test('what the header leaves open is asked for beside the first rows, said, and the table taken in', async () => {
    await visit(owner.page, '#/import');
    await choose(minuteColumns(2020));
    const table = owner.page.getByRole('form', { name: 'hipot log 2020.csv' });
    await table.waitFor();
    expect(await violations(owner.page)).toEqual([]);
    await eventually(() => table.innerText()).toMatch(/To be said: voltage kv/);
    expect(await owner.page.getByRole('button', { name: 'Take it in' }).count()).toBe(0);
    expect(await table.getByLabel('Section is').inputValue()).toBe('segment_id');
    await table.getByLabel('test voltage').fill('20');
    await table.getByLabel('unit of leakage').selectOption('uA');
    await table.getByRole('button', { name: /Read it so/ }).click();
    await owner.page.getByRole('button', { name: 'Take it in' }).click();
    await eventually(() => owner.page.locator('.say').innerText()).toMatch(/3 rows added/);
  });

  test('the next file of the same shape is read without a word', async () => {
    await owner.page.getByRole('button', { name: 'Import more' }).click();
    await choose(minuteColumns(2023));
    const table = owner.page.getByRole('form', { name: 'hipot log 2023.csv' });
    await table.waitFor();
    await eventually(() => table.innerText()).toMatch(/read as it was corrected before/);
    await owner.page.getByRole('button', { name: 'Take it in' }).waitFor();
  });

  test('complains of nothing', () => {
    expect(owner.complaints).toEqual([]);
  });
});

/** The cables of the owner's inventory. */
async function makeOwnersFleet(file: string): Promise<void> {
  const { name, bytes } = await usInventory();
  writeFileSync(`${file} ${name}`, bytes);
  const core = await openCore(file, { migrations, now: () => '2025-05-15T07:00:00.000Z', who: 'owner', create: true });
  const reply = await core.send('fleet.import', { paths: [`${file} ${name}`] });
  core.close();
  if (!reply.ok) throw new Error(JSON.stringify(reply.problem));
}

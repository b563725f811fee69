import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { writeSmallFolder } from '../hosts/small-fleet.ts';
import { eventually, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;

async function choose(button: string, what: string | string[]): Promise<void> {
  const [chooser] = await Promise.all([
    page().waitForEvent('filechooser'),
    page().getByRole('button', { name: button }).click(),
  ]);
  await chooser.setFiles(what);
}

describe.skipIf(noWindow)('from nothing to a fleet', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 0 });
  });
  afterAll(() => window?.close());

  test('a first visitor is welcomed and begins a fleet', async () => {
    await page().getByRole('heading', { name: 'Cable Yearbook' }).waitFor();
    await page().getByRole('button', { name: 'Begin a fleet…' }).click();
    await page().getByLabel('Name').fill('Mill District');
    await page().getByRole('button', { name: 'Begin', exact: true }).click();
    await page().getByRole('heading', { name: 'Import', level: 1 }).waitFor();
  });

  test('a folder is looked at first: nothing is changed before a word', async () => {
    await choose('Choose a folder…', writeSmallFolder(join(window.folder, 'mill-folder')));
    await page().getByRole('button', { name: 'Take it in' }).waitFor();
    await eventually(() => page().locator('.say').innerText()).toMatch(/This would add \d+ rows? and change 0 rows/);
    await visit(page(), '#/fleet');
    await page().getByText('Nothing is in this fleet yet').waitFor();
  });

  test('then it is taken in, once', async () => {
    await visit(page(), '#/import');
    await choose('Choose a folder…', join(window.folder, 'mill-folder'));
    await page().getByRole('button', { name: 'Take it in' }).click();
    await eventually(() => page().locator('.say').innerText()).toMatch(/rows added, 0 rows changed/);
    await page().getByRole('button', { name: 'Import more' }).click();
    await choose('Choose a folder…', join(window.folder, 'mill-folder'));
    await eventually(() => page().locator('.say').innerText()).toMatch(/^Nothing would change/);
    expect(await page().getByRole('button', { name: 'Take it in' }).count()).toBe(0);
  });

  test('a broken row is named by file, line, column and value, and nothing is taken', async () => {
    const folder = writeSmallFolder(join(window.folder, 'broken-folder'));
    const file = join(folder, 'segments.csv');
    writeFileSync(
      file,
      readFileSync(file, 'utf8').replace('C2,F1,Weir to Tannery,1.2,km', 'C9,F1,Weir to Tannery,"1,2",km'),
    );
    await page().getByRole('button', { name: 'Choose other files' }).click();
    await choose('Choose a folder…', folder);
    await page().getByRole('region', { name: 'Refused rows' }).waitFor();
    const row = page().locator('.refused tbody tr').filter({ hasText: '1,2' });
    expect(await row.innerText()).toMatch(/segments\.csv\s+3\s+length\s+1,2/);
    expect(await page().getByRole('button', { name: 'Take it in' }).count()).toBe(0);
  });

  test('the ranking holds what was taken in', async () => {
    await visit(page(), '#/ranking');
    await eventually(() => page().locator('.grid-room .grid-row').count()).toBe(3);
  });

  test('complains of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

describe.skipIf(noWindow)('a fleet that is open read-only', () => {
  let reading: Window;
  beforeAll(async () => {
    reading = await openWindow({ segments: 40, readOnly: true });
  });
  afterAll(() => reading?.close());

  test('says so in the header, in the title and where one would write', async () => {
    await reading.page.locator('.read-only').waitFor();
    await eventually(() => reading.page.title()).toBe('Harrow Vale Municipal Power · read-only · Cable Yearbook');
    await visit(reading.page, '#/import');
    await reading.page.getByText('This fleet is open read-only').waitFor();
    expect(await reading.page.getByRole('button', { name: /Choose/ }).count()).toBe(0);
  });
});

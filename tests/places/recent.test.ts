import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { eventually, noWindow, openWindow, type Window } from './window.ts';

let window: Window;
const page = () => window.page;
const said = () => page().locator('.read-only');
const tree = () => page().getByRole('tree').getByRole('treeitem').first();
const writes = () => page().getByRole('button', { name: 'add a segment…' });

async function choose(name: string): Promise<void> {
  await page()
    .getByRole('button', { name: /: fleets$/ })
    .click();
  await page().getByRole('menuitem', { name, exact: true }).click();
}

describe.skipIf(noWindow)('a fleet to look at without touching', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 40 });
  });
  afterAll(() => window?.close());

  test('the open one goes on read-only, says so in the header, and comes back for writing', async () => {
    await tree().waitFor();
    await writes().waitFor();
    expect(await said().count()).toBe(0);
    await choose('Go on read-only');
    await said().waitFor();
    await tree().waitFor();
    await eventually(() => writes().count()).toBe(0);
    await choose('Open it for writing');
    await said().waitFor({ state: 'detached' });
    await writes().waitFor();
  });

  test('a recent one opens read-only from the welcome, and for writing from the menu', async () => {
    await choose('Close');
    await page().getByRole('button', { name: 'demo, read-only' }).click();
    await said().waitFor();
    await tree().waitFor();
    await choose('Close');
    await page().getByRole('button', { name: 'demo', exact: true }).click();
    await writes().waitFor();
    expect(await said().count()).toBe(0);
  });

  test('another recent one opens read-only from the menu', async () => {
    await choose('New…');
    await page().getByLabel('Name').fill('Second');
    await page().getByRole('button', { name: 'Begin' }).click();
    await page().getByRole('heading', { name: 'Import' }).waitFor();
    await choose('demo, read-only');
    await said().waitFor();
    await tree().waitFor();
    expect(window.complaints).toEqual([]);
  });
});

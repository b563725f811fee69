import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { eventually, openWindow, visit } from './window.ts';

declare global {
  /** On the page: what it asked since it was loaded. */
  var asksSent: string[];
}

let window: Awaited<ReturnType<typeof openWindow>>;
const page = (): Page => window.page;

const firstRows = {
  ranking: { ask: '/ask/ranking.page .*"from":0,', row: '.ranking-table #row-0:not([data-unread])' },
  retests: { ask: '/ask/retest.page .*"skip":0,', row: '.due-table #row-0:not([data-unread])' },
  evidence: { ask: '/ask/evidence.register .*"skip":0,', row: '.register-table #row-0:not([data-unread])' },
} as const;
const places = Object.keys(firstRows) as (keyof typeof firstRows)[];

/** How often each place's first rows were asked for. */
const asked = () =>
  page().evaluate(
    (patterns) => patterns.map((pattern) => globalThis.asksSent.filter((each) => RegExp(pattern).test(each)).length),
    places.map((place) => firstRows[place].ask),
  );

describe('what places show first', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 120 });
    await page().addInitScript(() => {
      globalThis.asksSent = [];
      const send = globalThis.fetch;
      globalThis.fetch = (to, options) => {
        globalThis.asksSent.push(`${to} ${options?.body}`);
        return send(to, options);
      };
    });
  });
  afterAll(() => window?.close());

  test('is not read ahead as long as it would have to be worked out', async () => {
    await page().reload();
    // The last script that is fetched while the page has nothing else to do.
    await page().waitForFunction(() =>
      performance.getEntriesByType('resource').some(({ name }) => name.includes('/ImportPlace-')),
    );
    expect(await asked()).toEqual([0, 0, 0]);
  });

  test('is read ahead once it is made, and stands without another ask when it is opened', async () => {
    const pool = await window.host.shelf.pool();
    expect(await pool.send('ranking.make', {})).toMatchObject({ ok: true });
    await visit(page(), '#/fleet');
    await page().reload();
    await eventually(asked).toEqual([1, 1, 1]);
    for (const place of places) {
      await visit(page(), `#/${place}`);
      await page().locator(firstRows[place].row).waitFor();
    }
    expect(await asked()).toEqual([1, 1, 1]);
  });

  test('complains of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openCore } from '../../core/index.ts';
import { onTheSpotSegments } from '../../core/tasks/standings.ts';
import { migrations } from '../../migrations/index.ts';
import { workName } from '../../renderer/words/works.ts';
import { eventually, longWork, noWindow, openWindow, visit, type Window } from './window.ts';

// A ranking of a large fleet takes a minute, with its slip in the tray. A plan that is kept changes nothing it is made from.
let window: Window;
const page = () => window.page;

async function writeRanked(file: string, segments: number): Promise<void> {
  const now = () => new Date().toISOString();
  const core = await openCore(file, { migrations, now, who: 'demo', create: true });
  for (const reply of [await core.send('demo.write', { segments }), await core.send('ranking.make', {})])
    if (!reply.ok) throw new Error(reply.problem.message);
  core.close();
}

describe.skipIf(noWindow)('a plan kept of a large fleet', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: onTheSpotSegments + 10, make: writeRanked });
  });
  afterAll(() => window?.close());

  test('leaves the ranking as it stands: nothing is fitted again', async () => {
    const asked: string[] = [];
    page().on('request', (request) => {
      const [, name] = new URL(request.url()).pathname.split('/ask/');
      if (name) asked.push(name);
    });
    await visit(page(), '#/ranking');
    await page().locator('.ranking-table [role=row]').nth(1).waitFor();
    await visit(page(), '#/plan');
    await page().getByLabel('Years of the plan').fill('2');
    await page().getByLabel('Budget of each year').fill('300,000');
    await page().getByRole('button', { name: 'Make the plan' }).click();
    await page().getByRole('button', { name: 'keep this plan…' }).click(longWork);
    await page().getByRole('dialog').getByLabel('Name').fill('Board, autumn');
    await page().getByRole('button', { name: 'Keep it' }).click();
    await page().getByRole('dialog').waitFor({ state: 'detached' });
    expect(asked).toContain('plan.save');
    asked.length = 0;
    await visit(page(), '#/ranking');
    await eventually(() => asked).toContain('ranking.page');
    await page().locator('.ranking-table [role=row]').nth(1).waitFor();
    // Several changes in a row are one ranking: a new one would be begun two seconds after the last of them, and the
    // page's timers fire in the order of their time.
    await page().evaluate(() => new Promise((over) => setTimeout(over, 3_000)));
    expect(asked).not.toContain('ranking.make');
    expect(await page().locator('.behind').count()).toBe(0);
    // The slip of the plan itself may still stand there for a while.
    expect(
      await page()
        .locator('.tray', { hasText: workName('ranking.make', '') })
        .count(),
    ).toBe(0);

    // The same window does begin one, with its slip, where a fact has changed that the ranking is made from.
    let goOn = (): void => {};
    const held = new Promise<void>((resolve) => {
      goOn = resolve;
    });
    await page().route(/ask\/ranking\.make/, async (route) => {
      await held;
      await route.continue();
    });
    const { rows } = await answer('ranking.page', { count: 1 });
    await answer('segment.edit', { segmentId: rows[0]!.id, field: 'length', value: '5000 m', why: 'measured' });
    await page().locator('.behind').waitFor();
    await eventually(() => asked).toContain('ranking.make');
    goOn();
    await page()
      .locator('.behind')
      .waitFor({ state: 'detached', ...longWork });
  }, 480_000);

  async function answer(name: string, input: unknown): Promise<{ readonly rows: readonly { readonly id: string }[] }> {
    const lines = await page().evaluate(
      async ([to, body]) => {
        const headers = { 'content-type': 'application/json', 'x-ask-id': crypto.randomUUID() };
        return (await fetch(`/ask/${to}`, { method: 'POST', headers, body: body! })).text();
      },
      [name, JSON.stringify(input)],
    );
    const { reply } = JSON.parse(lines.trim().split('\n').at(-1)!);
    expect(reply).toMatchObject({ ok: true });
    return reply.value;
  }
});

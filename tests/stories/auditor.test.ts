import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { copyFileSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { unzipSync } from 'fflate';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { main } from '../../electron/command/main.ts';
import { eventually, noWindow, openWindow, type Window } from '../places/window.ts';
import { asked, askFromPage, downloaded, goTo, pick, writeUtility } from './steps.ts';

let window: Window;
const page = () => window.page;
const period = { from: '2025-01-01', to: '2025-12-31' };
const excuse = 'Road closed by the city until spring';
const sha256 = (file: string): string => createHash('sha256').update(readFileSync(file)).digest('hex');

/** Opens a part of Evidence by its word, and waits until the part before is gone. */
async function part(name: string): Promise<void> {
  const link = page()
    .getByRole('navigation', { name: 'Parts of the evidence' })
    .getByRole('link', { name, exact: true });
  await link.click();
  await eventually(() => link.getAttribute('aria-current')).toBe('page');
}

/** Changes one leakage behind the program’s back, as whoever holds the file can; says which. */
function tamper(file: string): { testId: string; segmentId: string; testedOn: string; was: number; is: number } {
  const db = new Database(file);
  try {
    const triggers = db.prepare("select name, sql from sqlite_schema where type = 'trigger'").all() as {
      name: string;
      sql: string;
    }[];
    for (const { name } of triggers) db.exec(`drop trigger ${name}`);
    const row = db
      .prepare(
        `select e.id, e.owner_id as testId, s.owner_id as segmentId, e.tested_on as testedOn, r.leakage_ua as was
           from test_event e join segment s on s.id = e.segment_id join reading r on r.test_event_id = e.id
           where e.tested_on between ? and ? and r.phase = 'B' order by e.tested_on limit 1`,
      )
      .get(period.from, period.to) as { id: string; testId: string; segmentId: string; testedOn: string; was: number };
    const is = row.was / 2;
    db.prepare("update reading set leakage_ua = ? where test_event_id = ? and phase = 'B'").run(is, row.id);
    for (const { sql } of triggers) db.exec(sql);
    return { ...row, is };
  } finally {
    db.close();
  }
}

describe.skipIf(noWindow)('the auditor’s day', () => {
  let file: string;
  let opened: string;
  const bag = () => join(window.folder, 'bag');
  beforeAll(async () => {
    window = await openWindow({ segments: 0 });
  });
  afterAll(() => window?.close());

  test('opens the fleet read-only: header and title say so', async () => {
    file = join(window.folder, 'Harrow Vale.fleet');
    await writeUtility(file, {
      at: '2025-12-31T16:00:00.000Z',
      after: async (core) => {
        const missing = await asked(core, 'evidence.compliance', { ...period, status: 'missing', count: 1 });
        const { segmentId, dueOn } = missing.rows[0]!;
        await asked(core, 'excuse.add', { segmentId, dueOn, reason: excuse });
      },
    });
    await pick(page(), () => page().getByRole('button', { name: 'Open read-only' }).click(), file);
    await page().locator('.read-only').waitFor();
    await eventually(() => page().title()).toBe('Harrow Vale Municipal Power · read-only · Cable Yearbook');
    // A browser hands over a copy; it is the same file, byte for byte.
    const [copy] = readdirSync(join(window.folder, 'fleets')).filter((name) => name.endsWith('.fleet'));
    opened = join(window.folder, 'fleets', copy!);
    expect(sha256(opened)).toBe(sha256(file));
  });

  test('can change nothing: no button offers it, and the host refuses', async () => {
    const refused = await askFromPage(page(), 'person.add', { name: 'N. Intruder', roles: ['approver'] } as never);
    expect(refused).toMatchObject({ ok: false, problem: { code: 'read-only' } });
    await goTo(page(), 'Import');
    await page().getByText('This fleet is open read-only').waitFor();
    expect(
      await page()
        .getByRole('button', { name: /Choose/ })
        .count(),
    ).toBe(0);
  });

  test('picks 2025 and sees every test due and done', async () => {
    await goTo(page(), 'Evidence');
    await page()
      .getByLabel(/^First day/)
      .fill(period.from);
    await page()
      .getByLabel(/^Last day/)
      .fill(period.to);
    await eventually(() => page().locator('.evidence-body .say').innerText()).toMatch(
      /^Of \d+ tests due or done from 2025-01-01 to 2025-12-31/,
    );
    const grid = page().getByRole('grid', { name: 'Register of tests due and done' });
    await grid.locator('.grid-room .grid-row').first().waitFor();
    // The counts and the register are of the same tests.
    const sum = await page().locator('.counts tr.sum td').allInnerTexts();
    const [onTime, early, late, missing, excused, open] = sum.slice(2).map((text) => Number(text.replaceAll(',', '')));
    expect(excused).toBe(1);
    const rows = onTime! + early! + late! + missing! + excused! + open!;
    await eventually(async () => Number(await grid.getAttribute('aria-rowcount'))).toBeGreaterThanOrEqual(rows);
    await page()
      .getByRole('button', { name: /^Status:/ })
      .click();
    await page().getByRole('option', { name: 'excused' }).click();
    await eventually(() => grid.locator('.grid-room').innerText()).toContain(excuse);
    expect(await page().getByRole('button', { name: 'excuse…' }).count()).toBe(0);
  });

  test('sees each instrument’s calibration on the day', async () => {
    await part('Calibration');
    const table = page().locator('.evidence-body table');
    await table.locator('tbody tr').first().waitFor();
    const rows = await table
      .locator('tbody tr')
      .evaluateAll((lines) =>
        lines.map((line) => [...line.querySelectorAll('td')].map((cell) => cell.textContent ?? '')),
      );
    const db = new Database(file, { readonly: true });
    const tests = db
      .prepare(
        `select i.owner_id as name, count(distinct e.id) as n from test_event e
           join reading r on r.test_event_id = e.id join instrument i on i.id = r.instrument_id
           where e.tested_on between ? and ? and e.superseded_by_id is null group by 1`,
      )
      .all(period.from, period.to) as { name: string; n: number }[];
    db.close();
    expect(tests.length).toBeGreaterThan(0);
    for (const { name, n } of tests) {
      const row = rows.find((cells) => cells[0] === name);
      expect(row?.[2]).toBe(String(n));
      expect(row?.[4]).toMatch(/20\d\d-\d\d-\d\d to 20\d\d-\d\d-\d\d/);
    }
  });

  test('sees every change with who, when and why', async () => {
    await part('Ledger');
    const lines = page().locator('.ledger-lines > tbody > tr');
    await eventually(() => lines.count()).toBe(2);
    const cells = await lines.first().locator('td').allInnerTexts();
    expect([cells[1], cells[2], cells[6]]).toEqual(['2025-12-31 16:00', 'R. Keeper', excuse]);
    await lines.first().locator('.fold').click();
    await eventually(() => page().locator('.ledger-lines').innerText()).toMatch(/Hash [0-9a-f]{64}/);
  });

  test('asks whether anything was altered since, and is told no change', async () => {
    await part('Verify');
    await page().getByRole('button', { name: 'Verify this fleet' }).click();
    await eventually(() => page().locator('.evidence-body .say').innerText()).toMatch(
      /^Yes: every record is as its ledger line wrote it, up to line 2,/,
    );
  });

  test('takes away a bag that sha256sum verifies without this program', async () => {
    const zip = join(window.folder, 'bag.zip');
    await downloaded(page(), () => page().getByRole('button', { name: 'bag of the period' }).click(), zip);
    const files = unzipSync(readFileSync(zip));
    for (const [name, bytes] of Object.entries(files)) {
      mkdirSync(dirname(join(bag(), name)), { recursive: true });
      writeFileSync(join(bag(), name), bytes);
    }
    for (const manifest of ['manifest-sha256.txt', 'tagmanifest-sha256.txt'])
      expect(() => execFileSync('sha256sum', ['-c', '--quiet', '--strict', manifest], { cwd: bag() })).not.toThrow();
    expect(readFileSync(join(bag(), 'data/compliance.csv'), 'utf8')).toContain(excuse);
    const said: string[] = [];
    const code = await main(
      ['verify', bag()],
      { stdout: (text) => void said.push(text), stderr: () => {}, live: false },
      window.folder,
    );
    expect([code, said.join('')]).toEqual([0, expect.stringMatching(/^Yes/m)]);
  });

  test('and has changed not one byte', () => {
    expect(sha256(opened)).toBe(sha256(file));
  });

  test('of a copy with one reading altered, is told the exact record and what it said before', async () => {
    const copy = join(window.folder, 'Harrow Vale, as sent.fleet');
    copyFileSync(file, copy);
    const { testId, segmentId, testedOn, was, is } = tamper(copy);
    await page()
      .getByRole('button', { name: /: fleets$/ })
      .click();
    await pick(page(), () => page().getByRole('menuitem', { name: 'Open read-only…' }).click(), copy);
    await eventually(() => new URL(page().url()).hash).toBe('#/fleet');
    await page().getByRole('heading', { name: 'Harrow Vale Municipal Power', level: 1 }).waitFor();
    await page().locator('.read-only').waitFor();
    await goTo(page(), 'Evidence');
    await part('Verify');
    await page().getByRole('button', { name: 'Verify this fleet' }).click();
    const says = page().locator('.evidence-body .say');
    await eventually(() => says.innerText()).toMatch(/^No/);
    const record = `test ${testId} of segment ${segmentId}, ${testedOn}`;
    expect((await says.innerText()).toLowerCase()).toContain(record.toLowerCase());
    const wrong = page().locator('.evidence-body .ledger tbody tr');
    expect(await wrong.count()).toBe(1);
    expect(await wrong.innerText()).toContain(record);
    expect(await wrong.innerText()).toContain(`leakage_ua of phase B, step 0 was ${was}, now ${is}`);
  });

  test('without a complaint from the page', () => {
    expect(window.complaints).toEqual([]);
  });
});

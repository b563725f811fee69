import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';
import { eventually, holdWord, noWindow, openWindow, visit, type Window } from './window.ts';

let window: Window;
const page = () => window.page;

/** The invented utility, its ledger signed with a key; beside it that key and another. */
async function signedDemo(file: string, segments: number): Promise<void> {
  const core = await openCore(file, { migrations, now: () => new Date().toISOString(), who: 'demo', create: true });
  const key = join(dirname(file), 'ours.pem');
  const replies = [
    await core.send('demo.write', { segments }),
    await core.send('evidence.makeKey', { out: key }),
    await core.send('evidence.makeKey', { out: join(dirname(file), 'other.pem') }),
    await core.send('evidence.sign', { key, reason: 'end of the year' }),
  ];
  core.close();
  for (const reply of replies) if (!reply.ok) throw new Error(reply.problem.message);
}

describe.skipIf(noWindow)('the place Evidence', () => {
  beforeAll(async () => {
    window = await openWindow({ segments: 80, make: signedDemo });
  });
  afterAll(() => window?.close());

  test('counts what was due and done, and the counts of the substations add up to all', async () => {
    await visit(page(), '#/evidence');
    await page().locator('.counts tbody tr').first().waitFor();
    const rows = await page()
      .locator('.counts tbody tr')
      .evaluateAll((lines) =>
        lines.map((line) =>
          [...line.querySelectorAll('td')].slice(1).map((cell) => Number((cell.textContent ?? '').replaceAll(',', ''))),
        ),
      );
    const sums = rows.at(-1)!;
    expect(sums[0]).toBeGreaterThan(20);
    sums.forEach((sum, at) => {
      expect(rows.slice(0, -1).reduce((total, row) => total + row[at]!, 0)).toBe(sum);
    });
    expect(await page().locator('.ledger-foot').innerText()).toMatch(/^Ledger head, line \d+: ([0-9a-f]{8} ?){8}$/);
  });

  test('keeps only the status that its word says', async () => {
    await page()
      .getByRole('button', { name: /^Status:/ })
      .click();
    await page().getByRole('option', { name: 'missing' }).click();
    const grid = page().getByRole('grid', { name: /Register/ });
    await eventually(
      async () => new Set(await grid.locator('.grid-room .grid-row > :nth-child(6)').allInnerTexts()),
    ).toEqual(new Set(['missing']));
  });

  test('excuses a missing test with a reason; the register and the ledger both say so', async () => {
    await page().getByRole('button', { name: 'excuse…' }).first().click();
    await page().getByRole('dialog').getByLabel('Reason').fill('Road closed by the city until spring');
    await page().getByRole('button', { name: 'Excuse it' }).click();
    await page().getByRole('dialog').waitFor({ state: 'detached' });
    await visit(page(), '#/evidence/ledger');
    await eventually(() => page().locator('.ledger-lines').innerText()).toContain(
      'Road closed by the city until spring',
    );
  });

  test('draws the same sample for the same text', async () => {
    await visit(page(), '#/evidence/sample');
    const draw = async (text: string) => {
      await page().getByLabel('Text to draw by').fill(text);
      // What was drawn by another text is gone with the first letter.
      await page().locator('.evidence-body tbody tr').first().waitFor();
      return page().locator('.evidence-body tbody').innerText();
    };
    const first = await draw('Harrow Vale 2025');
    const other = await draw('Harrow Vale 2026');
    expect(other).not.toBe(first);
    expect(await draw('Harrow Vale 2025')).toBe(first);
  });

  test('verifies: yes, with what was checked; a head that is not this ledger’s: no', async () => {
    await visit(page(), '#/evidence/verify');
    await page().getByRole('button', { name: 'Verify this fleet' }).click();
    await eventually(() => page().locator('.evidence-body .say').innerText()).toMatch(/^Yes/);
    await eventually(() => page().locator('.evidence-body').innerText()).toMatch(/Checked in .* readings/);
    await page()
      .getByLabel(/Hash of a ledger head/)
      .fill('0'.repeat(64));
    await page().getByRole('button', { name: 'Verify again' }).click();
    await eventually(() => page().locator('.evidence-body .say').innerText()).toMatch(/^No/);
  });

  test('verifies with the public key of a signer: by the words of the command line', async () => {
    await page()
      .getByLabel(/Hash of a ledger head/)
      .fill('');
    const verifyWith = async (file: string) => {
      const chosen = page().waitForEvent('filechooser');
      await page().getByRole('button', { name: 'Choose a key file…' }).click();
      await (await chosen).setFiles(join(window.folder, file));
      await page().locator('.verify-key strong', { hasText: file }).waitFor();
      await page().getByRole('button', { name: 'Verify again' }).click();
    };
    const say = () => page().locator('.evidence-body .say').innerText();
    await verifyWith('other.pem.pub.pem');
    await eventually(say).toMatch(/^No: .* by the key given is not in this ledger, or does not hold/);
    await page().getByRole('button', { name: 'Leave it out' }).click();
    await verifyWith('ours.pem.pub.pem');
    await eventually(say).toMatch(/^Yes: .* The key given signed line 1\.$/);
    await page().getByRole('button', { name: 'Leave it out' }).click();
  });

  test('lists findings, and keeps a verdict with its reason', async () => {
    await visit(page(), '#/import/findings');
    await page().locator('.say').waitFor();
    const findings = page().locator('.finding');
    if ((await findings.count()) === 0) {
      console.log('No finding in this small fleet: the verdict is not tried here.');
      return;
    }
    await findings.first().getByRole('button', { name: 'dismiss…' }).click();
    await page().getByLabel('Dismissed, because').fill('Checked against the paper record');
    await page().getByRole('button', { name: 'Keep this' }).click();
    await eventually(() => page().locator('.findings').innerText()).toMatch(
      /Dismissed by asset manager on .*: Checked against the paper record/,
    );
  });

  test('changes a person’s role with a reason, after saying what they may then do; undo puts it back', async () => {
    await visit(page(), '#/evidence/people');
    for (const [name, role] of [
      ['asset manager', 'approver'],
      ['A. Miller', 'reader'],
    ] as const) {
      await page().getByLabel('Name', { exact: true }).fill(name);
      await page().getByLabel('Role').selectOption(role);
      await page().getByRole('button', { name: 'Name this person' }).click();
      await page()
        .getByRole('button', { name: `Change ${name}` })
        .waitFor();
    }
    const row = page().locator('.people tbody tr').filter({ hasText: 'A. Miller' });
    await page().getByRole('button', { name: 'Change A. Miller' }).click();
    const dialog = page().getByRole('dialog');
    await dialog.getByLabel('Role').selectOption('recorder');
    expect(await dialog.getByRole('status').innerText()).toBe(
      'From then on A. Miller may record tests, work and failures, import and edit.',
    );
    expect(await dialog.getByRole('button', { name: 'Save it' }).isDisabled()).toBe(true);
    await dialog.getByLabel('Why').fill('joined the west crew');
    await page().keyboard.press('Enter');
    await dialog.waitFor({ state: 'detached' });
    await holdWord(page(), /^A\. Miller: /);
    await eventually(() => row.innerText()).toContain('recorder');
    await page().getByRole('button', { name: 'Undo' }).click();
    await eventually(() => row.innerText()).toContain('reader');
  });

  test('complains of nothing', () => {
    expect(window.complaints).toEqual([]);
  });
});

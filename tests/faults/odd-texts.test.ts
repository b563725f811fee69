import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';
import { makeSmallFleet, temporaryFolder } from '../hosts/small-fleet.ts';

// What seeded inputs once found, each by itself.
const home = temporaryFolder('odd-texts');
const now = () => '2025-06-01T08:00:00.000Z';
let core: Core;
let segmentId: never;

beforeAll(async () => {
  const file = await makeSmallFleet(home.file('odd.fleet'), home.file('folder'));
  const db = new Database(file, { readonly: true });
  segmentId = db.prepare("select id from segment where owner_id = 'C3'").pluck().get() as never;
  db.close();
  core = await openCore(file, { migrations, now, who: 'crew lead' });
});
afterAll(() => {
  core?.close();
  home.clear();
});

test('half a character is kept as the mark that stands for it (Unicode, U+FFFD), and the fleet verifies', async () => {
  const reason = 'seen \ud800 in the field';
  expect(await core.send('finding.decide', { keys: ['k'], verdict: 'dismissed', reason })).toMatchObject({ ok: true });
  const page = await core.send('ledger.page', { count: 1 });
  expect(JSON.stringify(page)).toContain('seen \ufffd in the field');
  expect(await core.send('evidence.verify', {})).toMatchObject({ ok: true, value: { intact: true } });
});

test('a text with NUL is not kept, and named; a question may hold one', async () => {
  const before = core.revision();
  const wish = { segmentId, dueOn: '2018-04-01', until: null, reason: '\0 out of reach' };
  expect(await core.send('excuse.add', wish as never)).toMatchObject({
    ok: false,
    problem: { code: 'bad-input', where: 'reason' },
  });
  expect(core.revision()).toBe(before);
  expect(await core.send('fleet.find', { text: 'weir\0' })).toMatchObject({ ok: true });
});

test('a key is never written unenciphered where a passphrase was meant, nor half a pair', async () => {
  for (const [name, text] of [
    ['empty', ''],
    ['blank-line', '\nsecret\n'],
    ['long', 'x'.repeat(5000)],
  ] as const) {
    writeFileSync(home.file(name), text);
    const out = home.file(`${name}.pem`);
    const reply = await core.send('evidence.makeKey', { out, passphraseFile: home.file(name) });
    expect(reply).toMatchObject({ ok: false, problem: { code: 'bad-input' } });
    expect([existsSync(out), existsSync(`${out}.pub.pem`)]).toEqual([false, false]);
  }
  writeFileSync(home.file('right'), 'correct horse battery staple\n');
  const out = home.file('right.pem');
  expect(await core.send('evidence.makeKey', { out, passphraseFile: home.file('right') })).toMatchObject({ ok: true });
  expect(readFileSync(out, 'utf8')).toContain('ENCRYPTED PRIVATE KEY');
});

test('readings, voltages and days beyond all sense are refused before they are reckoned with', async () => {
  const typed = { segmentId, voltageKv: 20, dwellMin: 15, readings: [{ phase: 'A', leakageUa: 5e-324 }] };
  expect(await core.send('retest.judge', typed as never)).toMatchObject({ ok: false, problem: { code: 'bad-input' } });
  for (const odd of [{ voltageKv: 1e-9 }, { dwellMin: 5e-324 }])
    expect(await core.send('retest.brief', { segment: 'C3', ...odd })).toMatchObject({
      ok: false,
      problem: { code: 'bad-input' },
    });
  await core.send('ranking.make', {});
  expect(await core.send('retest.brief', { segment: 'C3', on: '9999-12-31' })).toMatchObject({
    ok: false,
    problem: { code: 'bad-input', message: expect.stringContaining('50 years') },
  });
  expect(await core.send('plan.make', { budget: 1e308 })).toMatchObject({ ok: false, problem: { code: 'bad-input' } });
});

test('what is missing is said in plain words', async () => {
  expect(await core.send('fleet.find', {} as never)).toMatchObject({
    ok: false,
    problem: { message: 'text: is missing' },
  });
});

test('a file of a name that nobody could make does not stop the program', async () => {
  for (const out of ['/proc/nowhere/at/all', `${home.folder}/${'x'.repeat(300)}/y`])
    expect(await core.send('fleet.export', { out })).toMatchObject({
      ok: false,
      problem: { where: expect.any(String) },
    });
});

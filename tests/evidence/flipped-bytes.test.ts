import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type Core, openCore } from '../../core/index.ts';
import { seededRandom } from '../../core/numerics/random.ts';
import { migrations } from '../../migrations/index.ts';
import { aFleet } from './a-fleet.ts';

const folder = mkdtempSync(join(tmpdir(), 'flipped-'));
const whole = join(folder, 'whole.fleet');
const spoilt = join(folder, 'spoilt.fleet');
let core: Core;

beforeAll(async () => {
  const { fleet } = await aFleet(21);
  writeFileSync(whole, fleet.raw.serialize());
  fleet.raw.close();
  core = await openCore(null, { migrations, now: () => '2026-03-01T09:00:00.000Z', who: 'x' });
});
afterAll(() => {
  core.close();
  rmSync(folder, { recursive: true, force: true });
});

/** Everything the file says, table by table; undefined where SQLite cannot read it. */
function said(file: string): string | undefined {
  const db = new Database(file, { readonly: true });
  try {
    const tables = db
      .prepare("select name from sqlite_schema where type = 'table' order by name")
      .pluck()
      .all() as string[];
    const rows = tables.map((table) => [table, db.prepare(`select * from "${table}"`).raw().all()]);
    const schema = db.prepare('select type, name, sql from sqlite_schema order by type, name').raw().all();
    return JSON.stringify([schema, rows, db.pragma('user_version'), db.pragma('application_id')]);
  } catch {
    return undefined;
  } finally {
    db.close();
  }
}

// The file itself, below SQLite, where it is not empty space: a byte that changes nothing of what the file says (free space) may go unseen, no other.
test('a byte flipped anywhere in the file is found wherever it changes what the file says', {
  timeout: 120_000,
}, async () => {
  const bytes = readFileSync(whole);
  const original = said(whole);
  const random = seededRandom(77);
  const missed: string[] = [];
  let found = 0;
  for (let i = 0; i < 30; i++) {
    let at = random.integer(bytes.length);
    while (bytes[at] === 0) at = random.integer(bytes.length);
    copyFileSync(whole, spoilt);
    const copy = Buffer.from(bytes);
    copy[at]! ^= 1 << random.integer(8);
    writeFileSync(spoilt, copy);
    const reply = await core.send('evidence.verify', { path: spoilt });
    const seen = !reply.ok || !reply.value.intact;
    if (seen) found++;
    if (!seen && said(spoilt) !== original) missed.push(`byte ${at}`);
    if (!reply.ok && !['foreign-file', 'newer-file', 'read-only', 'broken-file'].includes(reply.problem.code))
      missed.push(`byte ${at}: ${reply.problem.code} ${reply.problem.message}`);
  }
  expect(missed).toEqual([]);
  expect(found).toBeGreaterThan(20);
});

test('what is no fleet file is refused in words, and a missing one too', async () => {
  writeFileSync(spoilt, 'not a database at all, but long enough to be looked at as one\n'.repeat(40));
  expect(await core.send('evidence.verify', { path: spoilt })).toMatchObject({
    ok: false,
    problem: { code: 'foreign-file' },
  });
  rmSync(spoilt);
  new Database(spoilt).exec('create table a (b)').close();
  expect(await core.send('evidence.verify', { path: spoilt })).toMatchObject({
    ok: false,
    problem: { code: 'foreign-file' },
  });
  expect(await core.send('evidence.verify', { path: join(folder, 'none') })).toMatchObject({
    ok: false,
    problem: { code: 'not-found' },
  });
  expect(await core.send('evidence.verify', { path: folder })).toMatchObject({
    ok: false,
    problem: { code: 'foreign-file' },
  });
  expect(await core.send('evidence.verify', {})).toMatchObject({ ok: false, problem: { code: 'bad-input' } });
});

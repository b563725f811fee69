import { copyFileSync, mkdirSync, readFileSync, truncateSync, writeFileSync } from 'node:fs';
import { basename } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { ProblemCode } from '../../core/contract/problem.ts';
import { Refusal } from '../../core/contract/problem.ts';
import { openCore } from '../../core/index.ts';
import { seededRandom } from '../../core/numerics/random.ts';
import { migrations } from '../../migrations/index.ts';
import { makeSmallFleet, temporaryFolder } from '../hosts/small-fleet.ts';

// Opening what is no sound fleet file. Places in the header by SQLite's description of it, "The Database Header"
// (sqlite.org/fileformat2.html): 0 the magic text, 16 the page size, 60 the user version, 68 the application id.
// tests/evidence flips bytes under the verification; here it is the opening, and the questions after it.
const home = temporaryFolder('damaged');
const now = () => '2025-06-01T08:00:00.000Z';
const spoilt = home.file('spoilt.fleet');
let sound: Buffer;

beforeAll(async () => {
  sound = readFileSync(await makeSmallFleet(home.file('sound.fleet'), home.file('folder')));
});
afterAll(home.clear);

const open = (file: string, readOnly: boolean) => openCore(file, { migrations, now, who: 'x', readOnly });
async function refusalOf(file: string, readOnly: boolean): Promise<Refusal> {
  try {
    (await open(file, readOnly)).close();
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error(`${basename(file)} was opened`);
}
const changed = (change: (bytes: Buffer) => void) => () => {
  const bytes = Buffer.from(sound);
  change(bytes);
  writeFileSync(spoilt, bytes);
};
const made = (sql: string) => () => {
  writeFileSync(spoilt, '');
  new Database(spoilt).exec(sql).close();
};

describe.each([false, true])('opened read-only: %s', (readOnly) => {
  const wrong: [string, () => void, ProblemCode[], RegExp][] = [
    ['a letter', () => writeFileSync(spoilt, 'Dear Sir or Madam, '.repeat(100)), ['foreign-file'], /not a fleet file/],
    ['its first bytes overwritten', changed((b) => b.fill(0x20, 0, 16)), ['foreign-file'], /not a fleet file/],
    [
      'a page size that is none',
      changed((b) => b.writeUInt16BE(3, 16)),
      ['foreign-file', 'broken-file'],
      /not a fleet file|damaged/,
    ],
    [
      'the database of another application',
      made('pragma application_id = 77; create table a (b)'),
      ['foreign-file'],
      /another application/,
    ],
    ['a database without any application', made('create table a (b)'), ['foreign-file'], /another application/],
    ['a newer schema', changed((b) => b.writeUInt32BE(99, 60)), ['newer-file'], /schema 99.*newer version/],
    ['its first table page overwritten', changed((b) => b.fill(0xff, 100, 400)), ['broken-file'], /damaged.*backup/],
    ['its second half overwritten', changed((b) => b.fill(0xa5, b.length >> 1)), ['broken-file'], /damaged.*backup/],
    [
      'cut to half',
      () => {
        writeFileSync(spoilt, sound);
        truncateSync(spoilt, sound.length >> 1);
      },
      ['broken-file'],
      /damaged.*backup/,
    ],
    [
      'cut within its header',
      () => writeFileSync(spoilt, sound.subarray(0, 60)),
      ['foreign-file', 'broken-file'],
      /not a fleet file|damaged/,
    ],
  ];
  test.each(wrong)('%s is refused with the right problem, and left as it is', async (_, spoil, codes, words) => {
    spoil();
    const before = readFileSync(spoilt);
    const { problem } = await refusalOf(spoilt, readOnly);
    expect(codes).toContain(problem.code);
    expect(problem.message).toMatch(words);
    expect(problem.where).toBe(spoilt);
    expect(readFileSync(spoilt).equals(before)).toBe(true);
  });

  test('a folder, and a file that is not there', async () => {
    mkdirSync(home.file('a.fleet'), { recursive: true });
    expect((await refusalOf(home.file('a.fleet'), readOnly)).problem).toMatchObject({
      code: 'foreign-file',
      message: expect.stringContaining('folder'),
    });
    expect((await refusalOf(home.file('none.fleet'), readOnly)).problem).toMatchObject({ code: 'not-found' });
  });
});

test('a file of no bytes is an empty fleet to a writer, and says so to a reader', async () => {
  writeFileSync(spoilt, '');
  expect((await refusalOf(spoilt, true)).problem).toMatchObject({
    code: 'read-only',
    message: expect.stringContaining('empty'),
  });
  const core = await open(spoilt, false);
  expect(await core.send('fleet.info', {})).toMatchObject({ ok: true, value: { revision: 0 } });
  core.close();
});

test('a file whose making was cut short is made anew', async () => {
  const core = await openCore(home.file('begun.fleet'), { migrations, now, who: 'x', create: true });
  core.close();
  const first = Object.keys(migrations)[0]!;
  const cut = { ...migrations, [first]: { up: () => Promise.reject(new Error('the power went')) } };
  const again = home.file('again.fleet');
  await expect(openCore(again, { migrations: cut, now, who: 'x', create: true })).rejects.toThrow('the power went');
  const last = Object.keys(migrations).at(-1)!;
  const late = { ...migrations, [last]: { up: () => Promise.reject(new Error('the power went')) } };
  await expect(openCore(again, { migrations: late, now, who: 'x', create: true })).rejects.toThrow('the power went');
  const whole = await openCore(again, { migrations, now, who: 'x', create: true });
  expect(await whole.send('fleet.import', { paths: [home.file('folder')] })).toMatchObject({ ok: true });
  expect(await whole.send('evidence.verify', {})).toMatchObject({ ok: true, value: { intact: true } });
  whole.close();
});

test('pages overwritten at sixty seeded places: refused, or answered without a fault of ours', async () => {
  const random = seededRandom(5);
  const pageSize = sound.readUInt16BE(16);
  const pages = sound.length / pageSize;
  let refused = 0;
  for (let i = 0; i < 60; i++) {
    const bytes = Buffer.from(sound);
    const at = random.integer(pages) * pageSize + (i % 2 === 0 ? 0 : random.integer(pageSize - 64));
    for (let k = 0; k < 64; k++) bytes[at + k] = random.integer(256);
    writeFileSync(spoilt, bytes);
    let core: Awaited<ReturnType<typeof open>>;
    try {
      core = await open(spoilt, true);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      expect(['foreign-file', 'broken-file', 'newer-file', 'read-only']).toContain(error.problem.code);
      refused++;
      continue;
    }
    for (const [name, input] of [
      ['fleet.info', {}],
      ['fleet.tree', { under: null }],
      ['fleet.find', { text: 'weir' }],
      ['ledger.page', {}],
      ['evidence.verify', {}],
    ] as const) {
      const reply = await core.send(name, input as never);
      if (!reply.ok)
        expect([name, at, reply.problem]).toEqual([
          name,
          at,
          expect.objectContaining({ code: expect.not.stringMatching(/^fault$/) }),
        ]);
    }
    core.close();
  }
  expect(refused).toBeGreaterThan(10);
});

test('a backup put in the place of a damaged file opens', async () => {
  const core = await open(home.file('sound.fleet'), false);
  expect(await core.send('fleet.backup', { out: home.file('backup.fleet') })).toMatchObject({ ok: true });
  core.close();
  copyFileSync(home.file('backup.fleet'), spoilt);
  const restored = await open(spoilt, false);
  expect(await restored.send('evidence.verify', {})).toMatchObject({ ok: true, value: { intact: true } });
  restored.close();
});

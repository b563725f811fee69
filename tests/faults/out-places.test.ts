import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { type AskName, asks } from '../../core/contract/asks/index.ts';
import type { Problem } from '../../core/contract/problem.ts';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';
import { temporaryFolder } from '../hosts/small-fleet.ts';

// Every place an ask may write to, from the table itself, tried with places that cannot be written and a disk that is full.
const root = join(import.meta.dirname, '../..');
const home = temporaryFolder('out');
const file = home.file('fleet/demo.fleet');
const now = () => '2025-06-01T08:00:00.000Z';
let core: Core;

beforeAll(async () => {
  mkdirSync(home.file('fleet'));
  core = await openCore(file, { migrations, now, who: 'crew lead', create: true });
  for (const reply of [await core.send('demo.write', { segments: 60 }), await core.send('ranking.make', {})])
    if (!reply.ok) throw new Error(reply.problem.message);
  const found = await core.send('fleet.find', { text: 'S000001', count: 1 });
  if (!found.ok) throw new Error(found.problem.message);
  needs['segment.table'] = { segmentIds: found.value.hits.map((hit) => hit.id) };
});
afterAll(() => {
  core?.close();
  home.clear();
});

const period = { from: '2015-01-01', to: '2024-12-31' };
/** What each ask needs besides the place. */
const needs: Partial<Record<AskName, object>> = {
  'ledger.export': {},
  'evidence.compliance': period,
  'evidence.calibration': period,
  'evidence.completeness': period,
  'evidence.bag': period,
  'plan.make': { budget: 500_000, years: 2, horizon: 5 },
  'method.check': { segments: 200, regimes: ['plain'] },
  'retest.sheet': { segment: 'S000001' },
  'retest.round': { segments: ['S000001'] },
};
/** Written only where rows were refused; tried by itself below. */
const apart = ['fleet.import.refused'];

const places = (Object.keys(asks) as AskName[]).flatMap((name) => {
  const { properties = {} } = z.toJSONSchema(asks[name].input, { io: 'input', unrepresentable: 'any' });
  return Object.entries(properties as Record<string, { path?: string }>)
    .filter(([field, shape]) => shape.path === 'out' && !apart.includes(`${name}.${field}`))
    .map(([field]) => [`${name} ${field}`, name, field] as const);
});
const writesFolder = (name: AskName) => name === 'fleet.export' || name === 'evidence.bag';

/** Everything under a folder with its bytes, so that nothing half-written can hide. */
const listing = (folder: string): Record<string, string> =>
  Object.fromEntries(
    readdirSync(folder, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => join(entry.parentPath, entry.name))
      .map((path) => [relative(folder, path), readFileSync(path).toString('latin1')]),
  );

async function refusedAt(name: AskName, field: string, place: string): Promise<Problem> {
  const reply = await core.send(name, { ...needs[name], [field]: place } as never);
  if (reply.ok) throw new Error(`${name} wrote to ${place}`);
  expect(reply.problem.code).not.toBe('fault');
  expect(reply.problem.message).not.toMatch(/\b(E[A-Z]{4,}|errno|syscall)\b/);
  return reply.problem;
}

describe.each(places)('%s', (_, name, field) => {
  test('where nothing can be written: a problem in words, and nothing half-written', async () => {
    const folder = home.file(`bad-${name}-${field}`);
    mkdirSync(join(folder, 'a-folder/with'), { recursive: true });
    writeFileSync(join(folder, 'a-file'), 'kept as it is');
    const before = listing(folder);
    expect(['not-allowed', 'not-found', 'bad-input']).toContain(
      (await refusedAt(name, field, join(folder, 'a-file/below'))).code,
    );
    await refusedAt(name, field, join(folder, 'x'.repeat(300)));
    await refusedAt(name, field, `${folder}/\0`);
    if (!writesFolder(name)) {
      expect((await refusedAt(name, field, join(folder, 'a-folder'))).code).toBe('not-allowed');
      expect((await refusedAt(name, field, join(folder, 'none/below'))).code).toBe('not-found');
    }
    expect(listing(folder)).toEqual(before);
  });

  test('never over the open fleet, not even by a link', async () => {
    const link = home.file(`link-${name}-${field}`);
    symlinkSync(file, link);
    const before = statSync(file).ino;
    for (const place of [file, link, `${file}-wal`])
      expect((await refusedAt(name, field, place)).code).toBe('not-allowed');
    expect(statSync(file).ino).toBe(before);
    expect(await core.send('fleet.info', {})).toMatchObject({ ok: true });
  });

  // No folder is written to a device, a backup refuses one, and a key is never written over what is there.
  const writesThrough = !writesFolder(name) && name !== 'fleet.backup' && name !== 'evidence.makeKey';
  if (existsSync('/dev/full') && writesThrough)
    test('to a device that is full: said so', async () => {
      const problem = await refusedAt(name, field, '/dev/full');
      expect([problem.code, problem.message]).toEqual(['disk', expect.stringContaining('no room left')]);
      expect(existsSync('/dev/full.part')).toBe(false);
    });
});

test('where refused rows are to be written is said when it cannot be, and nothing is changed', async () => {
  writeFileSync(
    home.file('tests.csv'),
    [
      'test_id,segment_id,tested_on,phase,method,voltage_kv,dwell_min,leakage,leakage_unit',
      'T1,nowhere,2020-01-01,A,dc_withstand,20,15,3,uA',
      '',
    ].join('\n'),
  );
  const before = core.revision();
  for (const refused of [home.file('none/refused.csv'), home.folder]) {
    const reply = await core.send('fleet.import', { paths: [home.file('tests.csv')], refused });
    expect(reply).toMatchObject({ ok: false, problem: { code: expect.stringMatching(/not-found|not-allowed/) } });
  }
  expect(core.revision()).toBe(before);
});

// `ulimit -f` lets a process write files of so many blocks at most (POSIX sh, `ulimit`), as a full disk would.
const limits = process.platform === 'linux';
if (!existsSync('/dev/full')) console.log('A full device is not tried: this system has no /dev/full.');
if (!limits) console.log('A full disk is not tried: only Linux limits the size of files as this test needs it.');

describe.runIf(limits)('on a disk with little room', () => {
  const yearbook = (blocks: number, ...words: string[]) =>
    spawnSync(
      'sh',
      [
        '-c',
        `trap '' XFSZ; ulimit -f ${blocks}; exec "$@"`,
        'sh',
        process.execPath,
        join(root, 'electron/command.ts'),
        ...words,
        '--json',
      ],
      { cwd: home.folder, encoding: 'utf8', timeout: 200_000 },
    );

  test('an import, an export and a backup are refused with the reason, and leave what was there', async () => {
    const whole = home.file('whole');
    expect(await core.send('fleet.export', { out: whole })).toMatchObject({ ok: true });
    const copy = home.file('copy.fleet');
    expect(await core.send('fleet.backup', { out: copy })).toMatchObject({ ok: true });
    mkdirSync(home.file('little'));
    for (const [words, blocks] of [
      [['import', whole, '--fleet', 'little/new.fleet'], 300],
      [['export', '--fleet', copy, '--out', 'little/folder'], 40],
      [['backup', '--out', 'little/backup.fleet', '--fleet', copy], 300],
    ] as const) {
      const said = yearbook(blocks, ...words);
      expect([words[0], said.status, said.stderr]).toEqual([words[0], 1, expect.not.stringContaining('    at ')]);
      const { problem } = JSON.parse(said.stdout) as { problem: Problem };
      expect([words[0], problem.code]).toEqual([words[0], 'disk']);
      const left = readdirSync(home.file('little'), { recursive: true }).map(String);
      expect(
        left.filter((name) => /\.(part|lock|fleet|fleet-wal)$/.test(name)),
        words[0],
      ).toEqual([]);
    }
  });
});

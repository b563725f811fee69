import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, expect, test, vi } from 'vitest';
import type { AskName, InputOf } from '../../core/contract/asks/index.ts';
import { canonicalJson, type Json } from '../../core/evidence/canonical.ts';
import { type DefaultEdition, defaultRetestEditions } from '../../core/evidence/default-rule.ts';
import { type Core, openCore } from '../../core/index.ts';
import { insulationFamilies } from '../../core/trade/insulation.ts';
import { defaultLimit } from '../../core/trade/limits.ts';
import { migrations } from '../../migrations/index.ts';

// A program of a later version knows one edition more: the list is the same array for all modules.
vi.mock('../../core/evidence/default-rule.ts', async (original) => {
  const real = await original<typeof import('../../core/evidence/default-rule.ts')>();
  return { defaultRetestEditions: [...real.defaultRetestEditions] };
});
const editions = defaultRetestEditions as unknown as DefaultEdition[];
const released = [...editions];

const folder = mkdtempSync(join(tmpdir(), 'edition-'));
const file = join(folder, 'demo.fleet');
let clock = '2026-03-01T09:00:00.000Z';
let core: Core;
const open = (path = file) => openCore(path, { migrations, now: () => clock, who: 'Ada Approver', create: true });
async function got<N extends AskName>(name: N, input: InputOf<N>, from = core) {
  const reply = await from.send(name, input);
  if (!reply.ok) throw new Error(`${name}: ${reply.problem.message}`);
  return reply.value;
}
const past = { from: '2023-01-01', to: '2025-12-31', count: 1000 };

beforeAll(async () => {
  core = await open();
  await got('demo.write', { segments: 80, seed: 3 });
});
afterEach(() => {
  editions.splice(0, editions.length, ...released);
});
afterAll(() => {
  core.close();
  rmSync(folder, { recursive: true, force: true });
});

/** Twice as often as edition 1, to the month. */
const stricter = (): DefaultEdition => {
  const { rule } = released[0]!;
  const cases = rule.cases.map((one) => ({ ...one, months: Math.floor(one.months / 2) }));
  return {
    edition: 2,
    rule: { ...rule, cases, otherwiseMonths: rule.otherwiseMonths / 2 },
    words: 'Twice as often.',
    source: 'invented for this test',
  };
};

const digest = (value: Json) => createHash('sha256').update(canonicalJson(value)).digest('hex').slice(0, 16);

test('an edition that was released is never changed: rule, and the limits of a usual cable that its shares count by', () => {
  expect(released.map((one) => [one.edition, digest(one.rule as unknown as Json)])).toEqual([[1, 'dd6dc8b2c7981524']]);
  const limits = insulationFamilies.map((insulation) => {
    const limit = defaultLimit({ insulation, conductorDiameterMm: null, insulationThicknessMm: null });
    return [insulation, limit.known ? Number(limit.value.nsPerKm.toPrecision(6)) : null];
  });
  expect(limits).toEqual([
    ['PILC', 31.3236],
    ['HMWPE', 2.75647],
    ['XLPE', 6.89119],
    ['TR-XLPE', 6.89119],
    ['EPR', 6.89119],
    ['PVC', 68.9119],
    ['other', null],
  ]);
});

test('a program with a newer edition judges the past as before; the edition counts from the first change on', async () => {
  const register = async () => (await got('evidence.compliance', past)).rows;
  const before = await register();
  expect(new Set(before.map((row) => row.rule))).toEqual(new Set(['our default, edition 1']));
  const revision = (await got('fleet.info', {})).revision;
  const laterDue = (await got('retest.due', { count: 1000, state: 'later' })).rows;
  core.close();

  clock = '2026-07-01T09:00:00.000Z';
  editions.push(stricter());
  core = await open();
  // Looked at only: the edition of the fleet stands.
  expect(await register()).toEqual(before);
  expect((await got('fleet.info', {})).revision).toBe(revision);

  const segment = before[0]!.segmentId;
  await got('excuse.add', { segmentId: segment, dueOn: '2035-01-01', until: null, reason: 'a first change' });
  const { entries } = await got('ledger.page', { count: 2 });
  expect(entries.map((line) => [line.line, line.what])).toEqual([
    [revision + 2, 'excuse test'],
    [revision + 1, 'take up default rule'],
  ]);
  expect(await register()).toEqual(before);
  const now = await got('retest.due', { count: 1000, state: 'later' });
  expect(now.rows.length).toBeLessThan(laterDue.length);
  const due = await got('retest.due', { count: 1000 });
  // What the newer edition alone makes due earlier falls due on its first day at the soonest.
  const byNewer = due.rows.filter((row) => row.rule === 'our default, edition 2');
  expect(byNewer.length).toBeGreaterThan(0);
  expect(byNewer.every((row) => row.dueOn >= '2026-07-01')).toBe(true);
  expect(due.rules.map((rule) => [rule.version, rule.edition, rule.inForceFrom, rule.by])).toEqual([
    [0, 1, '1900-01-01', null],
    [0, 2, '2026-07-01', 'Ada Approver'],
  ]);

  await got('excuse.add', { segmentId: segment, dueOn: '2036-01-01', until: null, reason: 'a second change' });
  expect((await got('fleet.info', {})).revision).toBe(revision + 3);
  const out = join(folder, 'bag');
  await got('evidence.bag', { from: past.from, to: '2027-12-31', out });
  const rules = readFileSync(join(out, 'data', 'rules.jsonl'), 'utf8')
    .trim()
    .split('\n');
  expect(rules.map((line) => JSON.parse(line).edition)).toEqual([1, 2]);
  expect(readFileSync(join(out, 'data', 'decisions.jsonl'), 'utf8')).toContain('Twice as often.');

  // A program that does not know edition 2 reads it from the fleet.
  editions.splice(1);
  const older = await openCore(join(folder, 'demo.fleet'), { migrations, now: () => clock, who: 'x', readOnly: true });
  expect((await got('retest.due', { count: 1000 }, older)).rows).toEqual(due.rows);
  older.close();
});

test('a new fleet begins with the newest edition, for the years before it too', async () => {
  editions.push(stricter());
  const fresh = await open(join(folder, 'fresh.fleet'));
  await got('demo.write', { segments: 40, seed: 3 }, fresh);
  const made = await got('evidence.compliance', past, fresh);
  expect(new Set(made.rows.map((row) => row.rule))).toEqual(new Set(['our default, edition 2']));
  expect(made.rules).toMatchObject([{ version: 0, edition: 2, inForceFrom: '1900-01-01' }]);
  fresh.close();
});

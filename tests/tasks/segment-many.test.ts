import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { SegmentId } from '../../core/contract/ids.ts';
import { aCore, type TestCore } from './a-core.ts';

let t: TestCore;
let ids: SegmentId[];
const page = (segmentId: SegmentId) => t.ask('segment.page', { segmentId });
const revision = async () => (await t.ask('fleet.info', {})).revision;

beforeAll(async () => {
  t = await aCore();
  await t.ask('demo.write', { segments: 160, seed: 5 });
  ids = (await t.ask('fleet.passing', { under: null, filter: { retired: true } })).segments.map((one) => one.id);
});
afterAll(() => t.close());

test('one field of many segments is one line of the ledger, and in the history of each of them', async () => {
  const some = ids.slice(0, 130);
  const before = await Promise.all(some.map(page));
  const differing = before.filter((one) => one.installation !== 'tray').length;
  const answer = await t.ask('segment.editAll', {
    segmentIds: some,
    field: 'installation',
    value: 'tray',
    why: 'the new gallery',
  });
  expect(answer.changed).toBe(differing);
  expect(answer.line).toBe(await revision());
  const { entries } = await t.ask('ledger.page', { count: 1 });
  expect(entries[0]).toMatchObject({ what: 'edit segments', records: differing, why: 'the new gallery' });
  const { versions } = await t.ask('ledger.ofRecord', { entity: 'segment', id: some[7]! });
  expect(versions.at(-1)!.fields).toEqual([{ field: 'installation', before: before[7]!.installation, after: 'tray' }]);
  for (const id of some) expect((await page(id)).installation).toBe('tray');

  // The way back is one line too, and may itself be taken back.
  const back = await t.ask('segment.takeBack', { line: answer.line! });
  const now = await Promise.all(some.map(page));
  expect(now.map((one) => one.installation)).toEqual(before.map((one) => one.installation));
  await t.ask('segment.takeBack', { line: back.line! });
  expect((await page(some[0]!)).installation).toBe('tray');
  expect((await t.ask('evidence.verify', {})).intact).toBe(true);
});

test('where one segment cannot take the value none does, and the refusal names it', async () => {
  const retired = (await Promise.all(ids.map(page))).find((one) => one.retiredOn !== null)!;
  const before = await revision();
  const reply = await t.core.send('segment.editAll', {
    segmentIds: [ids[0]!, retired.id],
    field: 'energised_on',
    value: '2026-05-01',
  });
  expect(reply.ok).toBe(false);
  if (!reply.ok) expect(reply.problem.details?.[0]).toMatch(new RegExp(`^${retired.name}: `));
  expect(await revision()).toBe(before);
  await expect(t.ask('segment.editAll', { segmentIds: ids, field: 'rated_kv', value: '15 kV' })).rejects.toThrow(
    /Write 15 alone/,
  );
  await expect(t.ask('segment.editAll', { segmentIds: ids, field: 'name' as never, value: 'x' })).rejects.toThrow(
    /bad-input/,
  );
});

test('a value that all have already writes nothing, and an id given twice counts once', async () => {
  const some = [ids[0]!, ids[0]!, ids[1]!];
  const first = await t.ask('segment.editAll', { segmentIds: some, field: 'customers', value: '77' });
  expect(first.changed).toBe(2);
  const again = await t.ask('segment.editAll', { segmentIds: some, field: 'customers', value: '77' });
  expect([again.line, again.changed]).toEqual([null, 0]);
});

test('chosen segments are written as CSV with what the ranking and the due list say of them', async () => {
  const { rows: ranked } = await t.ask('ranking.page', { count: 5 });
  const overdue = await t.ask('retest.due', { state: 'overdue', count: 1000 });
  const csv = join(t.folder, 'chosen.csv');
  const answer = await t.ask('segment.table', { segmentIds: ranked.map((row) => row.id), csv });
  expect(answer.rows).toBe(5);
  const [head, ...lines] = readFileSync(csv, 'utf8')
    .trimEnd()
    .split('\n')
    .map((line) => line.split(','));
  const cell = (line: string[], name: string) => line[head!.indexOf(name)];
  lines.forEach((line, at) => {
    const row = ranked[at]!;
    expect(line.length).toBe(head!.length);
    expect(cell(line, 'segment_id')).toBe(row.ownerId);
    expect(cell(line, 'rank')).toBe(String(row.rank));
    expect(Number(cell(line, 'growth_lo'))).toBeCloseTo(row.growthPctPerYr!.lo, 4);
    expect(cell(line, 'overdue')).toBe(overdue.rows.some((due) => due.segmentId === row.id) ? 'yes' : 'no');
  });
});

test('of a segment out of service, on which no test is due, the CSV says neither that one is overdue nor that none is', async () => {
  const id = ids.at(-1)!;
  await t.ask('segment.edit', { segmentId: id, field: 'retired_on', value: '2026-06-01' });
  const csv = join(t.folder, 'retired.csv');
  await t.ask('segment.table', { segmentIds: [id, ids[0]!], csv });
  const [head, retired, other] = readFileSync(csv, 'utf8')
    .trimEnd()
    .split('\n')
    .map((line) => line.trimEnd().split(','));
  expect(retired![head!.indexOf('retired_on')]).toBe('2026-06-01');
  expect(retired![head!.indexOf('overdue')]).toBe('');
  expect(['yes', 'no']).toContain(other![head!.indexOf('overdue')]);
});

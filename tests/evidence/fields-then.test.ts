import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { AskName, InputOf, OutputOf } from '../../core/contract/asks/index.ts';
import type { SegmentField } from '../../core/contract/asks/segment.ts';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';

const folder = mkdtempSync(join(tmpdir(), 'then-'));
let clock = '2026-01-10T09:00:00.000Z';
let core: Core;
const period = { from: '2020-01-01', to: '2025-12-31', count: 1000 };
type Row = OutputOf<'evidence.compliance'>['rows'][number];

async function got<N extends AskName>(name: N, input: InputOf<N>) {
  const reply = await core.send(name, input);
  if (!reply.ok) throw new Error(`${name}: ${reply.problem.message}`);
  return reply.value;
}
const register = async () => (await got('evidence.compliance', period)).rows;
const edit = (segmentId: Row['segmentId'], field: SegmentField, value: string) =>
  got('segment.edit', { segmentId, field, value, why: 'for this test' });
const judged = (rows: readonly Row[]) =>
  rows.map((row) => [row.segmentOwnerId, row.since, row.dueOn, row.doneOn, row.status]);

beforeAll(async () => {
  core = await openCore(join(folder, 'demo.fleet'), {
    migrations,
    now: () => clock,
    who: 'Ada Approver',
    create: true,
  });
  await got('demo.write', { segments: 120, seed: 2 });
});
afterAll(() => {
  core.close();
  rmSync(folder, { recursive: true, force: true });
});

test('edits of class, insulation, need and length leave the register of a closed period as it was, and say so', async () => {
  const before = await register();
  const done = before.filter((row) => row.doneOn !== null && row.because.startsWith('36 months'));
  const [critical, shorter, paper, thin] = [...new Set(done.map((row) => row.segmentId))];
  clock = '2026-03-02T09:00:00.000Z';
  await edit(critical!, 'critical_load', 'yes');
  await edit(shorter!, 'length', '5 m');
  await edit(paper!, 'insulation', 'PILC');
  await edit(thin!, 'insulation_thickness_mm', '3.1');
  const after = await register();
  expect(judged(after)).toEqual(judged(before));
  const edited = after.filter((row) => [critical, shorter, paper, thin].includes(row.segmentId));
  expect(edited.length).toBeGreaterThanOrEqual(4);
  for (const row of edited) expect(row.because).toMatch(/; by the segment’s record as it stood before 2026-03-02$/);
  for (const row of after.filter((one) => !edited.includes(one))) expect(row.because).not.toContain('as it stood');

  // From that day on the next test is due by what the segment is now: 18 months where a critical load hangs on it.
  const next = [
    ...(await got('retest.due', { count: 1000 })).rows,
    ...(await got('retest.due', { count: 1000, state: 'later' })).rows,
  ].find((row) => row.segmentId === critical)!;
  expect(next.because).toMatch(/(18|9) months, line [12] \(critical load\)$/);
  const brief = await got('retest.brief', { segment: next.segmentOwnerId, on: '2026-03-02' });
  expect(brief.due).toMatchObject({ dueOn: next.dueOn });
});

test('an edit asks for no due day before its own', async () => {
  const list = async () => (await got('retest.due', { count: 1000, state: 'later' })).rows;
  const before = await list();
  clock = '2026-04-01T09:00:00.000Z';
  const old = before.find((row) => row.because === '36 months, no line of the rule fits' && row.since < '2024-08-01')!;
  await edit(old.segmentId, 'critical_load', 'yes');
  const due = (await got('retest.due', { count: 1000 })).rows.find((row) => row.segmentId === old.segmentId)!;
  expect(due).toMatchObject({ dueOn: '2026-04-01', state: 'within 30 days', since: old.since });
  // Set back the same day, it is as if nothing had been.
  await edit(old.segmentId, 'critical_load', 'no');
  expect((await list()).find((row) => row.segmentId === old.segmentId)!.dueOn).toBe(old.dueOn);
});

test('an edit of what no rule asks for parts no history', async () => {
  const [row] = await register();
  await edit(row!.segmentId, 'installation', 'tray');
  expect((await register()).find((one) => one.segmentId === row!.segmentId)!.because).toBe(row!.because);
});

import { afterAll, beforeAll, expect, test } from 'vitest';
import type { FrameRow } from '../../core/store/browse.ts';
import { keptAnswer } from '../../core/store/kept.ts';
import { closeFleet, openFleet } from '../../core/store/open.ts';
import type { Fleet } from '../../core/store/sql.ts';
import { changing } from '../../core/tasks/change.ts';
import type { Desk } from '../../core/tasks/desk.ts';
import { packRows, unpackRows } from '../../core/tasks/frame-packed.ts';
import { isKept, keep, keptKind, revisionFor } from '../../core/tasks/kept-answers.ts';
import { keepColumns, type LaterColumns, openColumns } from '../../core/tasks/kept-columns.ts';
import { migrations } from '../../migrations/index.ts';

let fleet: Fleet;
let desk: Desk;
const main = keptKind({ name: 'sketch, edition 1', passesOver: [] });
const later: readonly LaterColumns[] = [
  { kind: keptKind({ name: 'depth of sketch, edition 1', passesOver: [] }), names: ['depth', 'shade'] },
];

beforeAll(async () => {
  fleet = await openFleet(':memory:', { migrations, create: true });
  desk = { fleet, now: () => '2026-06-30T12:00:00.000Z', day: () => '2026-06-30' } as Desk;
});
afterAll(() => closeFleet(fleet));

const columns = (by: number) => ({
  width: Float64Array.of(1.5 * by, 2),
  depth: Int32Array.of(3, 4 * by),
  shade: Uint8Array.of(5, 6, 7),
});
const keepSketch = (by: number) =>
  keepColumns(desk, main, later, { asked: 'a', revision: by, facts: { by }, columns: columns(by) });
const openSketch = () => openColumns(fleet, later, 'a', keptAnswer(fleet, main.name, 'a', 0)!);

test('later columns are read when one is first asked for, and are those of the same answer', () => {
  keepSketch(1);
  expect(openSketch()).toEqual({ by: 1, ...columns(1) });
  const before = openSketch() as ReturnType<typeof columns>;
  const read = openSketch() as ReturnType<typeof columns>;
  expect(read.shade).toEqual(Uint8Array.of(5, 6, 7));
  keepSketch(2);
  expect(before.width).toEqual(Float64Array.of(1.5, 2));
  // The other answer's depth would not fit this one's width.
  expect(() => before.depth).toThrow('not made yet');
  expect(read.depth).toEqual(Int32Array.of(3, 4));
  expect(openSketch()).toEqual({ by: 2, ...columns(2) });
});

test('an answer without its later columns is none', () => {
  keepSketch(3);
  fleet.raw.prepare('delete from kept where name = ?').run(later[0]!.kind.name);
  expect(openSketch()).toBe(null);
});

test('rows of the frame come back as they were; names that cannot be told apart are not packed', () => {
  const row: FrameRow = {
    id: '01900000-0000-7000-8000-000000000001',
    ownerId: 'S-1',
    name: 'Mühlgasse 1 · Ost',
    feederId: 'f',
    feederName: 'Mill 1',
    substationId: 's',
    substationName: 'Mill',
    insulation: 'PILC',
    ratedKv: null,
    lengthM: 304.8,
    energisedOn: null,
    retiredOn: '2020-02-29',
  };
  const other: FrameRow = {
    ...row,
    id: '01900000-0000-7000-8000-000000000002',
    ownerId: 'ß\n2',
    name: '',
    feederId: 'g',
    feederName: 'Mill 2',
    ratedKv: 13.2,
    energisedOn: '1970-01-01',
    retiredOn: null,
  };
  expect(unpackRows(packRows([row, other, row])!)).toEqual([row, other, row]);
  expect(unpackRows(packRows([])!)).toEqual([]);
  expect(packRows([row, { ...other, name: 'a\0b' }])).toBe(null);
});

test('an outdated answer of today that is still shown stays until there is a newer one; others go at once', async () => {
  const own = await openFleet(':memory:', { migrations, create: true });
  const at = { ...desk, fleet: own, who: 'Ada Thornbury' } as Desk;
  const shown = keptKind({ name: 'shown, edition 1', passesOver: ['layout'], servesOn: true });
  const plain = keptKind({ name: 'plain, edition 1', passesOver: ['layout'] });
  const put = (kind: typeof shown, asked: string) =>
    keep(at, kind, asked, revisionFor(own, kind), () => new Uint8Array(1));
  const kept = () =>
    own.raw.prepare("select name || ' ' || asked || ' of ' || revision from kept order by 1").pluck().all();
  const write = (entity: 'layout' | 'cost') =>
    changing(at, (change) => {
      if (entity === 'layout') change.add('layout', { fingerprint: `${change.seq}`, subject: 'tests', layout: '{}' });
      else change.add('cost', { name: `${change.seq}`, value: 1, unit: 'money', source: 'a letter' });
      change.seal({ what: 'write one' });
    });
  write('cost');
  const first = revisionFor(own, shown);
  for (const asked of ['2024-06-30', '2025-06-30', '2026-06-30']) put(shown, asked);
  put(plain, '2026-06-30');
  write('layout');
  expect(isKept(own, shown, '2026-06-30') && isKept(own, plain, '2026-06-30')).toBe(true);
  write('cost');
  expect(isKept(own, shown, '2026-06-30')).toBe(false);
  const next = revisionFor(own, shown);
  put(shown, '2025-06-30');
  expect(kept()).toEqual([`shown, edition 1 2025-06-30 of ${next}`, `shown, edition 1 2026-06-30 of ${first}`]);
  put(shown, '2026-06-30');
  expect(kept()).toEqual([`shown, edition 1 2025-06-30 of ${next}`, `shown, edition 1 2026-06-30 of ${next}`]);
  closeFleet(own);
});

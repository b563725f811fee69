import { afterAll, beforeAll, expect, test } from 'vitest';
import type { SegmentField, SegmentPage } from '../../core/contract/asks/segment.ts';
import { aCore, type TestCore } from './a-core.ts';

let t: TestCore;
let first: SegmentPage;
const page = (segmentId = first.id) => t.ask('segment.page', { segmentId });
const edit = (field: SegmentField, value: string, segmentId = first.id) =>
  t.ask('segment.edit', { segmentId, field, value });
const revision = async () => (await t.ask('fleet.info', {})).revision;
const intact = async () => (await t.ask('evidence.verify', {})).intact;

beforeAll(async () => {
  t = await aCore();
  await t.ask('demo.write', { segments: 60, seed: 5 });
  const { rows } = await t.ask('ranking.page', { count: 1 });
  first = await t.ask('segment.page', { segmentId: rows[0]!.id });
});
afterAll(() => t.close());

// The international foot is 0.3048 m exactly (NIST Handbook 44, appendix C, from memory): 1500 ft are 457.2 m.
test('a length keeps the unit it was typed in, and counts in metres', async () => {
  const answer = await edit('length', ' 1500 ft ');
  const now = await page();
  expect(now.lengthM).toBeCloseTo(457.2, 9);
  expect(now.lengthTyped).toBe('1500 ft');
  expect(answer.line).toBe(await revision());
});

test('one edit is one ledger line that says what was and what is, and by whom', async () => {
  const { line } = await t.ask('segment.edit', {
    segmentId: first.id,
    field: 'installation',
    value: 'tray',
    why: 'seen on site',
  });
  const { entries } = await t.ask('ledger.page', { count: 1 });
  expect(entries[0]).toMatchObject({
    line,
    what: 'edit segment',
    who: 'Ada Thornbury',
    why: 'seen on site',
    records: 1,
  });
  expect(JSON.parse(entries[0]!.before!)).toEqual({ installation: first.installation });
  expect(JSON.parse(entries[0]!.after!)).toEqual({ installation: 'tray' });
  const { versions } = await t.ask('ledger.ofRecord', { entity: 'segment', id: first.id });
  expect(versions.at(-1)!.fields).toEqual([{ field: 'installation', before: first.installation, after: 'tray' }]);
});

const refused: readonly (readonly [SegmentField, string, RegExp])[] = [
  ['length', '412', /with its unit, one of m, km, ft, kft, mi/],
  ['length', '', /with its unit/],
  ['length', '0 m', /greater than 0/],
  ['length', '1,352 ft', /Write 1352 without a separator, or 1\.352 with/],
  ['length', '3,5 km', /Write 3\.5, with a decimal point/],
  ['length', '2 miles', /Write one of m, km, ft, kft, mi/],
  ['name', '  ', /must not be/],
  ['insulation', 'paper', /Write one of PILC/],
  ['insulation', 'xlpe', /Write XLPE/],
  ['insulation_level_pct', '150', /Write one of 100, 133, 173/],
  ['rated_kv', '15 kV', /Write 15 alone, in kV/],
  ['energised_on', '12/05/1984', /YYYY-MM-DD/],
  ['energised_on', '1985-02-29', /no such day/],
  ['customers', '-1', /at least 0/],
  ['critical_load', 'perhaps', /Write yes or no/],
  ['feeder_id', 'nowhere', /no feeder 'nowhere'/],
  ['retired_on', '2026-07-01', /still to come/],
  ['retired_on', '2001-01-01', /after that day|before energised_on/],
];
test.each(refused)(
  '%s %j is refused in the words of an import, and nothing is written',
  async (field, value, words) => {
    const before = await revision();
    await expect(edit(field, value)).rejects.toThrow(words);
    expect(await revision()).toBe(before);
  },
);

test('an emptied field is unknown, and the same value again writes nothing', async () => {
  await edit('customers', '');
  expect((await page()).customers).toBeNull();
  const before = await revision();
  expect((await edit('customers', ' ')).line).toBeNull();
  expect(await revision()).toBe(before);
});

test('taking back is a further line: both stay, the record is as it was, and verify finds all whole', async () => {
  const was = await page();
  const { line } = await edit('length', '12.5 km');
  const back = await t.ask('segment.takeBack', { line: line! });
  expect(back.line).toBe(line! + 1);
  const now = await page();
  expect([now.lengthM, now.lengthTyped]).toEqual([was.lengthM, was.lengthTyped]);
  const { entries } = await t.ask('ledger.page', { count: 2 });
  expect(entries.map((entry) => entry.what)).toEqual(['take back', 'edit segment']);
  expect(entries[0]!.why).toBe(`line ${line}: edit segment`);
  expect(await intact()).toBe(true);
  await t.ask('segment.takeBack', { line: back.line! });
  expect((await page()).lengthTyped).toBe('12.5 km');
  await t.ask('segment.takeBack', { line: back.line! + 1 });
});

test('what was changed again since is not taken back over the later change', async () => {
  const { line } = await edit('from_point', 'vault 7');
  await edit('to_point', 'vault 8');
  await expect(t.ask('segment.takeBack', { line: line! })).rejects.toThrow(/moved-on.*changed again by line/);
  await expect(t.ask('segment.takeBack', { line: 1 })).rejects.toThrow(/not-allowed/);
  expect((await page()).fromPoint).toBe('vault 7');
});

test('a length that leaves a splice beyond the end says so', async () => {
  const { rows } = await t.ask('ranking.page', { count: 60 });
  const pages = await Promise.all(rows.map((row) => page(row.id)));
  const spliced = pages.find((one) => one.splices.some((splice) => (splice.positionM ?? 0) > 2))!;
  const answer = await edit('length', '1 m', spliced.id);
  expect(answer.remarks[0]).toMatch(/now lies beyond the end/);
  await t.ask('segment.takeBack', { line: answer.line! });
});

const values = { name: 'Mill Lane 3', length: '640 m', insulation: 'EPR', phases: 'ABC', rated_kv: '15' };

test('a segment is added under its feeder, at once in the tree and the finder; its id stands once', async () => {
  const added = await t.ask('segment.add', { feederId: first.feeder.id, ownerId: 'ML-3', values });
  const now = await page(added.segmentId);
  expect(now).toMatchObject({ ownerId: 'ML-3', name: 'Mill Lane 3', lengthM: 640, ratedKv: 15, tests: [] });
  expect(now.standing.known).toBe(false);
  const { nodes } = await t.ask('fleet.tree', { under: { kind: 'feeder', id: first.feeder.id } });
  expect(nodes.some((node) => node.id === added.segmentId)).toBe(true);
  const { hits } = await t.ask('fleet.find', { text: 'Mill Lane 3' });
  expect(hits[0]?.id).toBe(added.segmentId);
  await expect(t.ask('segment.add', { feederId: first.feeder.id, ownerId: 'ML-3', values })).rejects.toThrow(
    /'ML-3' is Mill Lane 3 already/,
  );
  // Nothing is erased: the record stays, out of service from its first day.
  await t.ask('segment.takeBack', { line: added.line! });
  expect((await page(added.segmentId)).retiredOn).toBe('2026-06-30');
});

test('a new segment names all its faults at once', async () => {
  const before = await revision();
  const reply = await t.core.send('segment.add', {
    feederId: first.feeder.id,
    ownerId: '',
    values: { length: '3', insulation: 'XLPE', energised_on: 'spring' },
  });
  expect(reply.ok).toBe(false);
  const details = reply.ok ? [] : (reply.problem.details ?? []);
  expect(details.map((line) => line.split(':')[0])).toEqual(['segment_id', 'name', 'length', 'phases', 'energised_on']);
  expect(await revision()).toBe(before);
});

test('retiring needs a reason, drops the segment from the ranking and leads on to its replacement', async () => {
  const before = await t.ask('ranking.list', {});
  const retiredOn = '2026-06-01';
  await expect(t.ask('segment.retire', { segmentId: first.id, retiredOn, reason: ' ' })).rejects.toThrow(/bad-input/);
  const answer = await t.ask('segment.retire', {
    segmentId: first.id,
    retiredOn,
    reason: 'water in the duct bank',
    replacement: { ownerId: 'ML-4', values: { ...values, name: 'Mill Lane 4', energised_on: '2026-06-02' } },
  });
  const old = await page();
  expect(old.retiredOn).toBe(retiredOn);
  expect(old.standing.known).toBe(false);
  expect(old.replacedBy).toEqual({ id: answer.replacementId, name: 'Mill Lane 4' });
  const successor = await page(answer.replacementId!);
  expect(successor.replaces?.id).toBe(first.id);
  expect(successor.feeder.id).toBe(first.feeder.id);
  const after = await t.ask('ranking.page', { count: 1000 });
  expect(after.rows.filter((row) => row.rank !== null).length).toBe(before.fit.ranked - 1);
  expect(after.rows.some((row) => row.id === first.id && row.rank !== null)).toBe(false);
  await expect(t.ask('segment.retire', { segmentId: first.id, retiredOn, reason: 'again' })).rejects.toThrow(/already/);
  // A line of replacements has no ring.
  await expect(edit('replaces_segment_id', 'ML-4')).rejects.toThrow(/cannot replace itself/);

  await t.ask('segment.takeBack', { line: answer.line! });
  expect((await page()).retiredOn).toBeNull();
  expect((await page()).replacedBy).toBeNull();
  expect((await t.ask('ranking.list', {})).fit.ranked).toBe(before.fit.ranked);
  expect(await intact()).toBe(true);
});

test('where people are named, a reader edits nothing', async () => {
  await t.ask('person.add', { name: 'Ada Thornbury', role: 'approver' });
  const reader = await aCore({ who: 'Ben Hollis', file: t.file });
  await expect(reader.ask('segment.edit', { segmentId: first.id, field: 'name', value: 'Mine' })).rejects.toThrow(
    /needs the role recorder/,
  );
  reader.close();
});

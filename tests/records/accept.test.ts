import { writeFileSync } from 'node:fs';
import { strToU8, zipSync } from 'fflate';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { InputOf, OutputOf } from '../../core/contract/asks/index.ts';
import type { PreviewedFile } from '../../core/contract/shapes/records.ts';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';
import { temporaryFolder } from '../hosts/small-fleet.ts';
import { cables, type DayFile, filesOfDay, makeDayFleet, testedOn } from './a-day.ts';

const home = temporaryFolder('records');
let core: Core;
let files: DayFile[];
let paths: string[];
let fleet: string;
beforeAll(async () => {
  files = filesOfDay();
  fleet = await makeDayFleet(home.file('day.fleet'), home.file('folder'));
  paths = files.map(({ name, bytes }) => {
    writeFileSync(home.file(name), bytes);
    return home.file(name);
  });
  core = await openCore(fleet, { migrations, now: () => '2025-05-15T08:00:00.000Z', who: 'crew lead' });
});
afterAll(() => {
  core.close();
  home.clear();
});

async function value<T>(
  reply: Promise<{ ok: true; value: T } | { ok: false; problem: { code: string; message: string } }>,
): Promise<T> {
  const answer = await reply;
  if (!answer.ok) throw new Error(`${answer.problem.code}: ${answer.problem.message}`);
  return answer.value;
}
const preview = (given: string[] = paths) => value(core.send('records.preview', { paths: given }));
const accepted = (shown: readonly PreviewedFile[]): InputOf<'records.accept'>['files'] =>
  shown
    .filter((file) => file.matched)
    .map((file) => ({
      key: file.key,
      segmentId: file.candidates[0]!.segmentId,
      phase: file.phase!,
      testedOn: file.testedOn!,
      method: file.method,
      insulationTempC: file.insulationTempC,
      instrumentId: file.instrument?.id ?? null,
      crew: file.crew,
    }));
/** What was confirmed of each file. */
const wishes = new Map<string, InputOf<'records.accept'>['files'][number]>();
const info = () => value(core.send('fleet.info', {}));

test('a day of thirty files: twenty-seven are matched to their cable and phase, three refused with the reason', async () => {
  const { files: shown } = await preview();
  const wrong = shown.filter((file, i) => {
    const { cable, phase } = files[i]!;
    return cable === null
      ? file.verdict !== 'refused'
      : !file.matched || file.candidates[0]!.ownerId !== cable || file.phase !== phase || file.testedOn !== testedOn;
  });
  expect(
    wrong.map((file) => [file.name, file.because, file.phase, file.testedOn, file.warnings, file.candidates]),
  ).toEqual([]);
  expect(shown.filter((file) => file.matched)).toHaveLength(27);
  expect(shown.filter((file) => file.verdict === 'refused').map((file) => file.because)).toEqual([
    expect.stringMatching(/binary/),
    expect.stringMatching(/cut short/),
    expect.stringMatching(/unit of the (?:current|time|voltage)/),
  ]);
});

test('the ramp’s capacitance is held against the cable’s own: 20 % apart is a finding', async () => {
  const { files: shown } = await preview();
  const first = shown[0]!;
  expect(Math.abs(first.candidates[0]!.capacitanceApart!)).toBeLessThan(0.05);
  // The samples of the shortest cable under the name of the longest.
  const text = Buffer.from(files[0]!.bytes).toString('utf8').replace('Segment: FH-101', 'Segment: HV-019');
  writeFileSync(home.file('swapped.csv'), text);
  const [swapped] = (await preview([home.file('swapped.csv')])).files;
  expect(swapped!.candidates[0]!.ownerId).toBe('HV-019');
  expect(swapped!.warnings.join(' ')).toMatch(/The ramp shows \d.* nF; Observatory Hill should have \d.* nF/);
});

test('accepted, they are tests with readings and traces, in one line of the ledger', async () => {
  const before = await info();
  const { revision, files: shown } = await preview();
  for (const wish of accepted(shown)) wishes.set(wish.key, wish);
  const answer = await value(core.send('records.accept', { paths, revision, files: [...wishes.values()] }));
  expect([answer.accepted, answer.same, answer.tests.length]).toEqual([27, 0, 9]);
  const after = await info();
  expect(after.revision).toBe(before.revision + 1);
  expect([after.counts.testEvents, after.counts.readings]).toEqual([9, 27]);
  const entries = await value(core.send('ledger.page', { count: 1 }));
  expect(entries.entries[0]).toMatchObject({ what: 'import records', who: 'crew lead', records: 27 + 9 + 27 });
  const page = await value(core.send('segment.page', { segmentId: answer.tests[0]!.segmentId }));
  expect(page.tests[0]).toMatchObject({ testedOn, hasTrace: true, method: 'dc_withstand' });
  for (const [p, reading] of page.tests[0]!.readings.entries()) {
    const { truth } = files[p]!.trace!;
    expect(Math.abs(reading.leakageUa / truth.leakageUa! - 1)).toBeLessThan(0.02);
    expect(Math.abs(reading.dwellMin! * 60 - 300)).toBeLessThan(1);
    expect(reading.insulationTempC).toBe(13.5);
  }
});

test('the same bytes twice are the same test: nothing changes', async () => {
  const before = await info();
  const { revision, files: shown } = await preview();
  const known = shown.filter((file) => file.verdict === 'known');
  expect(known).toHaveLength(27);
  expect(known[0]!.because).toMatch(/^test FH-101\/2025-05-14 of Foundry Street to Weir, phase A$/);
  const again = known.map((file) => ({ ...wishes.get(file.key)! }));
  const answer = await value(core.send('records.accept', { paths, revision, files: again }));
  expect([answer.accepted, answer.same]).toEqual([0, 27]);
  expect((await info()).revision).toBe(before.revision);
});

test('a file that disagrees with a reading already there corrects the whole test with a reason, or not at all', async () => {
  const again = files.slice(0, 3).map(({ name, bytes }) => {
    const path = home.file(`again ${name}`);
    writeFileSync(path, Buffer.concat([bytes, Buffer.from('\n')]));
    return path;
  });
  const { revision, files: shown } = await preview(again);
  expect(shown.map((file) => [file.matched, file.earlier?.testOwnerId, file.earlier?.phases])).toEqual(
    Array(3).fill([false, 'FH-101/2025-05-14', 'ABC']),
  );
  const correcting = accepted(shown.map((file) => ({ ...file, matched: true }))).map((wish, i) => ({
    ...wish,
    supersedes: shown[i]!.earlier!.testId,
  }));
  const send = (some: typeof correcting, reason?: string) =>
    core.send('records.accept', { paths: again, revision, files: some, ...(reason ? { reason } : {}) });
  expect(await send(correcting)).toMatchObject({ ok: false, problem: { message: 'A correction needs its reason.' } });
  expect(await send(correcting.slice(0, 2), 'wrong range')).toMatchObject({
    ok: false,
    problem: { message: expect.stringContaining('phase C too') },
  });
  const before = await info();
  expect(before.revision).toBe(revision);
  const answer = await value(send(correcting, 'wrong range'));
  expect(answer.tests).toMatchObject([{ ownerId: 'FH-101/2025-05-14', phases: 'ABC' }]);
  const after = await info();
  expect(after.counts.testEvents).toBe(before.counts.testEvents);
  const entries = await value(core.send('ledger.page', { count: 1 }));
  expect(entries.entries[0]).toMatchObject({ what: 'import records', why: 'wrong range' });
  expect(await value(core.send('evidence.verify', {}))).toMatchObject({ intact: true });
});

test('a stored trace gives back every sample and the file every byte', async () => {
  const test = await segmentTest('FH-103');
  const { traces } = await value(core.send('records.trace', { testIds: [test.id], samples: 20_000 }));
  expect(traces.map((trace) => trace.phase)).toEqual(['A', 'B', 'C']);
  const made = files.find((file) => file.cable === 'FH-103' && file.phase === 'B')!.trace!;
  const shown = traces[1]!;
  expect(shown.timeS).toHaveLength(made.timeS.length);
  const zero = Number(made.timeS[0]!.toFixed(2)) - shown.timeS[0]!;
  shown.timeS.forEach((t, i) => {
    expect(t + zero).toBeCloseTo(Number(made.timeS[i]!.toFixed(2)), 9);
    expect(shown.voltageKv[i]).toBe(Number(made.voltageKv[i]!.toFixed(2)));
    expect(shown.currentUa[i]).toBe(Number(made.currentUa[i]!.toFixed(4)));
  });
  expect(shown.parts.map((part) => part.name)).toEqual(['rise', 'dwell', 'discharge']);
  const verify = await value(core.send('evidence.verify', {}));
  expect(verify).toMatchObject({ intact: true });
});

test('thinned for a drawing, the highest current and the fall of the voltage are still there', async () => {
  const test = await segmentTest('FH-103');
  const whole = (await value(core.send('records.trace', { testIds: [test.id], samples: 20_000 }))).traces[0]!;
  const thin = (await value(core.send('records.trace', { testIds: [test.id], samples: 300 }))).traces[0]!;
  expect(thin.timeS.length).toBeLessThan(330);
  const most = (list: readonly (number | null)[]) => Math.max(...list.map((each) => each ?? 0));
  expect(most(thin.currentUa)).toBe(most(whole.currentUa));
  expect(most(thin.voltageKv)).toBe(most(whole.voltageKv));
  expect(thin.timeS.at(-1)).toBe(whole.timeS.at(-1));
});

test('files set aside keep their bytes and the reason, and can be looked at again', async () => {
  const { files: shown } = await preview();
  const junk = shown.filter((file) => file.verdict === 'refused');
  const before = await info();
  const answer = await value(
    core.send('records.return', { paths, files: junk.map(({ key, because }) => ({ key, reason: because! })) }),
  );
  expect(answer.returned).toBe(3);
  expect((await info()).revision).toBe(before.revision + 3);
  const { files: aside } = await value(core.send('records.aside', {}));
  expect(aside.map((file) => file.name).sort()).toEqual(['cut short.csv', 'no units.csv', 'photo of the joint.jpg']);
  expect(aside.find((file) => file.name === 'no units.csv')!.why).toMatch(/unit/);
  const again = await value(core.send('records.preview', { aside: aside.map((file) => file.id) }));
  expect(again.files.map((file) => file.aside)).toEqual(aside.map((file) => file.why));
});

test('a corrected layout reads the file, and every later file with its header', async () => {
  const path = home.file('no units.csv');
  const [shown] = (await preview([path])).files;
  const columns = (['s', 'kV', 'uA'] as const).map((unit, i) => ({
    role: (['time', 'voltage', 'current'] as const)[i]!,
    unit,
  }));
  const fixed = await value(core.send('records.relayout', { paths: [path], key: shown!.key, decimal: '.', columns }));
  expect(fixed).toMatchObject({ reads: true, because: null });
  const other = Buffer.from(files.at(-1)!.bytes).toString('utf8').split('\n');
  other.splice(-40, 20);
  writeFileSync(home.file('another day.csv'), other.join('\n'));
  const later = (await preview([path, home.file('another day.csv')])).files;
  expect(later.map((file) => [file.verdict, file.layout!.remembered])).toEqual([
    ['new', true],
    ['new', true],
  ]);
});

test('a fleet that moved on since the preview takes nothing in', async () => {
  const path = home.file('another day.csv');
  const { revision, files: shown } = await preview([path]);
  const file = shown[0]!;
  const segment = await value(core.send('fleet.find', { text: cables[8]!.id, count: 1 }));
  const wish = {
    key: file.key,
    segmentId: segment.hits[0]!.id as never,
    phase: 'A' as const,
    testedOn: '2025-05-13',
    method: file.method,
    insulationTempC: null,
    instrumentId: null,
    crew: null,
  };
  const stale = await core.send('records.accept', { paths: [path], revision: revision - 1, files: [wish] });
  expect(stale).toMatchObject({ ok: false, problem: { code: 'moved-on' } });
  writeFileSync(path, 'something else entirely\n');
  const changed = await core.send('records.accept', { paths: [path], revision, files: [wish] });
  expect(changed).toMatchObject({ ok: false, problem: { code: 'moved-on' } });
});

test('a ZIP of files is previewed file by file; the same bytes twice in a batch are said once more, not taken twice', async () => {
  const inner = files[3]!;
  const copy = Buffer.from(inner.bytes).toString('utf8').replace('2025-05-14', '2025-05-12');
  writeFileSync(home.file('stick.zip'), zipSync({ 'a.csv': strToU8(copy), 'b.csv': strToU8(copy) }));
  const { files: shown } = await preview([home.file('stick.zip')]);
  expect(shown.map((file) => [file.name, file.verdict])).toEqual([
    ['stick.zip/a.csv', 'new'],
    ['stick.zip/b.csv', 'twice'],
  ]);
});

async function segmentTest(ownerId: string): Promise<OutputOf<'segment.page'>['tests'][number]> {
  const { hits } = await value(core.send('fleet.find', { text: ownerId, count: 1 }));
  const page = await value(core.send('segment.page', { segmentId: hits[0]!.id as never }));
  return page.tests[0]!;
}

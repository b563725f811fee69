import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { InputOf } from '../../core/contract/asks/index.ts';
import type { SegmentId } from '../../core/contract/ids.ts';
import type { Problem } from '../../core/contract/problem.ts';
import { openCore } from '../../core/index.ts';
import { revisionOf } from '../../core/store/ledger.ts';
import { closeFleet, openFleet } from '../../core/store/open.ts';
import type { Fleet } from '../../core/store/sql.ts';
import type { Desk } from '../../core/tasks/desk.ts';
import { keepDuties } from '../../core/tasks/duties.ts';
import { makeDuties } from '../../core/tasks/duties-made.ts';
import { renewedDuties } from '../../core/tasks/duties-renewed.ts';
import { migrations } from '../../migrations/index.ts';
import { openRetestFleet, type RetestFleet, today } from './a-fleet.ts';

// What is due is counted once and kept; what was written since is counted on. Both must come to what a count of
// everything from the records comes to, whatever was written.
let own: RetestFleet;
let reader: Fleet;
let desk: Desk;
const every = { from: '1900-01-01', to: '2099-12-31' };

beforeAll(async () => {
  own = await openRetestFleet();
  reader = await openFleet(join(own.folder, 'a.fleet'), { migrations, readOnly: true });
  desk = {
    fleet: reader,
    file: reader.file,
    now: () => `${today}T08:00:00.000Z`,
    day: () => today,
    who: 'crew lead',
    blankFleet: () => openFleet(':memory:', { migrations, create: true }),
    progress: () => {},
    checkStop: () => {},
    whenIdle: () => {},
  };
});
afterAll(() => {
  closeFleet(reader);
  own.close();
});

const idOf = (ownerId: string): SegmentId =>
  reader.raw.prepare('select id from segment where owner_id = ?').pluck().get(ownerId) as SegmentId;

const conditions = { insulationTempC: 14, ambientTempC: 12, humidityPct: 60, instrumentId: null, crew: 'West' };
const readings = (ua: readonly number[], outcome: 'withstood' | 'breakdown' | 'stopped' = 'withstood') =>
  (['A', 'B', 'C'] as const).map((phase, at) => ({
    phase,
    voltageKv: 20,
    dwellMin: 15,
    leakage: ua[at]!,
    leakageUnit: 'uA' as const,
    outcome,
  })) as InputOf<'retest.record'>['readings'];

const testOf = (ownerId: string) =>
  reader.raw
    .prepare(
      `select e.id from test_event e join segment s on s.id = e.segment_id
       where s.owner_id = ? and e.superseded_by_id is null order by e.tested_on desc limit 1`,
    )
    .pluck()
    .get(ownerId) as string;

/** Writes, and says whether the segments touched alone were counted anew; the answer must be that of counting all. */
async function counted(write: () => unknown): Promise<'on' | 'anew'> {
  const before = makeDuties(desk, '');
  await write();
  expect(revisionOf(reader)).toBeGreaterThan(before.revision);
  const anew = makeDuties(desk, '');
  const renewed = renewedDuties(desk, before, revisionOf(reader));
  expect(anew).not.toEqual({ ...before, revision: anew.revision });
  if (renewed) expect(renewed).toEqual(anew);
  return renewed ? 'on' : 'anew';
}

describe('what was written since is counted on to what was counted before', () => {
  test.each<[string, () => Promise<unknown>]>([
    ['a test', () => own.ask('retest.record', record('aged-EPR-100', '2025-11-20', [3, 3.1, 2.9]))],
    ['a test that found something', () => own.ask('retest.record', record('aged-EPR-133', '2025-11-20', [3, 30, 3]))],
    [
      'an attempt broken off',
      () => own.ask('retest.record', record('aged-PVC-133', '2025-11-21', [3, 3, 3], 'stopped')),
    ],
    [
      'a correction, on another day',
      () =>
        own.ask('retest.record', {
          ...record('aged-XLPE-100', '2024-06-12', [2, 2.1, 2.2]),
          supersedes: { testId: testOf('aged-XLPE-100') as never, reason: 'the day was wrong' },
        }),
    ],
    ['an edit of what a rule counts by', () => edit('paper-15-133', 'critical_load', 'yes')],
    ['an edit of the first day in service', () => edit('new-5-100', 'energised_on', '2024-01-01')],
    ['a name that moves a segment in the list', () => edit('paper-25-133', 'name', 'A cable that comes first')],
    ['a segment moved to another feeder', () => edit('paper-28-100', 'feeder_id', 'F1')],
    [
      'a segment out of service and the one in its place',
      () =>
        own.ask('segment.retire', {
          segmentId: idOf('young-8-100'),
          retiredOn: '2025-11-01',
          reason: 'dug up',
          replacement: {
            ownerId: 'in-its-place',
            values: {
              name: 'In its place',
              length: '400 m',
              insulation: 'TR-XLPE',
              phases: 'ABC',
              energised_on: '2025-11-02',
            },
          } as never,
        }),
    ],
    [
      'an excuse',
      () =>
        own.ask('excuse.add', {
          segmentId: idOf('aged-HMWPE-100'),
          dueOn: '2025-12-10',
          until: null,
          reason: 'no outage to be had',
        }),
    ],
  ])('%s', async (_, write) => {
    expect(await counted(write)).toBe('on');
  });

  test('an import, in which tests, a segment and a feeder are new', async () => {
    const folder = own.folder;
    const write = (name: string, lines: readonly string[]) => {
      const path = join(folder, name);
      writeFileSync(path, `${lines.join('\n')}\n`);
      return path;
    };
    const paths = [
      write('feeders.csv', ['feeder_id,substation_id,name,nominal_kv', 'F0,S1,A feeder that comes first,15']),
      write('segments.csv', [
        'segment_id,feeder_id,name,length,length_unit,rated_kv,insulation,phases,energised_on',
        'of-F0,F0,Cable of F0,300,m,15,EPR,ABC,2001-01-01',
      ]),
      write('tests.csv', [
        'test_id,segment_id,tested_on,phase,method,purpose,voltage_kv,dwell_min,leakage,leakage_unit,insulation_temp_c,outcome',
        ...['A', 'B', 'C'].map(
          (phase) => `T-F0,of-F0,2020-03-04,${phase},dc_withstand,maintenance,20,15,3,uA,14,withstood`,
        ),
      ]),
    ];
    expect(await counted(() => own.ask('fleet.import', { paths }))).toBe('on');
    expect((await page('Cable of F0'))[0]).toMatchObject({ since: '2020-03-04', feeder: 'A feeder that comes first' });
  });

  test('a rule and limits are counted by anew, for every segment', async () => {
    const rule: InputOf<'policy.setRetest'>['rule'] = {
      kind: 'retest interval',
      cases: [{ when: { insulation: ['PILC'] }, months: 12 }],
      otherwiseMonths: 60,
      earlyDays: 30,
      graceDays: 10,
    };
    const limits = [{ insulation: 'EPR' as const, nsPerKm: 0.001 }];
    expect(await counted(() => own.ask('policy.setLimits', { limits, source: 'board', reason: 'strict' }))).toBe(
      'anew',
    );
    const set = { rule, source: 'board', inForceFrom: '2020-01-01', reason: 'ours' };
    expect(await counted(() => own.ask('policy.setRetest', set))).toBe('anew');
  });

  test('what no due day depends on moves nothing, and nothing is counted', async () => {
    const before = makeDuties(desk, '');
    await own.ask('retest.recordFailure', {
      segmentId: idOf('full'),
      failedOn: '2025-11-19',
      phase: 'B',
      part: 'splice',
    });
    const renewed = renewedDuties(desk, before, revisionOf(reader))!;
    expect(renewed.due).toBe(before.due);
    expect({ ...makeDuties(desk, '') }).toEqual(renewed);
  });
});

const record = (ownerId: string, testedOn: string, ua: readonly number[], outcome?: 'stopped') => ({
  segmentId: idOf(ownerId),
  testedOn,
  readings: readings(ua, outcome),
  ...conditions,
});
const edit = (ownerId: string, field: InputOf<'segment.edit'>['field'], value: string) =>
  own.ask('segment.edit', { segmentId: idOf(ownerId), field, value, why: 'for this test' });

const page = async (segment?: string) => {
  const rows = [
    ...(await own.ask('retest.page', { count: 1000 })).rows,
    ...(await own.ask('retest.page', { count: 1000, state: 'later' })).rows,
  ];
  return segment === undefined ? rows : rows.filter((row) => row.segment === segment);
};

describe('rows for the window', () => {
  test('of the due list are those of the whole list', async () => {
    const whole = await own.ask('retest.due', { count: 1000 });
    const { groups: _, plan: _plan, written: _written, ...said } = whole;
    expect(await own.ask('retest.page', { count: 1000 })).toEqual(said);
    const part = await own.ask('retest.page', { skip: 3, count: 4 });
    expect(part.rows).toEqual(whole.rows.slice(3, 7));
    const places = await own.ask('retest.places', { area: 'south' });
    const south = whole.groups.filter((group) => group.area === 'south');
    expect(places.areas).toEqual(['south']);
    expect(places.feeders).toEqual([...new Set(south.map((group) => group.feeder))].sort());
  });

  test('of the register are those that its CSV has, in any stretch and status', async () => {
    const csv = join(own.folder, 'register.csv');
    const whole = await own.ask('evidence.compliance', { ...every, count: 1000, csv });
    const lines = parse(readFileSync(csv, 'utf8'), { columns: true }) as Record<string, string>[];
    expect(whole.rowsTotal).toBe(lines.length);
    expect(lines.length).toBeGreaterThan(100);
    for (const [at, row] of whole.rows.entries())
      expect([row.segmentOwnerId, row.dueOn, row.since, row.status, row.because, row.testOwnerId ?? '']).toEqual(
        ['segment_id', 'due_on', 'counted_from', 'status', 'because', 'test_id'].map((name) => lines[at]![name]),
      );
    const { byFeeder: _, written: _written, ...said } = whole;
    expect(await own.ask('evidence.register', { ...every, count: 1000 })).toEqual(said);
    const late = whole.rows.filter((row) => row.status === 'late');
    const part = await own.ask('evidence.register', { ...every, status: 'late', skip: 1, count: 2 });
    expect(part).toMatchObject({ rowsTotal: late.length, rows: late.slice(1, 3) });
  });
});

describe('kept with the fleet', () => {
  test('it is taken up by whoever opens the fleet next, until something is written; then counted on', async () => {
    await own.ask('retest.make', {});
    const kept = () =>
      reader.raw.prepare("select revision from kept where name like 'tests due%'").pluck().all() as number[];
    expect(kept()).toEqual([revisionOf(reader)]);
    const before = await page();
    await own.ask('retest.record', record('aged-other-100', '2025-11-24', [3, 3.2, 3.1]));
    const other = await openCore(join(own.folder, 'a.fleet'), {
      migrations,
      now: () => `${today}T08:00:00.000Z`,
      who: 'a reader',
      readOnly: true,
    });
    const seen = await other.send('retest.page', { count: 1000, state: 'later' });
    other.close();
    if (!seen.ok) throw new Error((seen as { problem: Problem }).problem.message);
    const of = (rows: typeof before) => rows.find((row) => row.segmentOwnerId === 'aged-other-100');
    expect(of(before)).not.toMatchObject({ since: '2025-11-24' });
    expect(of(seen.value.rows)).toMatchObject({ since: '2025-11-24' });
    expect(kept()).toEqual([revisionOf(reader) - 1]);
  });

  test('a day on which later tests were not done yet has a count of its own', async () => {
    const then = await own.ask('retest.due', { on: '2019-01-01', count: 1000, state: 'overdue' });
    const made = makeDuties(desk, '2019-01-01');
    const done = Math.max(...made.done.filter((day) => day !== 0x7fffffff));
    expect(new Date(done * 86_400_000).toISOString() < '2019-01-02').toBe(true);
    expect(then.rows.every((row) => row.lastTestedOn === null || row.lastTestedOn <= '2019-01-01')).toBe(true);
  });

  test('a fleet that is only looked at is not written to', () => {
    const size = () => new Database(reader.file, { readonly: true }).pragma('data_version', { simple: true });
    const before = size();
    keepDuties(desk, today);
    expect(size()).toBe(before);
  });
});

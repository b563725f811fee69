import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { DueRow } from '../../core/contract/shapes/retest.ts';
import { openRetestFleet, type RetestFleet, today } from './a-fleet.ts';

let fleet: RetestFleet;
beforeAll(async () => {
  fleet = await openRetestFleet();
});
afterAll(() => fleet.close());

const everyRow = async (on: string): Promise<DueRow[]> => [
  ...(await fleet.ask('retest.due', { on, count: 1000 })).rows,
  ...(await fleet.ask('retest.due', { on, count: 1000, state: 'later' })).rows,
];
const rowOf = (rows: readonly DueRow[], segment: string) => rows.find((row) => row.segmentOwnerId === segment);

describe('the list of tests due', () => {
  test('agrees with the register of the evidence, test by test: what is open or missing there is due here', async () => {
    const due = new Map((await everyRow(today)).map((row) => [row.segmentOwnerId, row]));
    const register = await fleet.ask('evidence.compliance', { from: today, to: '2099-12-31', skip: 0, count: 1000 });
    // The register remembers what a segment out of service still owed; a crew has nothing to test there.
    const open = register.rows.filter((row) => row.doneOn === null && row.segmentOwnerId !== 'retired');
    expect(open.length).toBeGreaterThan(50);
    for (const row of open)
      expect([row.segmentOwnerId, due.get(row.segmentOwnerId)?.dueOn]).toEqual([row.segmentOwnerId, row.dueOn]);
    expect(due.size).toBe(open.length);
  });

  test('looks from any day: tests done later do not count yet', async () => {
    // 36 months by our default (NETA MTS 2007, Appendix B: 36 × 1.0), counted from the test of 4 May 2017.
    const paper = rowOf(await everyRow('2019-01-01'), 'paper-15-133')!;
    expect(paper).toMatchObject({ lastTestedOn: '2017-05-04', since: '2017-05-04' });
    const now = rowOf(await everyRow(today), 'paper-15-133')!;
    expect(now.lastTestedOn).toBe('2021-05-04');
  });

  test('by our default: 18 months for a critical load, 72 where another supply exists (NETA MTS 2007, Appendix B)', async () => {
    const rows = await everyRow(today);
    expect(rowOf(rows, 'aged-XLPE-133')).toMatchObject({
      dueOn: '2025-12-10',
      daysLeft: 15,
      state: 'within 30 days',
      noDc: true,
    });
    expect(rowOf(rows, 'paper-15-133')).toMatchObject({ dueOn: '2027-05-04', state: 'later', noDc: false });
    expect(rowOf(rows, 'young-15-133')).toMatchObject({ dueOn: '2028-02-20', noDc: false });
  });

  test('leaves retired segments out, and counts what it lists', async () => {
    const answer = await fleet.ask('retest.due', { on: '2027-06-01', count: 1000 });
    expect(answer.rows.some((row) => row.segmentOwnerId === 'retired')).toBe(false);
    const count = (state: DueRow['state']) => answer.rows.filter((row) => row.state === state).length;
    expect(answer.total).toEqual({
      overdue: count('overdue'),
      within30: count('within 30 days'),
      within90: count('within 90 days'),
      within365: count('within 365 days'),
    });
    expect(answer.total.overdue).toBeGreaterThan(10);
    expect(answer.groups.reduce((sum, group) => sum + group.overdue, 0)).toBe(answer.total.overdue);
    const south = await fleet.ask('retest.due', { on: '2027-06-01', area: 'south', count: 1000 });
    expect(new Set(south.rows.map((row) => row.area))).toEqual(new Set(['south']));
    expect(south.rowsTotal).toBeLessThan(answer.rowsTotal);
  });

  test('follows the owner’s rule once there is one, and says which', async () => {
    const own = await openRetestFleet();
    await own.ask('policy.setRetest', {
      rule: {
        kind: 'retest interval',
        cases: [{ when: { insulation: ['PILC'] }, months: 12 }],
        otherwiseMonths: 60,
        earlyDays: 30,
        graceDays: 10,
      },
      words: 'Paper-lead every year, all else every five.',
      source: 'Harrow Vale board, minute 12',
      inForceFrom: '2020-01-01',
      reason: 'first rule of our own',
    });
    const { rows, rules } = await own.ask('retest.due', { count: 1000 });
    expect(rowOf(rows, 'paper-15-133')).toMatchObject({
      dueOn: '2022-05-04',
      state: 'overdue',
      inGrace: false,
      rule: 'version 1',
    });
    expect(rules.map((rule) => rule.words)).toContain('Paper-lead every year, all else every five.');
    own.close();
  });

  test('says which line of the rule made the day, and what the last test found that it asks for', async () => {
    const own = await openRetestFleet();
    const { segmentId } = await own.ask('retest.brief', { segment: 'paper-15-133' });
    const phase = { voltageKv: 20, dwellMin: 15, leakageUnit: 'uA' as const, outcome: 'withstood' as const };
    const conditions = { insulationTempC: 20, instrumentId: null, crew: null };
    const record = (testedOn: string, readings: object) =>
      own.ask('retest.record', { segmentId, testedOn, ...conditions, readings } as never);
    await record('2025-11-03', [
      { ...phase, phase: 'A', leakage: 20 },
      { ...phase, phase: 'B', leakage: 70 },
    ]);
    const row = async () =>
      rowOf((await own.ask('retest.due', { on: '2026-11-25', count: 1000 })).rows, 'paper-15-133');
    // NETA MTS 2007, Appendix B: low need at poor condition, 36 months × 1.0; not looked at within the year.
    expect(rowOf((await own.ask('retest.due', { state: 'later', count: 1000 })).rows, 'paper-15-133')).toMatchObject({
      dueOn: '2028-11-03',
      because: 'phases 3.5 : 1 apart on 2025-11-03: 36 months, line 3 (load not critical, another supply)',
    });
    await own.ask('policy.setRetest', {
      rule: {
        kind: 'retest interval',
        cases: [
          { when: { insulation: ['PILC'], last: { stopped: true } }, months: 2 },
          { when: { last: { phasesApartOver: 3 } }, months: 12 },
        ],
        otherwiseMonths: 60,
        earlyDays: 30,
        graceDays: 10,
      },
      source: 'Harrow Vale board, minute 13',
      inForceFrom: today,
      reason: 'look again soon',
    });
    expect(await row()).toMatchObject({
      dueOn: '2026-11-03',
      rule: 'version 1',
      because: 'phases 3.5 : 1 apart on 2025-11-03: 12 months, line 2',
    });
    // Broken off on every phase: no test done, and yet it asks for the next one sooner.
    await record('2025-11-24', [{ ...phase, phase: 'A', leakage: 20, outcome: 'stopped' }]);
    expect(await row()).toMatchObject({
      dueOn: '2026-01-24',
      lastTestedOn: '2025-11-03',
      because: 'a reading stopped early on 2025-11-24: 2 months, line 1 (PILC)',
    });
    const register = await own.ask('evidence.compliance', { from: today, to: '2026-12-31', count: 1000 });
    expect(register.rows.find((one) => one.segmentOwnerId === 'paper-15-133' && one.doneOn === null)).toMatchObject({
      dueOn: '2026-01-24',
    });
    const brief = await own.ask('retest.brief', { segment: 'paper-15-133' });
    expect(brief.due).toMatchObject({ known: true, dueOn: '2026-01-24', because: expect.stringContaining('line 1') });
    own.close();
  });

  test('shows an excuse beside the test it excuses', async () => {
    const [overdue] = (await fleet.ask('retest.due', { on: today, state: 'overdue', count: 1 })).rows;
    const target = overdue ?? rowOf(await everyRow(today), 'aged-EPR-100')!;
    await fleet.ask('excuse.add', {
      segmentId: target.segmentId,
      dueOn: target.dueOn,
      until: null,
      reason: 'feeder is being rebuilt',
    });
    const again = rowOf(await everyRow(today), target.segmentOwnerId)!;
    expect(again.excuse).toContain('feeder is being rebuilt');
  });
});

test('as CSV, a line a test with the columns named (RFC 4180)', async () => {
  const csv = join(fleet.folder, 'due.csv');
  const { rowsTotal } = await fleet.ask('retest.due', { on: '2027-06-01', csv });
  const [head, ...lines] = readFileSync(csv, 'utf8').trim().split('\n');
  expect(head).toMatch(/^area,substation,feeder,segment_id,segment,due_on,days_left,state/);
  expect(lines).toHaveLength(rowsTotal);
});

// RFC 5545: 3.1 content lines and folding, 3.3.11 TEXT, 3.6.1 VEVENT, 3.8.4.7 UID, 3.8.7.2 DTSTAMP.
describe('as a calendar', () => {
  let text = '';
  let rows = 0;
  beforeAll(async () => {
    const ics = join(fleet.folder, 'due.ics');
    rows = (await fleet.ask('retest.due', { on: '2027-06-01', ics })).rowsTotal;
    text = readFileSync(ics, 'utf8');
  });
  const unfolded = () => text.replaceAll('\r\n ', '');
  const valuesOf = (name: string) =>
    [...unfolded().matchAll(new RegExp(`^${name}[;:](.*)\\r$`, 'gm'))].map((found) => found[1]!);

  test('every line ends with CRLF and is no longer than 75 octets', () => {
    expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
    const lines = text.split('\r\n');
    expect(lines.at(-1)).toBe('');
    expect(Math.max(...lines.map((line) => Buffer.byteLength(line)))).toBeLessThanOrEqual(75);
    expect(lines.some((line) => line.startsWith(' '))).toBe(true);
  });

  test('holds one event a test, each with UID, DTSTAMP in UTC and a whole day', () => {
    expect(unfolded()).toMatch(/^BEGIN:VCALENDAR\r\nVERSION:2\.0\r\nPRODID:/);
    expect(unfolded()).toMatch(/END:VCALENDAR\r\n$/);
    expect(valuesOf('BEGIN').filter((value) => value === 'VEVENT')).toHaveLength(rows);
    expect(new Set(valuesOf('UID')).size).toBe(rows);
    expect(new Set(valuesOf('DTSTAMP'))).toEqual(new Set([`${today.replaceAll('-', '')}T080000Z`]));
    for (const start of valuesOf('DTSTART')) expect(start).toMatch(/^VALUE=DATE:\d{8}$/);
  });

  test('escapes commas, semicolons and line breaks of its text', () => {
    for (const description of valuesOf('DESCRIPTION'))
      expect(description.replace(/\\[\\;,n]/g, '')).not.toMatch(/[\\;,]/);
    expect(valuesOf('LOCATION')[0]).toMatch(/^(Mill|Weir)\\, /);
  });

  test('a test keeps its UID when the file is written again on another day', async () => {
    const ics = join(fleet.folder, 'again.ics');
    await fleet.ask('retest.due', { on: '2027-06-02', ics });
    const again = readFileSync(ics, 'utf8').replaceAll('\r\n ', '');
    for (const uid of valuesOf('UID')) expect(again).toContain(`UID:${uid}`);
  });
});

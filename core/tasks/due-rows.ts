import type { SegmentId } from '../contract/ids.ts';
import type { DueRow } from '../contract/shapes/retest.ts';
import type { Insulation } from '../contract/shapes/trade.ts';
import type { RuleVersion } from '../evidence/due.ts';
import type { CalendarEvent } from '../report/calendar.ts';
import { csvText } from '../report/csv.ts';
import { excusesOf } from '../store/duties.ts';
import { areaLife, lastReadings, lastTestDay } from '../store/retest.ts';
import type { Fleet } from '../store/sql.ts';
import { insulationBuild } from '../trade/insulation.ts';
import { extrudedDcYears } from '../trade/voltage-advice.ts';
import { yearsApart } from './days.ts';
import type { Desk } from './desk.ts';
import type { DueList } from './due-list.ts';
import { segmentAt } from './duty-columns.ts';
import { complianceCaution } from './evidence-compliance.ts';
import { dueOf } from './retest-due-all.ts';
import { type NextDue, nextDue } from './retest-due-day.ts';
import { RowsMade } from './rows-made.ts';
import { dueBecause, ruleName } from './rule-words.ts';
import { resultsOfOne } from './test-results.ts';

/** 'withstood', 'breakdown of phase B at 20 kV', 'stopped early, phase C'; of the last test, counted as done or not. */
function lastResult(fleet: Fleet, segmentId: string, on: string): string {
  const readings = lastReadings(fleet, segmentId, on);
  if (readings.length === 0) return 'never tested';
  const broke = readings.find((reading) => reading.outcome === 'breakdown');
  if (broke) return `breakdown of phase ${broke.phase} at ${broke.voltageKv} kV`;
  const stopped = readings.find((reading) => reading.outcome === 'stopped');
  if (stopped) return `stopped early, phase ${stopped.phase}`;
  return readings.every((reading) => reading.outcome === 'withstood') ? 'withstood' : 'result not recorded';
}

function rowOf(fleet: Fleet, one: NextDue, on: string): Omit<DueRow, 'first'> {
  const { life } = one;
  return {
    segmentId: life.id as SegmentId,
    segmentOwnerId: life.ownerId,
    segment: life.name,
    feeder: life.feeder,
    substation: life.substation,
    area: life.area,
    dueOn: one.dueOn,
    daysLeft: one.daysLeft,
    state: one.state,
    inGrace: one.inGrace,
    rule: ruleName(one.version),
    because: dueBecause(one.due),
    since: one.since,
    lastTestedOn: one.lastTestedOn,
    lastResult: lastResult(fleet, life.id, on),
    criticalLoad: life.criticalLoad === null ? null : life.criticalLoad === 1,
    insulation: life.insulation as Insulation,
    ratedKv: life.ratedKv,
    noDc: noDcAdvised(one, on),
    excuse: one.excuse && `${one.excuse.reason} (${one.excuse.by}, ${one.excuse.at.slice(0, 10)})`,
  };
}

/** Whether no direct voltage is ever advised for this insulation at its age, whatever its class. */
function noDcAdvised({ life }: NextDue, on: string): boolean {
  if (insulationBuild(life.insulation as Insulation) === 'laminated') return false;
  return life.energisedOn === null || yearsApart(life.energisedOn, on) > extrudedDcYears;
}

const csvHead =
  'area,substation,feeder,segment_id,segment,due_on,days_left,state,rule,counted_from,last_tested_on,last_result,critical_load,insulation,rated_kv,no_dc_advised,excuse,retest_first,because'.split(
    ',',
  );
const word = (value: boolean | null) => (value === null ? '' : value ? 'yes' : 'no');

export const dueCsv = (rows: readonly DueRow[]): string =>
  csvText([
    csvHead,
    ...rows.map((row) => [
      row.area ?? '',
      row.substation,
      row.feeder,
      row.segmentOwnerId,
      row.segment,
      row.dueOn,
      `${row.daysLeft}`,
      row.state,
      row.rule,
      row.since,
      row.lastTestedOn ?? '',
      row.lastResult,
      word(row.criticalLoad),
      row.insulation,
      row.ratedKv === null ? '' : `${row.ratedKv}`,
      word(row.noDc),
      row.excuse ?? '',
      word(row.first),
      row.because,
    ]),
  ]);

export function eventOf(row: DueRow, fleetId: string): CalendarEvent {
  const about = [
    `Segment ${row.segmentOwnerId}. Due by ${row.rule}, counted from ${row.since}: ${row.because}.`,
    `Last test: ${row.lastTestedOn === null ? 'never' : `${row.lastTestedOn}, ${row.lastResult}`}.`,
    row.excuse === null ? '' : `Excused: ${row.excuse}.`,
    row.noDc ? complianceCaution : '',
  ];
  return {
    uid: `retest-${row.segmentId}-${row.since}@${fleetId}.invalid`,
    day: row.dueOn,
    summary: `Retest ${row.segment}${row.criticalLoad ? ' (critical load)' : ''}`,
    location: `${row.substation}, ${row.feeder}`,
    description: about.filter((words) => words !== '').join('\n'),
    categories: ['Retest', ...(row.area === null ? [] : [row.area])],
  };
}

/** From so many rows on it is quicker to read all tests of the fleet than those of each segment. */
const manyRows = 3000;

const made = new RowsMade<DueList, Omit<DueRow, 'first'>>();

/** The rows of some positions of the list, in their order. */
export function dueRows(desk: Desk, list: DueList, positions: Int32Array, first: ReadonlySet<string> | null): DueRow[] {
  const { fleet } = desk;
  const { on, duties, versions } = list;
  const ids = Array.from(positions, (position) => segmentAt(duties, position));
  const nexts = ids.length < manyRows ? null : nextsOfAll(desk, on, versions);
  const rowFrom = (next: NextDue) => rowOf(fleet, next, on);
  return ids.map((id) => ({
    ...(nexts
      ? rowFrom(nexts.get(id) ?? nextOfOne(fleet, id, on, versions))
      : made.of(list, id, () => rowFrom(nextOfOne(fleet, id, on, versions)))),
    first: first?.has(id) ?? null,
  }));
}

function nextsOfAll(desk: Desk, on: string, versions: readonly RuleVersion[]): Map<string, NextDue> {
  const nexts = new Map<string, NextDue>();
  for (const next of dueOf(desk, on, versions)) if (next !== 'unknown') nexts.set(next.life.id, next);
  return nexts;
}

function nextOfOne(fleet: Fleet, id: string, on: string, versions: readonly RuleVersion[]): NextDue {
  const results = resultsOfOne(fleet, id, versions, on);
  const next = nextDue(areaLife(fleet, id)!, lastTestDay(fleet, id, on), versions, excusesOf(fleet, id), on, results);
  if (next === null || next === 'unknown') throw new Error(`no test is due of segment ${id}, which the list names`);
  return next;
}

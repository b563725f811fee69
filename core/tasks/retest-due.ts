import type { SegmentId } from '../contract/ids.ts';
import { PlanQuestion } from '../contract/shapes/plan.ts';
import type { DueCounts, DueRow, DueState } from '../contract/shapes/retest.ts';
import type { Insulation } from '../contract/shapes/trade.ts';
import { type CalendarEvent, calendarText } from '../report/calendar.ts';
import { csvText } from '../report/csv.ts';
import { fleetName, revisionOf } from '../store/ledger.ts';
import { lastReadings, newestPlan } from '../store/retest.ts';
import type { Fleet } from '../store/sql.ts';
import { insulationBuild } from '../trade/insulation.ts';
import { extrudedDcYears } from '../trade/voltage-advice.ts';
import { yearsApart } from './days.ts';
import { type Desk, today } from './desk.ts';
import { complianceCaution } from './evidence-compliance.ts';
import { writeOut } from './out-file.ts';
import { planTasks } from './plan.ts';
import { type PolicyShown, retestRules, shownOf } from './policies.ts';
import { dueInOrder } from './retest-due-all.ts';
import type { NextDue } from './retest-due-day.ts';
import { dueBecause, ruleName } from './rule-words.ts';
import type { Task } from './task.ts';

export interface DueList {
  readonly revision: number;
  readonly on: string;
  readonly rules: readonly PolicyShown[];
  /** By due day, then as the fleet is ordered. */
  readonly due: readonly NextDue[];
  readonly unknown: number;
}

const lists = new WeakMap<Fleet, DueList>();

/** Every segment's next test; made once a revision and day. */
export function dueList(desk: Desk, on: string): DueList {
  const { fleet } = desk;
  const revision = revisionOf(fleet);
  const kept = lists.get(fleet);
  if (kept?.revision === revision && kept.on === on) return kept;
  const rules = retestRules(fleet);
  const { due, unknown } = dueInOrder(desk, on, rules.versions);
  const used = new Set(due.map((one) => one.version));
  const list = { revision, on, rules: shownOf(rules.shown, used), due, unknown };
  lists.set(fleet, list);
  return list;
}

export const noCounts = (): DueCounts => ({ overdue: 0, within30: 0, within90: 0, within365: 0 });
export const counterOf: Readonly<Partial<Record<DueState, keyof DueCounts>>> = {
  overdue: 'overdue',
  'within 30 days': 'within30',
  'within 90 days': 'within90',
  'within 365 days': 'within365',
};

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

function rowOf(fleet: Fleet, one: NextDue, on: string, first: ReadonlySet<string> | null): DueRow {
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
    first: first?.has(life.id) ?? null,
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

const csvOf = (rows: readonly DueRow[]): string =>
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

function eventOf(row: DueRow, fleetId: string): CalendarEvent {
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

function dueSentence(total: DueCounts, on: string): string {
  const ahead = `${total.within30} fall due within 30 days, ${total.within90} more within 90, ${total.within365} more within a year`;
  return total.overdue === 0
    ? `On ${on} no test is overdue; ${ahead}.`
    : `On ${on} ${total.overdue} tests are overdue; ${ahead}.`;
}

/** One for all: to make one costs more than ten thousand comparisons. */
const alphabet = new Intl.Collator('en', { numeric: true });

type First = {
  readonly ids: ReadonlySet<string> | null;
  readonly plan: Awaited<ReturnType<Task<'retest.due'>>>['plan'];
};

const firsts = new WeakMap<Fleet, { readonly key: string; readonly first: First }>();

/** The tests the newest kept plan would have first: the plan's own list, solved again for the fleet as it is. */
async function firstOfPlan(desk: Desk, asked: boolean, revision: number): Promise<First> {
  const none = (because: string): First => ({ ids: null, plan: { known: false, because } });
  if (!asked) return none('not asked for');
  const kept = newestPlan(desk.fleet);
  if (!kept) return none('no plan is kept');
  const key = `${revision} ${kept.madeAt} ${kept.name}`;
  const before = firsts.get(desk.fleet);
  if (before?.key === key) return before.first;
  const question = PlanQuestion.safeParse(JSON.parse(kept.options));
  if (!question.success) return none(`the plan ${kept.name} was asked in a way that is no longer known`);
  const answer = await planTasks['plan.tests'](desk, { question: question.data, crewDays: 40 });
  const first: First = {
    ids: new Set(answer.tests.map((test) => test.segmentId as string)),
    plan: { known: true, name: kept.name, madeAt: kept.madeAt, tests: answer.tests.length },
  };
  firsts.set(desk.fleet, { key, first });
  return first;
}

export const dueTask: Task<'retest.due'> = async (desk, input) => {
  const { fleet } = desk;
  const on = input.on ?? today(desk);
  const list = dueList(desk, on);
  const first = await firstOfPlan(desk, input.first, list.revision);
  const total = noCounts();
  const groups = new Map<string, DueCounts & { area: string | null; substation: string; feeder: string }>();
  const chosen: NextDue[] = [];
  for (const one of list.due) {
    const { area, substation, feeder } = one.life;
    if (input.area !== undefined && area !== input.area) continue;
    if (input.substation !== undefined && substation !== input.substation) continue;
    if (input.feeder !== undefined && feeder !== input.feeder) continue;
    const counter = counterOf[one.state];
    if (counter) {
      const key = JSON.stringify([substation, feeder]);
      const group = groups.get(key) ?? { area, substation, feeder, ...noCounts() };
      groups.set(key, group);
      group[counter]++;
      total[counter]++;
    }
    if (input.state === undefined ? one.state !== 'later' : one.state === input.state) chosen.push(one);
  }
  const rows = (some: readonly NextDue[]) => some.map((one) => rowOf(fleet, one, on, first.ids));
  const written: string[] = [];
  if (input.csv !== undefined || input.ics !== undefined) {
    const every = rows(chosen);
    if (input.csv !== undefined) {
      writeOut(fleet, input.csv, csvOf(every));
      written.push(input.csv);
    }
    if (input.ics !== undefined) {
      const fleetRow = fleetName(fleet);
      const events = every.map((row) => eventOf(row, fleetRow?.fleet_id ?? 'fleet'));
      const name = `Retests, ${fleetRow?.utility_name ?? 'cable fleet'}`;
      writeOut(fleet, input.ics, calendarText(events, { name, madeAt: desk.now(), sequence: list.revision }));
      written.push(input.ics);
    }
  }
  return {
    sentence: dueSentence(total, on),
    caution: complianceCaution,
    on,
    total,
    groups:
      input.skip > 0
        ? []
        : [...groups.values()].sort(
            (a, b) => alphabet.compare(a.substation, b.substation) || alphabet.compare(a.feeder, b.feeder),
          ),
    rules: [...list.rules],
    unknown: list.unknown,
    plan: first.plan,
    rowsTotal: chosen.length,
    rows: rows(chosen.slice(input.skip, input.skip + input.count)),
    written,
  };
};

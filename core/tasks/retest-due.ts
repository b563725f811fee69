import { PlanQuestion } from '../contract/shapes/plan.ts';
import { type DueCounts, type DueRow, type DueState, dueStates } from '../contract/shapes/retest.ts';
import { dayNumber } from '../evidence/due.ts';
import { calendarText } from '../report/calendar.ts';
import { counted } from '../report/counted.ts';
import { fleetName, revisionOf } from '../store/ledger.ts';
import { byName } from '../store/name-order.ts';
import { newestPlan } from '../store/retest.ts';
import type { Fleet } from '../store/sql.ts';
import { type Desk, today } from './desk.ts';
import { type DueList, dueList } from './due-list.ts';
import { dueCsv, dueRows, eventOf } from './due-rows.ts';
import { keepDuties } from './duties.ts';
import { noDay } from './duty-columns.ts';
import { complianceCaution } from './evidence-compliance.ts';
import { writeOut } from './out-file.ts';
import { planTasks } from './plan.ts';
import { planRevision } from './plan-result.ts';
import { stateOf } from './retest-due-day.ts';
import type { Task } from './task.ts';

export const noCounts = (): DueCounts => ({ overdue: 0, within30: 0, within90: 0, within365: 0 });
export const counterOf: Readonly<Partial<Record<DueState, keyof DueCounts>>> = {
  overdue: 'overdue',
  'within 30 days': 'within30',
  'within 90 days': 'within90',
  'within 365 days': 'within365',
};

function dueSentence(total: DueCounts, on: string): string {
  const ahead = `${counted(total.within30)} fall due within 30 days, ${counted(total.within90)} more within 90, ${counted(total.within365)} more within a year`;
  return total.overdue === 0
    ? `On ${on} no test is overdue; ${ahead}.`
    : `On ${on} ${counted(total.overdue)} tests are overdue; ${ahead}.`;
}

type First = {
  readonly ids: ReadonlySet<string> | null;
  readonly plan: Awaited<ReturnType<Task<'retest.due'>>>['plan'];
};

const firsts = new WeakMap<Fleet, { readonly key: string; readonly first: First }>();

/** The tests the newest kept plan would have first: the plan's own list, solved again for the fleet as it is. */
async function firstOfPlan(desk: Desk, asked: boolean): Promise<First> {
  const none = (because: string): First => ({ ids: null, plan: { known: false, because } });
  if (!asked) return none('not asked for');
  const kept = newestPlan(desk.fleet);
  if (!kept) return none('no plan is kept');
  const key = `${planRevision(desk.fleet)} ${today(desk)} ${kept.madeAt} ${kept.name}`;
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

interface Where {
  readonly area?: string | undefined;
  readonly substation?: string | undefined;
  readonly feeder?: string | undefined;
}

interface Chosen {
  readonly total: DueCounts;
  /** Places with a test due within a year, in the order in which one is first due. */
  readonly counted: ReadonlyMap<number, DueCounts>;
  readonly positions: Int32Array;
}

const chosenLast = new WeakMap<DueList, { readonly key: string; readonly chosen: Chosen }>();

/** The answer before stands for the same list: its rows are asked for by stretches. */
function chosenIn(list: DueList, { area, substation, feeder }: Where, state: DueState | undefined): Chosen {
  const key = JSON.stringify([area, substation, feeder, state]);
  const before = chosenLast.get(list);
  if (before?.key === key) return before.chosen;
  const chosen = chosenOf(list, { area, substation, feeder }, state);
  chosenLast.set(list, { key, chosen });
  return chosen;
}

/** Where in the list, which is in order of its days, the tests of a state and of those before it end. */
function endOf({ on, order, due }: DueList, state: DueState): number {
  const day = dayNumber(on);
  const last = dueStates.indexOf(state);
  let low = 0;
  let high = order.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (dueStates.indexOf(stateOf(due[order[middle]!]! - day)) <= last) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The tests of the list that lie where it is asked for, counted; the positions are those in one state, or due within a year. */
function chosenOf(list: DueList, where: Where, state: DueState | undefined): Chosen {
  const { duties, order } = list;
  const fits = Uint8Array.from(duties.places, (place) =>
    Number(
      (where.area === undefined || place.area === where.area) &&
        (where.substation === undefined || place.substation === where.substation) &&
        (where.feeder === undefined || place.feeder === where.feeder),
    ),
  );
  const total = noCounts();
  const counted = new Map<number, DueCounts>();
  const positions = new Int32Array(order.length);
  let n = 0;
  let k = 0;
  for (const each of dueStates) {
    const counter = counterOf[each];
    const isAsked = state === undefined ? counter !== undefined : state === each;
    const inPlace = new Int32Array(fits.length);
    const end = endOf(list, each);
    for (; k < end; k++) {
      const place = duties.place[order[k]!]!;
      if (fits[place] === 0) continue;
      if (counter && inPlace[place]!++ === 0 && !counted.has(place)) counted.set(place, noCounts());
      if (isAsked) positions[n++] = order[k]!;
    }
    if (!counter) continue;
    for (const [place, counts] of counted) counts[counter] = inPlace[place]!;
    total[counter] = inPlace.reduce((sum, tests) => sum + tests, 0);
  }
  return { total, counted, positions: positions.subarray(0, n) };
}

type Group = Awaited<ReturnType<Task<'retest.due'>>>['groups'][number];

/** The counts by substation and feeder, in order of their names; places of one name are one. */
function groupsOf({ duties }: DueList, { counted }: Chosen): Group[] {
  const groups = new Map<string, Group>();
  for (const [index, counts] of counted) {
    const place = duties.places[index]!;
    const key = JSON.stringify([place.substation, place.feeder]);
    const group = groups.get(key) ?? { ...place, ...noCounts() };
    groups.set(key, group);
    for (const counter of Object.keys(counts) as (keyof DueCounts)[]) group[counter] += counts[counter];
  }
  return [...groups.values()].sort((a, b) => byName(a.substation, b.substation) || byName(a.feeder, b.feeder));
}

export const dueTask: Task<'retest.due'> = async (desk, input) => {
  const { fleet } = desk;
  const on = input.on ?? today(desk);
  const list = dueList(desk, on, 'study');
  const first = await firstOfPlan(desk, input.first);
  const chosen = chosenIn(list, input, input.state);
  const { positions } = chosen;
  const written: string[] = [];
  if (input.csv !== undefined || input.ics !== undefined) {
    const every = dueRows(desk, list, positions, first.ids);
    if (input.csv !== undefined) {
      writeOut(fleet, input.csv, dueCsv(every));
      written.push(input.csv);
    }
    if (input.ics !== undefined) {
      writeOut(fleet, input.ics, calendarOf(desk, every, revisionOf(fleet)));
      written.push(input.ics);
    }
  }
  return {
    ...saidOf(list, chosen),
    groups: input.skip > 0 ? [] : groupsOf(list, chosen),
    plan: first.plan,
    rows: dueRows(desk, list, positions.subarray(input.skip, input.skip + input.count), first.ids),
    written,
  };
};

function calendarOf(desk: Desk, rows: readonly DueRow[], sequence: number): string {
  const fleetRow = fleetName(desk.fleet);
  const events = rows.map((row) => eventOf(row, fleetRow?.fleet_id ?? 'fleet'));
  const name = `Retests, ${fleetRow?.utility_name ?? 'cable fleet'}`;
  return calendarText(events, { name, madeAt: desk.now(), sequence });
}

const saidOf = ({ on, rules, unknown }: DueList, { total, positions }: Chosen) => ({
  sentence: dueSentence(total, on),
  caution: complianceCaution,
  on,
  total,
  rules: [...rules],
  unknown,
  rowsTotal: positions.length,
});

/** The same rows for a window, at once: without what it asks for by itself. */
export const duePageTask: Task<'retest.page'> = (desk, { skip, count, state, ...where }) => {
  const list = dueList(desk, today(desk), 'read');
  const chosen = chosenIn(list, where, state);
  return {
    ...saidOf(list, chosen),
    rows: dueRows(desk, list, chosen.positions.subarray(skip, skip + count), null),
  };
};

/** Where tests are due within a year, for lists to choose from. */
export const duePlacesTask: Task<'retest.places'> = (desk, where) => {
  const list = dueList(desk, today(desk), 'read');
  const places = [...chosenIn(list, where, undefined).counted.keys()].map((index) => list.duties.places[index]!);
  const names = (all: readonly (string | null)[]) => [...new Set(all.filter((name) => name !== null))].sort(byName);
  return {
    areas: names(places.map((place) => place.area)),
    substations: names(places.map((place) => place.substation)),
    feeders: names(places.map((place) => place.feeder)),
  };
};

export const makeDueTask: Task<'retest.make'> = (desk) => {
  keepDuties(desk, today(desk));
  const { due } = dueList(desk, today(desk), 'study');
  return { due: due.reduce((count, day) => count + (day === noDay ? 0 : 1), 0) };
};

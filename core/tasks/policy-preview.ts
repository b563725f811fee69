import type { DueCounts } from '../contract/shapes/retest.ts';
import { dayNumber } from '../evidence/due.ts';
import { isoOf } from './days.ts';
import { type Desk, today } from './desk.ts';
import { dueListNow } from './due-list.ts';
import { noDay, positionsOf } from './duty-columns.ts';
import { nextVersion, retestRules, withLimits, withVersion } from './policies.ts';
import { counterOf, noCounts } from './retest-due.ts';
import { dueInOrder } from './retest-due-all.ts';
import { type NextDue, stateOf } from './retest-due-day.ts';
import { dueBecause, ruleWords } from './rule-words.ts';
import type { Task } from './task.ts';

/** How many of the moved tests are shown. */
const shown = 12;

/** Due days since 1970-01-01, counted by how far ahead of a day they are. */
function countsOf(due: Iterable<number>, today: number): DueCounts {
  const counts = noCounts();
  for (const day of due) {
    const counter = counterOf[stateOf(day - today)];
    if (counter) counts[counter]++;
  }
  return counts;
}

const segments = (n: number): string => (n === 1 ? '1 segment' : `${n} segments`);

/** The due day of every segment as the list stands, since 1970-01-01. */
function daysBefore(desk: Desk): Map<string, number> {
  const { duties, due } = dueListNow(desk);
  const days = new Map<string, number>();
  for (const [id, position] of positionsOf(duties)) if (due[position] !== noDay) days.set(id, due[position]!);
  return days;
}

/** The due list as it is beside the list as it would be. */
export const previewTask: Task<'policy.previewRetest'> = (desk, { rule, inForceFrom }) => {
  const { fleet } = desk;
  const on = today(desk);
  const day = dayNumber(on);
  const before = daysBefore(desk);
  const counted = withLimits(rule, fleet);
  const next = { version: nextVersion(fleet), inForceFrom, rule: counted };
  const after = dueInOrder(desk, on, withVersion(retestRules(fleet).versions, next)).due;
  const dueDay = (one: NextDue): number => day + one.daysLeft;
  const was = (one: NextDue): number => before.get(one.life.id) ?? dueDay(one);
  const wasOverdue = (one: NextDue): boolean => (before.get(one.life.id) ?? day) < day;
  const isOverdue = (one: NextDue): boolean => one.state === 'overdue';
  const moved = after.filter((one) => before.get(one.life.id) !== dueDay(one));
  const becomes = (one: NextDue): boolean => isOverdue(one) && !wasOverdue(one);
  const becomeOverdue = after.filter(becomes);
  const noLongerOverdue = after.filter((one) => !isOverdue(one) && wasOverdue(one)).length;
  // By the new version they would have been due before; it asks for no day before its own.
  const atOnce = moved.filter((one) => one.dueOn === inForceFrom && one.version === next).length;
  const sooner = moved.filter((one) => dueDay(one) < was(one)).length;
  const later = moved.length - sooner;
  return {
    words: ruleWords(counted),
    sentence: previewSentence(
      { becomeOverdue: becomeOverdue.length, noLongerOverdue, atOnce, sooner, later },
      inForceFrom,
    ),
    on,
    before: countsOf(before.values(), day),
    after: countsOf(after.map(dueDay), day),
    sooner,
    later,
    atOnce,
    becomeOverdue: becomeOverdue.length,
    noLongerOverdue,
    moved: [...becomeOverdue, ...moved.filter((one) => !becomes(one))].slice(0, shown).map((one) => ({
      segmentOwnerId: one.life.ownerId,
      segment: one.life.name,
      feeder: `${one.life.substation}, ${one.life.feeder}`,
      before: isoOf(was(one)),
      after: one.dueOn,
      because: dueBecause(one.due),
      becomesOverdue: becomes(one),
    })),
  };
};

interface Moves {
  readonly becomeOverdue: number;
  readonly noLongerOverdue: number;
  readonly atOnce: number;
  readonly sooner: number;
  readonly later: number;
}

function previewSentence({ becomeOverdue, noLongerOverdue, atOnce, sooner, later }: Moves, from: string): string {
  if (sooner + later === 0) return 'No due day moves.';
  const one = (n: number, single: string, many: string): string =>
    n === 0 ? '' : `${segments(n)} ${n === 1 ? single : many}`;
  const overdue = [
    one(becomeOverdue, 'becomes overdue', 'become overdue'),
    one(noLongerOverdue, 'is no longer overdue', 'are no longer overdue'),
    one(atOnce, `falls due on ${from}, as it comes into force`, `fall due on ${from}, as it comes into force`),
  ].filter((words) => words !== '');
  const days = [
    one(sooner, 'is due sooner', 'are due sooner'),
    later === 0 ? '' : sooner === 0 ? one(later, 'is due later', 'are due later') : `${later} later`,
  ].filter((words) => words !== '');
  return `${overdue.length === 0 ? 'None becomes overdue' : overdue.join(', ')}; ${sooner + later === atOnce ? 'no other day moves' : `in all ${days.join(', ')}`}.`;
}

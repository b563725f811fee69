import type { DueCounts } from '../contract/shapes/retest.ts';
import { today } from './desk.ts';
import { nextVersion, retestRules, withLimits, withVersion } from './policies.ts';
import { counterOf, dueList, noCounts } from './retest-due.ts';
import { dueInOrder } from './retest-due-all.ts';
import type { NextDue } from './retest-due-day.ts';
import { dueBecause, ruleWords } from './rule-words.ts';
import type { Task } from './task.ts';

/** How many of the moved tests are shown. */
const shown = 12;

function countsOf(due: readonly NextDue[]): DueCounts {
  const counts = noCounts();
  for (const one of due) {
    const counter = counterOf[one.state];
    if (counter) counts[counter]++;
  }
  return counts;
}

const isOverdue = (one: NextDue | undefined): boolean => one?.state === 'overdue';
const segments = (n: number): string => (n === 1 ? '1 segment' : `${n} segments`);

/** The due list as it is beside the list as it would be. */
export const previewTask: Task<'policy.previewRetest'> = (desk, { rule, inForceFrom }) => {
  const { fleet } = desk;
  const on = today(desk);
  const before = new Map(dueList(desk, on).due.map((one) => [one.life.id, one]));
  const counted = withLimits(rule, fleet);
  const next = { version: nextVersion(fleet), inForceFrom, rule: counted };
  const after = dueInOrder(desk, on, withVersion(retestRules(fleet).versions, next)).due;
  const moved = after.filter((one) => before.get(one.life.id)?.dueOn !== one.dueOn);
  const becomes = (one: NextDue): boolean => isOverdue(one) && !isOverdue(before.get(one.life.id));
  const becomeOverdue = after.filter(becomes);
  const noLongerOverdue = after.filter((one) => !isOverdue(one) && isOverdue(before.get(one.life.id))).length;
  // By the new version they would have been due before; it asks for no day before its own.
  const atOnce = moved.filter((one) => one.dueOn === inForceFrom && one.version === next).length;
  const sooner = moved.filter((one) => one.dueOn < (before.get(one.life.id)?.dueOn ?? one.dueOn)).length;
  const later = moved.length - sooner;
  return {
    words: ruleWords(counted),
    sentence: previewSentence(
      { becomeOverdue: becomeOverdue.length, noLongerOverdue, atOnce, sooner, later },
      inForceFrom,
    ),
    on,
    before: countsOf([...before.values()]),
    after: countsOf(after),
    sooner,
    later,
    atOnce,
    becomeOverdue: becomeOverdue.length,
    noLongerOverdue,
    moved: [...becomeOverdue, ...moved.filter((one) => !becomes(one))].slice(0, shown).map((one) => ({
      segmentOwnerId: one.life.ownerId,
      segment: one.life.name,
      feeder: `${one.life.substation}, ${one.life.feeder}`,
      before: before.get(one.life.id)?.dueOn ?? one.dueOn,
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

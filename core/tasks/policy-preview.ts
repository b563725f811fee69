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
  const sooner = moved.filter((one) => one.dueOn < (before.get(one.life.id)?.dueOn ?? one.dueOn)).length;
  const later = moved.length - sooner;
  return {
    words: ruleWords(counted),
    sentence: previewSentence(becomeOverdue.length, noLongerOverdue, sooner, later),
    on,
    before: countsOf([...before.values()]),
    after: countsOf(after),
    sooner,
    later,
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

function previewSentence(becomeOverdue: number, noLonger: number, sooner: number, later: number): string {
  if (sooner + later === 0) return 'No due day moves.';
  const days = [
    sooner === 0 ? '' : `${segments(sooner)} ${sooner === 1 ? 'is' : 'are'} due sooner`,
    later === 0 ? '' : `${segments(later)} later`,
  ].filter((words) => words !== '');
  const overdue = [
    becomeOverdue === 0 ? '' : `${segments(becomeOverdue)} ${becomeOverdue === 1 ? 'becomes' : 'become'} overdue`,
    noLonger === 0 ? '' : `${segments(noLonger)} ${noLonger === 1 ? 'is' : 'are'} no longer overdue`,
  ].filter((words) => words !== '');
  return `${overdue.length === 0 ? 'None becomes overdue' : overdue.join(', ')}; ${days.join(', ')}.`;
}

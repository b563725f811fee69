import type { RuleVersion } from '../evidence/due.ts';
import { type ExcuseRow, excuses } from '../store/compliance.ts';
import { areaLives, lastTestDays } from '../store/retest.ts';
import type { Desk } from './desk.ts';
import { type NextDue, nextDue } from './retest-due-day.ts';
import { resultsOfAll } from './test-results.ts';

/** The next test of every segment that has one, by these versions of the rule, seen from a day, in the order of the crews' areas. */
export function* dueOf(desk: Desk, on: string, versions: readonly RuleVersion[]): Generator<NextDue | 'unknown'> {
  const { fleet } = desk;
  desk.progress(0, 0, 'reading the last tests');
  const last = lastTestDays(fleet, on);
  desk.checkStop();
  const results = resultsOfAll(desk, versions, on, 'the last');
  const excused = Map.groupBy(excuses(fleet), (row) => row.segmentId);
  const none: ExcuseRow[] = [];
  for (const life of areaLives(fleet)) {
    const own = excused.get(life.id) ?? none;
    const next = nextDue(life, last.get(life.id) ?? null, versions, own, on, results(life.id));
    if (next) yield next;
  }
}

/** The same in order of the due day, and for how many no day can be told. */
export function dueInOrder(
  desk: Desk,
  on: string,
  versions: readonly RuleVersion[],
): { readonly due: readonly NextDue[]; readonly unknown: number } {
  const due: NextDue[] = [];
  let unknown = 0;
  for (const next of dueOf(desk, on, versions))
    if (next === 'unknown') unknown++;
    else due.push(next);
  due.sort((a, b) => (a.dueOn < b.dueOn ? -1 : a.dueOn > b.dueOn ? 1 : 0));
  return { due, unknown };
}

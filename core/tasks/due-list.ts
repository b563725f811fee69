import { dayNumber, type RuleVersion } from '../evidence/due.ts';
import type { Fleet } from '../store/sql.ts';
import { type Desk, today } from './desk.ts';
import { dutiesFor, dutiesNow, dutiesSeenOn } from './duties.ts';
import { type Duties, noDay, segmentsIn } from './duty-columns.ts';
import { type PolicyShown, retestRules, shownOf } from './policies.ts';

/** Who is asked for what is due: 'read' refuses where it is not counted yet, 'study' counts. */
export type Asker = 'read' | 'study';

export interface DueList {
  readonly on: string;
  readonly duties: Duties;
  readonly rules: readonly PolicyShown[];
  readonly versions: readonly RuleVersion[];
  /** Positions of the segments with a test to come, by due day, then as the fleet is ordered. */
  readonly order: Int32Array;
  /** Its day, by position; `noDay` where none is to come. */
  readonly due: Int32Array;
  readonly unknown: number;
}

const lists = new WeakMap<Fleet, DueList>();

/** Every segment's next test; made once a revision and day. */
export function dueList(desk: Desk, on: string, asker: Asker): DueList {
  const duties = dutiesSeenOn(desk, on, asker === 'read' ? dutiesFor : dutiesNow);
  const before = lists.get(desk.fleet);
  if (before?.duties === duties && before.on === on) return before;
  const list = listOf(desk, on, duties);
  lists.set(desk.fleet, list);
  return list;
}

function listOf({ fleet }: Desk, on: string, duties: Duties): DueList {
  const { versions, shown } = retestRules(fleet);
  const day = dayNumber(on);
  const due = new Int32Array(segmentsIn(duties)).fill(noDay);
  const isUsed = new Uint8Array(versions.length);
  let count = 0;
  let unknown = 0;
  for (let p = 0; p < due.length; p++) {
    if (duties.retired[p]! <= day) continue;
    if (duties.unknown[p] === 1) unknown++;
    const at = duties.first[p + 1]! - 1;
    if (at < duties.first[p]! || duties.done[at] !== noDay) continue;
    due[p] = duties.due[at]!;
    isUsed[duties.version[at]!] = 1;
    count++;
  }
  const used = versions.filter((_, at) => isUsed[at] === 1);
  const rules = shownOf(shown, used);
  return { on, duties, rules, versions, order: byDay(due, count), due, unknown };
}

const positionsPerDay = 2 ** 26;

/** Positions by day, then by position: day and position make one number, and numbers sort fast. */
function byDay(due: Int32Array, count: number): Int32Array {
  const keys = new Float64Array(count);
  let n = 0;
  for (let p = 0; p < due.length; p++) if (due[p] !== noDay) keys[n++] = due[p]! * positionsPerDay + p;
  keys.sort();
  return Int32Array.from(keys, (key) => key - Math.floor(key / positionsPerDay) * positionsPerDay);
}

/** For places that need the due day of every segment beside another. */
export const dueListNow = (desk: Desk): DueList => dueList(desk, today(desk), 'study');

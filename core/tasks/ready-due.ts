import type { Fleet } from '../store/sql.ts';
import { type Desk, today } from './desk.ts';
import { areDutiesKept, dutiesFor } from './duties.ts';
import { registerTask } from './evidence-due.ts';
import { duePageTask } from './retest-due.ts';

const readied = new WeakMap<Fleet, string>();

/** Rows that a list asks for before it is turned, and as it is turned for the first time. */
const firstRows = [
  { skip: 0, count: 50 },
  { skip: 50, count: 50 },
];

/**
 * Has what is due read while nothing is asked, so that the due list and the register are there when they are first looked
 * at. Where it is not counted yet, that is left to whoever asks.
 */
export function readyDue(desk: Desk): void {
  const day = today(desk);
  if (readied.get(desk.fleet) === day) return;
  readied.set(desk.fleet, day);
  if (!areDutiesKept(desk)) return;
  desk.whenIdle('what is due', everyFirst(desk, day));
}

function* everyFirst(desk: Desk, day: string): Generator<void, void> {
  try {
    dutiesFor(desk);
    yield;
    duePageTask(desk, { skip: 0, count: 0 });
    yield;
    for (const rows of firstRows) {
      duePageTask(desk, rows);
      yield;
      registerTask(desk, { ...usualPeriod(day), ...rows });
      yield;
    }
  } catch {
    // What goes wrong is said to whoever asks.
  }
}

/** The period that an auditor's window opens with: this year to date and the two before. */
const usualPeriod = (day: string) => ({ from: `${Number(day.slice(0, 4)) - 2}-01-01`, to: day });

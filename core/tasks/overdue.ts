import { dayNumber } from '../evidence/due.ts';
import type { Fleet } from '../store/sql.ts';
import { type Desk, today } from './desk.ts';
import { type Asker, dueList } from './due-list.ts';
import { besideDuties } from './duties-renewed.ts';
import { noDay, segmentAt } from './duty-columns.ts';
import { frameOf } from './frame.ts';
import { isKept, keep, keptKind, keptNow, revisionFor } from './kept-answers.ts';
import { pack, unpack } from './pack.ts';

interface Overdue {
  readonly revision: number;
  readonly day: string;
  /** 1 where a test is overdue, 0 where one is due and not overdue, `noDueDay` where no due day can be told. */
  readonly bytes: Uint8Array;
}

/** Raise the edition with every change of what counts as overdue. */
const kind = keptKind({ name: 'overdue, edition 4', passesOver: besideDuties });
/** For a segment that is out of service, or of which the record does not say enough. */
export const noDueDay = 2;
const inMemory = new WeakMap<Fleet, Overdue>();

/**
 * Which segments are overdue today, by the same counting as the due list: a byte a segment in the frame's order. Refuses
 * with 'not-ready' where what is due in a large fleet is not counted yet; `ranking.make` counts it.
 */
export function overdueFor(desk: Desk): Uint8Array {
  const { fleet } = desk;
  const revision = revisionFor(fleet, kind);
  const day = today(desk);
  const here = inMemory.get(fleet);
  if (here?.revision === revision && here.day === day) return here.bytes;
  const row = keptNow(fleet, kind, day);
  const bytes = row ? (unpack(row.bytes).columns.overdue as Uint8Array) : countOverdue(desk, day, 'read');
  inMemory.set(fleet, { revision, day, bytes });
  return bytes;
}

/** The same for a study, which may take its time: counted where they are not kept. */
export function overdueNow(desk: Desk): Uint8Array {
  keepOverdue(desk);
  return overdueFor(desk);
}

/** Counts them and keeps them with the fleet, unless that is done already. */
export function keepOverdue(desk: Desk): void {
  const { fleet } = desk;
  const asked = today(desk);
  const revision = revisionFor(fleet, kind);
  if (isKept(fleet, kind, asked)) return;
  const overdue = countOverdue(desk, asked, 'study');
  inMemory.set(fleet, { revision, day: asked, bytes: overdue });
  keep(desk, kind, asked, revision, () => pack(null, { overdue }));
}

function countOverdue(desk: Desk, day: string, asker: Asker): Uint8Array {
  const frame = frameOf(desk.fleet);
  const bytes = new Uint8Array(frame.rows.length).fill(noDueDay);
  const { duties, due } = dueList(desk, day, asker);
  const from = dayNumber(day);
  for (let p = 0; p < due.length; p++)
    if (due[p] !== noDay) bytes[frame.ordinalById.get(segmentAt(duties, p))!] = due[p]! < from ? 1 : 0;
  return bytes;
}

import { refuse } from '../contract/problem.ts';
import { dayNumber } from '../evidence/due.ts';
import { assetCounts } from '../store/browse.ts';
import { keptAnswer } from '../store/kept.ts';
import type { Fleet } from '../store/sql.ts';
import type { Desk } from './desk.ts';
import { makeDuties } from './duties-made.ts';
import { besideDuties, renewedDuties } from './duties-renewed.ts';
import type { Duties, DutyColumns, DutyFacts } from './duty-columns.ts';
import { isKept, keep, keptKind, revisionFor } from './kept-answers.ts';
import { pack, unpack } from './pack.ts';
import { onTheSpotSegments } from './standings.ts';

/** Raise the edition with every change of what is due when, or of the order it stands in. */
const kind = keptKind({ name: 'tests due, edition 2', passesOver: besideDuties, most: 2, servesOn: true });
const inMemory = new WeakMap<Fleet, Map<string, Duties>>();

function remember(fleet: Fleet, duties: Duties): Duties {
  const kept = inMemory.get(fleet) ?? new Map<string, Duties>();
  inMemory.set(fleet, kept);
  for (const upTo of kept.keys()) if (upTo !== '' && upTo !== duties.upTo && duties.upTo !== '') kept.delete(upTo);
  kept.set(duties.upTo, duties);
  return duties;
}

/** As they are now: from memory, as kept, or those of before with what was written since; null where all must be made. */
function known(desk: Desk, upTo: string): Duties | null {
  const { fleet } = desk;
  const revision = revisionFor(fleet, kind);
  const here = inMemory.get(fleet)?.get(upTo);
  if (here && here.revision >= revision) return here;
  const row = keptAnswer(fleet, kind.name, upTo, (here?.revision ?? -1) + 1);
  const before = row ? opened(row) : here;
  if (!before) return null;
  const renewed = before.revision >= revision ? before : renewedDuties(desk, before, revision);
  return renewed && remember(fleet, renewed);
}

function opened({ revision, bytes }: { revision: number; bytes: Uint8Array }): Duties {
  const { plain, columns } = unpack(bytes);
  return { ...(plain as DutyFacts), ...(columns as unknown as DutyColumns), revision };
}

const isSmall = (fleet: Fleet): boolean => assetCounts(fleet).segments <= onTheSpotSegments;

/** For reads that must answer at once: refuses with 'not-ready' where a large fleet has none to go by; `retest.make` makes them. */
export function dutiesFor(desk: Desk, upTo = ''): Duties {
  const duties = known(desk, upTo);
  if (duties) return duties;
  if (!isSmall(desk.fleet)) throw refuse('not-ready', 'What is due by this revision is not counted yet.');
  return remember(desk.fleet, makeDuties(desk, upTo));
}

/** Whether they are at hand as they stand, so that none need be counted. */
export const areDutiesKept = ({ fleet }: Desk): boolean => isKept(fleet, kind, '');

/** For studies, which may take their time: made where there are none. */
export const dutiesNow = (desk: Desk, upTo = ''): Duties =>
  known(desk, upTo) ?? remember(desk.fleet, makeDuties(desk, upTo));

/** Those that tell what was due as a day saw it, when later tests were not done yet. */
export function dutiesSeenOn(desk: Desk, on: string, of: (desk: Desk, upTo?: string) => Duties): Duties {
  const whole = of(desk);
  return whole.lastTestDay <= dayNumber(on) ? whole : of(desk, on);
}

/** Makes those that a day sees, and keeps them with the fleet. */
export function keepDuties(desk: Desk, on: string): void {
  const made: Duties[] = [];
  dutiesSeenOn(desk, on, (...asked) => {
    const duties = dutiesNow(...asked);
    made.push(duties);
    return duties;
  });
  for (const duties of made)
    if (!isKept(desk.fleet, kind, duties.upTo)) keep(desk, kind, duties.upTo, duties.revision, () => packed(duties));
}

function packed({ upTo, places, lastTestDay, ...columns }: Duties): Uint8Array {
  const { ids, place, retired, unknown, first, due, done, until, version } = columns;
  const facts: DutyFacts = { upTo, places, lastTestDay };
  return pack(facts, { ids, place, retired, unknown, first, due, done, until, version });
}

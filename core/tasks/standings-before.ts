import { entryBytes } from '../evidence/record-list.ts';
import { changedSince, segmentsToldOf, writtenSince } from '../store/duties.ts';
import { recordColumns } from '../store/record-columns.ts';
import { recordById } from '../store/records.ts';
import type { Fleet } from '../store/sql.ts';
import type { Desk } from './desk.ts';
import { frameOf } from './frame.ts';
import {
  areStandingsKept,
  earlierStandings,
  keptStandings,
  type Standings,
  standingsFor,
  standingsRevision,
} from './standings.ts';
import { idsSince } from './written-since.ts';

/** Where more tests or segments were written since, the standings of before are no help. */
const mostWritten = 2000;

interface Before {
  readonly revision: number;
  readonly asOf: string;
  readonly standings: Standings | null;
  /** Segments of which tests were written since: what each reading counted for is not known of them. */
  readonly tested: ReadonlySet<string>;
}

const known = new WeakMap<Fleet, Before>();

/**
 * For what is shown at once: the standings of the day, or those from before the last changes while new ones are being
 * made, where the host says that a window may show them. `segmentId` names the one segment that is shown with its tests.
 */
export function shownStandings(desk: Desk, asOf: string, segmentId?: string): Standings {
  const kept = keptStandings(desk, asOf);
  if (kept || !desk.showsBefore) return kept ?? standingsFor(desk, asOf);
  const before = standingsBefore(desk, asOf);
  const usable = before.standings && !(segmentId !== undefined && before.tested.has(segmentId));
  return usable ? before.standings : standingsFor(desk, asOf);
}

/** The same for what can do without: null where there are none. */
export const shownStandingsOrNone = (desk: Desk, asOf: string): Standings | null =>
  keptStandings(desk, asOf) ?? (desk.showsBefore ? standingsBefore(desk, asOf).standings : null);

/** Whether what is shown is from before the last changes; quick where it is not. */
export const isShownBefore = (desk: Desk, asOf: string): boolean =>
  desk.showsBefore === true && !areStandingsKept(desk, asOf) && standingsBefore(desk, asOf).standings !== null;

function standingsBefore(desk: Desk, asOf: string): Before {
  const { fleet } = desk;
  const revision = standingsRevision(fleet);
  const here = known.get(fleet);
  if (here?.revision === revision && here.asOf === asOf) return here;
  const earlier = earlierStandings(desk, asOf);
  const tested = earlier && testedSince(fleet, earlier.revision);
  const before: Before = {
    revision,
    asOf,
    standings: tested && fitting(desk, earlier, tested),
    tested: tested ?? new Set(),
  };
  known.set(fleet, before);
  return before;
}

/** The segments of which tests were written since; null where segments are others, or ordered otherwise, or it is too much. */
function testedSince(fleet: Fleet, since: number): Set<string> | null {
  const kinds = writtenSince(fleet, since).filter(({ entity }) => entity === 'segment' || entity === 'test_event');
  if (kinds.some(({ bytes }) => bytes > mostWritten * entryBytes)) return null;
  const ownerId = recordColumns.segment.indexOf('owner_id');
  const before = Map.groupBy(changedSince(fleet, since, 'segment'), (change) => change.id);
  for (const id of idsSince(fleet, since, 'segment')) {
    const now = recordById(fleet, 'segment', id)?.owner_id;
    const versions = before.get(id);
    if (!versions?.every((change) => (JSON.parse(change.before) as unknown[])[ownerId] === now)) return null;
  }
  const tested = new Set<string>();
  for (const id of idsSince(fleet, since, 'test_event'))
    for (const segment of segmentsToldOf(fleet, 'test_event', id)) tested.add(segment);
  const at = recordColumns.test_event.indexOf('segment_id');
  for (const change of changedSince(fleet, since, 'test_event'))
    tested.add((JSON.parse(change.before) as string[])[at]!);
  return tested;
}

/** No phase is named high where the readings it is told by are not those of then. */
function fitting(desk: Desk, standings: Standings, tested: ReadonlySet<string>): Standings {
  const { ordinalById } = frameOf(desk.fleet);
  const phaseLevel = standings.phaseLevel.slice();
  for (const id of tested) phaseLevel.fill(0, 3 * ordinalById.get(id)!, 3 * ordinalById.get(id)! + 3);
  // Columns that are not read yet are left so.
  return Object.create(standings, { phaseLevel: { value: phaseLevel, enumerable: true } });
}

import type { OutputOf } from '../contract/asks/index.ts';
import { assetCounts, eventTally, inService, testSpan } from '../store/browse.ts';
import type { Fleet } from '../store/sql.ts';
import type { Desk } from './desk.ts';
import { isKept, keep, keptKind, keptNow, revisionFor } from './kept-answers.ts';

type FleetTotals = Pick<
  OutputOf<'fleet.info'>,
  'counts' | 'segmentsInService' | 'lengthKm' | 'firstTestOn' | 'lastTestOn'
>;

/** What is counted of a whole fleet: two million readings are not counted anew for every window that opens. */
export interface FleetSums extends FleetTotals {
  readonly revision: number;
  /** Where counting goes on: the last test event counted, and how many were superseded by then. */
  readonly lastRow: number;
  readonly events: number;
  readonly superseded: number;
  /** Those of superseded tests among them. */
  readonly readings: number;
}

const kind = keptKind({
  name: 'fleet sums, edition 3',
  passesOver: [
    'source_file',
    'trace',
    'person',
    'leakage_limit',
    'policy',
    'excuse',
    'cost',
    'finding_verdict',
    'treatment',
    'plan',
    'layout',
  ],
});
const inMemory = new WeakMap<Fleet, FleetSums>();

/** The sums of the fleet as it is now: from memory, as kept in the file, or counted. */
export function fleetSums(fleet: Fleet): FleetSums {
  const before = inMemory.get(fleet);
  if (before?.revision === revisionFor(fleet, kind)) return before;
  // One transaction: all of it is counted of one and the same revision.
  const sums = fleet.raw.transaction(() => {
    const revision = revisionFor(fleet, kind);
    return (before ? null : kept(fleet, revision)) ?? countedOn(fleet, revision, before ?? none);
  })();
  inMemory.set(fleet, sums);
  return sums;
}

/** Keeps the sums in the file for whoever opens it next. */
export function keepSums(desk: Desk): void {
  const { fleet } = desk;
  const sums = fleetSums(fleet);
  if (!isKept(fleet, kind, '')) keep(desk, kind, '', sums.revision, () => Buffer.from(JSON.stringify(sums)));
}

const none = { lastRow: 0, events: 0, superseded: 0, readings: 0, firstTestOn: null, lastTestOn: null };

function kept(fleet: Fleet, revision: number): FleetSums | null {
  const row = keptNow(fleet, kind, '');
  return row ? { ...(JSON.parse(Buffer.from(row.bytes).toString('utf8')) as FleetSums), revision } : null;
}

/** Test events and readings are only ever added: those after the last count are counted on to it. */
function countedOn(
  fleet: Fleet,
  revision: number,
  before: Pick<FleetSums, 'lastRow' | 'events' | 'superseded' | 'readings' | 'firstTestOn' | 'lastTestOn'>,
): FleetSums {
  const more = eventTally(fleet, before.lastRow);
  const events = before.events + more.events;
  const readings = before.readings + more.readings;
  const { superseded, lastRow } = more;
  // A correction may have taken the first or the last day away.
  const span = superseded === before.superseded ? joined(before, testSpan(fleet, before.lastRow)) : testSpan(fleet);
  const counts = {
    ...assetCounts(fleet),
    testEvents: events - superseded,
    readings: readings - more.supersededReadings,
  };
  const { segments, lengthM } = inService(fleet);
  return {
    revision,
    lastRow,
    events,
    superseded,
    readings,
    counts,
    segmentsInService: segments,
    lengthKm: lengthM / 1000,
    ...span,
  };
}

type Span = Pick<FleetSums, 'firstTestOn' | 'lastTestOn'>;

function joined(a: Span, b: Span): Span {
  const days = (list: readonly (string | null)[]) => list.filter((day) => day !== null).sort();
  return {
    firstTestOn: days([a.firstTestOn, b.firstTestOn])[0] ?? null,
    lastTestOn: days([a.lastTestOn, b.lastTestOn]).at(-1) ?? null,
  };
}

/** The end of a period, or the last test on record before it: what is said of its tests alone is the same on any later day. */
export function lastTestIn(fleet: Fleet, to: string): string {
  const { lastTestOn } = fleetSums(fleet);
  return lastTestOn !== null && lastTestOn < to ? lastTestOn : to;
}

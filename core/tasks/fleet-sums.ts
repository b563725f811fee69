import type { OutputOf } from '../contract/asks/index.ts';
import { keptDigest } from '../evidence/kept-digest.ts';
import { assetCounts, eventTally, inService, testSpan } from '../store/browse.ts';
import { keepAnswer, keptAnswer } from '../store/kept.ts';
import { revisionOf } from '../store/ledger.ts';
import type { Fleet } from '../store/sql.ts';
import type { Desk } from './desk.ts';

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

const name = 'fleet sums, edition 3';
const inMemory = new WeakMap<Fleet, FleetSums>();

/** The sums of the fleet as it is now: from memory, as kept in the file, or counted. */
export function fleetSums(fleet: Fleet): FleetSums {
  const before = inMemory.get(fleet);
  if (before?.revision === revisionOf(fleet)) return before;
  // One transaction: all of it is counted of one and the same revision.
  const sums = fleet.raw.transaction(() => {
    const revision = revisionOf(fleet);
    return (before ? null : kept(fleet, revision)) ?? countedOn(fleet, revision, before ?? none);
  })();
  inMemory.set(fleet, sums);
  return sums;
}

/** Keeps the sums in the file for whoever opens it next. */
export function keepSums(desk: Desk): void {
  const { fleet } = desk;
  const sums = fleetSums(fleet);
  if (fleet.readOnly || kept(fleet, sums.revision)) return;
  const bytes = Buffer.from(JSON.stringify(sums));
  const answer = { name, asked: '', revision: sums.revision, madeAt: desk.now(), bytes };
  keepAnswer(fleet, { ...answer, digest: keptDigest(answer) });
}

const none = { lastRow: 0, events: 0, superseded: 0, readings: 0, firstTestOn: null, lastTestOn: null };

function kept(fleet: Fleet, revision: number): FleetSums | null {
  const row = keptAnswer(fleet, name, '', revision);
  return row ? (JSON.parse(Buffer.from(row.bytes).toString('utf8')) as FleetSums) : null;
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

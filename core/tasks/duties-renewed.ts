import { dutiesOf } from '../evidence/compliance.ts';
import { dayNumber } from '../evidence/due.ts';
import { entryBytes } from '../evidence/record-list.ts';
import { changedSince, excusesOf, lastTestOn, segmentsToldOf, testsOfSegment, writtenSince } from '../store/duties.ts';
import { recordColumns } from '../store/record-columns.ts';
import { recordById } from '../store/records.ts';
import { areaLife, areaLives } from '../store/retest.ts';
import type { Fleet } from '../store/sql.ts';
import type { Entity } from '../store/tables.ts';
import type { Desk } from './desk.ts';
import { DutyWriter } from './duties-made.ts';
import { type Duties, positionsOf, segmentAt, segmentsIn } from './duty-columns.ts';
import { lifeOf, untilDay } from './life-of.ts';
import { retestRules } from './policies.ts';
import { resultsOfOne } from './test-results.ts';
import { idsSince } from './written-since.ts';

/** Where more records were written since, all is counted anew. */
const mostRecords = 2000;

/** Records that tell when a test of one segment is due. */
const telling = ['test_event', 'trace', 'excuse', 'intervention'] as const satisfies readonly Entity[];
/** Records that tell how segments are ordered and called, or what they are. */
const placing: ReadonlySet<Entity> = new Set<Entity>(['substation', 'feeder', 'segment']);
/** Records that no due day depends on. Of a kind that is in none of these lists, or of a rule, all is counted anew. */
export const besideDuties = [
  'splice',
  'termination',
  'failure',
  'instrument',
  'calibration',
  'source_file',
  'person',
  'cost',
  'finding_verdict',
  'treatment',
  'plan',
  'layout',
] as const satisfies readonly Entity[];
const indifferent: ReadonlySet<Entity> = new Set<Entity>(besideDuties);

interface Written {
  readonly segments: ReadonlySet<string>;
  /** Segments may be others, or called or ordered otherwise. */
  readonly places: boolean;
}

/** The segments of which the ledger's lines since a revision tell something; null where it is quicker or safer to count all anew. */
function writtenOf(fleet: Fleet, since: number): Written | null {
  const kinds = writtenSince(fleet, since).filter(({ entity }) => !indifferent.has(entity));
  if (kinds.some(({ entity }) => !placing.has(entity) && !telling.some((one) => one === entity))) return null;
  if (kinds.reduce((sum, { bytes }) => sum + bytes / entryBytes, 0) > mostRecords) return null;
  const segments = new Set<string>();
  for (const { entity } of kinds)
    for (const id of idsSince(fleet, since, entity))
      for (const segment of entity === 'segment' ? [id] : segmentsToldOf(fleet, entity, id)) segments.add(segment);
  for (const entity of telling)
    for (const { before } of changedSince(fleet, since, entity)) {
      const was = segmentThen(fleet, entity, JSON.parse(before) as string[]);
      if (was !== null) segments.add(was);
    }
  return { segments, places: kinds.some(({ entity }) => placing.has(entity)) && placesChanged(fleet, since) };
}

/** The segment that a record told of before it was changed. */
function segmentThen(fleet: Fleet, entity: (typeof telling)[number], content: readonly string[]): string | null {
  if (entity !== 'trace') return content[(recordColumns[entity] as readonly string[]).indexOf('segment_id')]!;
  return recordById(fleet, 'test_event', content[recordColumns.trace.indexOf('test_event_id')]!)?.segment_id ?? null;
}

/** What a segment is ordered by; the rest of its record moves nothing in the list. */
const ordering = ['owner_id', 'feeder_id', 'name'] as const;

function placesChanged(fleet: Fleet, since: number): boolean {
  const before = new Map<string, unknown[][]>();
  for (const entity of ['substation', 'feeder'] as const) if (!idsSince(fleet, since, entity).next().done) return true;
  for (const change of changedSince(fleet, since, 'segment')) {
    const own = before.get(change.id) ?? [];
    own.push(JSON.parse(change.before) as unknown[]);
    before.set(change.id, own);
  }
  for (const id of idsSince(fleet, since, 'segment')) {
    const versions = before.get(id);
    const now = recordById(fleet, 'segment', id);
    if (!versions || !now) return true;
    for (const column of ordering) {
      const at = recordColumns.segment.indexOf(column);
      if (versions.some((version) => version[at] !== now[column])) return true;
    }
  }
  return false;
}

/** The columns of before, with the segments counted anew of which something was written since; null where all must be. */
export function renewedDuties(desk: Desk, before: Duties, revision: number): Duties | null {
  const { fleet } = desk;
  const written = writtenOf(fleet, before.revision);
  if (!written) return null;
  const { segments, places } = written;
  if (segments.size === 0 && !places) return { ...before, revision };
  const { versions } = retestRules(fleet);
  const writer = new DutyWriter(versions);
  const positions = positionsOf(before);
  let lastTestDay = before.lastTestDay;
  const anew = (id: string): void => {
    const life = areaLife(fleet, id)!;
    const days = testsOfSegment(fleet, id, untilDay(before.upTo)).map(([day]) => day);
    const results = resultsOfOne(fleet, id, versions, untilDay(before.upTo));
    writer.add(life, days, dutiesOf(lifeOf(life), days, versions, excusesOf(fleet, id), results));
  };
  for (const id of segments) {
    const last = lastTestOn(fleet, id);
    if (last !== null) lastTestDay = Math.max(lastTestDay, dayNumber(last));
  }
  if (places)
    for (const life of areaLives(fleet)) {
      const position = positions.get(life.id);
      if (segments.has(life.id) || position === undefined) anew(life.id);
      else writer.copy(life.id, life, before, position);
    }
  else
    for (let p = 0; p < segmentsIn(before); p++) {
      const id = segmentAt(before, p);
      if (segments.has(id)) anew(id);
      else writer.copy(id, before.places[before.place[p]!]!, before, p);
    }
  return { revision, upTo: before.upTo, ...writer.written(), lastTestDay };
}

import type { ExcuseRow } from './compliance.ts';
import { counted } from './retest.ts';
import { type Fleet, prepared } from './sql.ts';
import type { Entity } from './tables.ts';

/** Days up to one on which each segment was tested, ascending; a test counts where at least one of its readings was not broken off. */
export function testDaysBySegment(fleet: Fleet, upTo: string): Map<string, string[]> {
  const days = new Map<string, string[]>();
  const rows = prepared(
    fleet,
    `select e.segment_id, e.tested_on from test_event e where e.tested_on <= ? and ${counted}
     order by e.segment_id, e.tested_on`,
  )
    .raw()
    .iterate(upTo) as IterableIterator<[string, string]>;
  let last = '';
  let own: string[] = [];
  for (const [segmentId, day] of rows) {
    if (segmentId !== last) {
      own = [];
      last = segmentId;
      days.set(segmentId, own);
    }
    own.push(day);
  }
  return days;
}

/** The same tests of one segment, with their owner's ids: in the order of the register. */
export const testsOfSegment = (fleet: Fleet, segmentId: string, upTo: string): [testedOn: string, ownerId: string][] =>
  prepared(
    fleet,
    `select e.tested_on, e.owner_id from test_event e where e.segment_id = ? and e.tested_on <= ? and ${counted}
     order by e.tested_on, e.owner_id`,
  )
    .raw()
    .all(segmentId, upTo) as [string, string][];

/** Excuses of one segment with who gave them and when. */
export const excusesOf = (fleet: Fleet, segmentId: string): ExcuseRow[] =>
  prepared(
    fleet,
    `select x.segment_id as segmentId, x.due_on as dueOn, x.until, x.reason, l.who as by, l.at
     from excuse x join ledger l on l.seq = x.ledger_seq where x.segment_id = ? order by x.due_on, x.id`,
  ).all(segmentId) as ExcuseRow[];

const segmentsOf: Partial<Record<Entity, string>> = {
  // A correction may take the test away from another segment.
  test_event: `select segment_id from test_event where id = :id
     union select o.segment_id from test_event e join test_event o on o.id = e.supersedes_id where e.id = :id`,
  trace: 'select e.segment_id from trace t join test_event e on e.id = t.test_event_id where t.id = :id',
  excuse: 'select segment_id from excuse where id = :id',
  intervention: 'select segment_id from intervention where id = :id',
};

/** The segments that a record tells something of; none where its kind tells nothing of when a test is due. */
export function segmentsToldOf(fleet: Fleet, entity: Entity, id: string): string[] {
  const text = segmentsOf[entity];
  return text === undefined ? [] : (prepared(fleet, text).pluck().all({ id }) as string[]);
}

/** How many bytes the lists of records take that lines after one have written, by kind of record. */
export const writtenSince = (fleet: Fleet, seq: number): { entity: Entity; bytes: number }[] =>
  prepared(fleet, 'select entity, sum(length(entries)) as bytes from ledger_list where seq > ? group by entity').all(
    seq,
  ) as { entity: Entity; bytes: number }[];

export const listsSince = (fleet: Fleet, seq: number, entity: Entity): Uint8Array[] =>
  prepared(fleet, 'select entries from ledger_list where seq > ? and entity = ?')
    .pluck()
    .all(seq, entity) as Uint8Array[];

/** What records of a kind were before lines after one changed them. */
export const changedSince = (fleet: Fleet, seq: number, entity: Entity): { id: string; before: string }[] =>
  prepared(fleet, 'select entity_id as id, before from ledger_change where seq > ? and entity = ?').all(
    seq,
    entity,
  ) as { id: string; before: string }[];

/** The day of the last test of a segment that stands, done or broken off. */
export const lastTestOn = (fleet: Fleet, segmentId: string): string | null =>
  prepared(fleet, 'select max(tested_on) from test_event where segment_id = ? and superseded_by_id is null')
    .pluck()
    .get(segmentId) as string | null;

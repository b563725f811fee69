import type { Insertable } from 'kysely';
import { planItemColumns, readingColumns, recordColumns } from './record-columns.ts';
import { type Fleet, prepared } from './sql.ts';
import type { Entity, PlanItemTable, ReadingTable, RecordMark, RecordTables } from './tables.ts';

/** A record as it is written: all its columns but the mark. */
export type RecordOf<E extends Entity> = Omit<RecordTables[E], keyof RecordMark>;
/** Any record as it is read back, its columns by name. */
export type AnyRow = { readonly [column: string]: unknown };

/** Columns of the table beyond those in the digest. */
const beyond: { readonly [E in Entity]?: readonly string[] } = {
  test_event: ['superseded_by_id'],
};

const columnsOf = (entity: Entity): readonly string[] => [...recordColumns[entity], ...(beyond[entity] ?? [])];

function insertText(entity: Entity): string {
  const columns = [...columnsOf(entity), 'ledger_seq', 'digest'];
  return `insert into ${entity} (${columns.join(', ')}) values (${columns.map(() => '?').join(', ')})`;
}

/** Adds a record. Its digest must cover `content(entity, row)`. */
export function insertRecord<E extends Entity>(
  fleet: Fleet,
  entity: E,
  row: RecordOf<E>,
  seq: number,
  digest: Uint8Array,
): void {
  const values = columnsOf(entity).map((column) => (row as AnyRow)[column] ?? null);
  prepared(fleet, insertText(entity)).run(...values, seq, digest);
}

/** Rewrites a record by its id; the caller has put what it was into the ledger. */
export function updateRecord<E extends Entity>(
  fleet: Fleet,
  entity: E,
  row: RecordOf<E> & { id: string },
  seq: number,
  digest: Uint8Array,
): void {
  const columns = columnsOf(entity).filter((column) => column !== 'id');
  const text = `update ${entity} set ${columns.map((c) => `${c} = ?`).join(', ')}, ledger_seq = ?, digest = ? where id = ?`;
  const values = columns.map((column) => (row as AnyRow)[column] ?? null);
  const { changes } = prepared(fleet, text).run(...values, seq, digest, row.id);
  if (changes !== 1) throw new Error(`no ${entity} ${row.id} to update`);
}

/** A record with its mark, or undefined. */
export function recordById<E extends Entity>(fleet: Fleet, entity: E, id: string): RecordTables[E] | undefined {
  return prepared(fleet, `select * from ${entity} where id = ?`).get(id) as RecordTables[E] | undefined;
}

/** Every record of a kind, in order of id. */
export const everyRecord = (fleet: Fleet, entity: Entity): IterableIterator<AnyRow & RecordMark> =>
  prepared(fleet, `select * from ${entity} order by id`).iterate() as IterableIterator<AnyRow & RecordMark>;

export function insertReading(fleet: Fleet, row: Insertable<ReadingTable>): void {
  const columns = ['test_event_id', ...readingColumns];
  prepared(fleet, `insert into reading (${columns.join(', ')}) values (${columns.map(() => '?').join(', ')})`).run(
    ...columns.map((column) => (row as AnyRow)[column] ?? null),
  );
}

/** Readings of an event in the order its digest covers: phase, then step. */
export function readingsOfEvent(fleet: Fleet, testEventId: string): ReadingTable[] {
  return prepared(fleet, 'select * from reading where test_event_id = ? order by phase, step').all(
    testEventId,
  ) as ReadingTable[];
}

export function insertPlanItem(fleet: Fleet, row: Insertable<PlanItemTable>): void {
  const columns = ['plan_id', ...planItemColumns];
  prepared(fleet, `insert into plan_item (${columns.join(', ')}) values (${columns.map(() => '?').join(', ')})`).run(
    ...columns.map((column) => (row as AnyRow)[column]),
  );
}

/** Items of a plan in the order its digest covers: by segment. */
export function planItemsOf(fleet: Fleet, planId: string): PlanItemTable[] {
  return prepared(fleet, 'select * from plan_item where plan_id = ? order by segment_id').all(
    planId,
  ) as PlanItemTable[];
}

/** Ids by the owner's own ids, for one kind of record; of test events the current ones. */
export function idsByOwnerId(fleet: Fleet, entity: Entity): Map<string, string> {
  const current = entity === 'test_event' ? ' where superseded_by_id is null' : '';
  const rows = prepared(fleet, `select owner_id, id from ${entity}${current}`).raw().all() as [string, string][];
  return new Map(rows);
}

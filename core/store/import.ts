import { type Fleet, prepared } from './sql.ts';
import {
  type Entity,
  type FleetTable,
  type LeakageLimitTable,
  type RecordTables,
  readingColumns,
  recordColumns,
} from './tables.ts';

/** Writing many records at speed: values by position, in the order of `recordColumns` and `readingColumns`. */

export type Cell = string | number | null | Uint8Array;

const marks = (count: number) => new Array(count).fill('?').join(', ');

/** Adds a record whose values stand in the order of `recordColumns[entity]`, its id first. */
export function recordAdder(fleet: Fleet, entity: Exclude<Entity, 'source_file'>) {
  const columns = [...recordColumns[entity], 'ledger_seq', 'digest'];
  const add = prepared(fleet, `insert into ${entity} (${columns.join(', ')}) values (${marks(columns.length)})`);
  return (values: readonly Cell[], seq: number, digest: Uint8Array): void => {
    add.run(values, seq, digest);
  };
}

/** Adds a reading whose values stand in the order of `readingColumns`. */
export function readingAdder(fleet: Fleet) {
  const columns = ['test_event_id', ...readingColumns];
  const add = prepared(fleet, `insert into reading (${columns.join(', ')}) values (${marks(columns.length)})`);
  return (testEventId: string, values: readonly Cell[]): void => {
    add.run(testEventId, values);
  };
}

export const holdsAny = (fleet: Fleet, entity: Entity): boolean =>
  prepared(fleet, `select 1 from ${entity} limit 1`).get() !== undefined;

/** The record with the owner's id, or undefined. */
export function recordByOwnerId<E extends Exclude<Entity, 'test_event' | 'leakage_limit'>>(
  fleet: Fleet,
  entity: E,
  ownerId: string,
): RecordTables[E] | undefined {
  return prepared(fleet, `select * from ${entity} where owner_id = ?`).get(ownerId) as RecordTables[E] | undefined;
}

export function limitFor(fleet: Fleet, insulation: string): LeakageLimitTable | undefined {
  return prepared(fleet, 'select * from leakage_limit where insulation = ?').get(insulation) as
    | LeakageLimitTable
    | undefined;
}

export interface EventMark {
  readonly id: string;
  readonly purpose: string | null;
  readonly source_file_id: string | null;
  readonly supersedes_id: string | null;
  readonly digest: Uint8Array;
}

/** The event now in force under the owner's id, or undefined. */
export function currentEvent(fleet: Fleet, ownerId: string): EventMark | undefined {
  return prepared(
    fleet,
    `select id, purpose, source_file_id, supersedes_id, digest from test_event
     where owner_id = ? and superseded_by_id is null`,
  ).get(ownerId) as EventMark | undefined;
}

/** Marks an event as superseded by one about to be added. */
export function supersede(fleet: Fleet, oldId: string, newId: string): void {
  prepared(fleet, 'update test_event set superseded_by_id = ? where id = ? and superseded_by_id is null').run(
    newId,
    oldId,
  );
}

/** Lets a record refer to one added later in the same transaction; its end still checks all. */
export function referLater(fleet: Fleet): void {
  fleet.raw.pragma('defer_foreign_keys = ON');
}

export const utilityNameOf = (fleet: Fleet): string | null =>
  (prepared(fleet, 'select utility_name from fleet').pluck().get() as string | undefined) ?? null;

/** The one row of the fleet itself, made at the first write. */
export function nameFleet(fleet: Fleet, row: Omit<FleetTable, 'only'>): void {
  prepared(fleet, 'insert into fleet (only, fleet_id, utility_name, created_at) values (1, ?, ?, ?)').run(
    row.fleet_id,
    row.utility_name,
    row.created_at,
  );
}

import type Database from 'better-sqlite3';
import { readingColumns, recordColumns } from './record-columns.ts';
import { type Fleet, prepared } from './sql.ts';
import type { Entity, FleetTable, LeakageLimitTable, RecordTables } from './tables.ts';

/** Writing many records at speed: values by position, in the order of `recordColumns` and `readingColumns`. */

export type Cell = string | number | null | Uint8Array;

/** Rows that one statement adds: its set-up (a list of values in a check is one) is then paid once for all of them. */
const rowsAtOnce = 32;

/** Adds rows of a table, many at a time: what was added may wait until `flush`. */
export class RowAdder {
  readonly #width: number;
  readonly #one: Database.Statement;
  readonly #many: Database.Statement;
  readonly #waiting: Cell[];
  #filled = 0;

  constructor(fleet: Fleet, table: string, columns: readonly string[]) {
    const row = `(${columns.map(() => '?').join(', ')})`;
    const text = `insert into ${table} (${columns.join(', ')}) values `;
    this.#width = columns.length;
    this.#one = prepared(fleet, text + row);
    this.#many = prepared(fleet, text + new Array(rowsAtOnce).fill(row).join(', '));
    this.#waiting = new Array(this.#width * rowsAtOnce).fill(null);
  }

  /** One row, in two parts. True once so many wait that `flush` should be called; at that point it must be. */
  add(head: readonly Cell[], tail: readonly Cell[]): boolean {
    for (let i = 0; i < head.length; i++) this.#waiting[this.#filled++] = head[i]!;
    for (let i = 0; i < tail.length; i++) this.#waiting[this.#filled++] = tail[i]!;
    return this.#filled === this.#waiting.length;
  }

  flush(): void {
    if (this.#filled === this.#waiting.length) this.#many.run(this.#waiting);
    else
      for (let at = 0; at < this.#filled; at += this.#width) this.#one.run(this.#waiting.slice(at, at + this.#width));
    this.#filled = 0;
  }
}

/** Adds records: values in the order of `recordColumns[entity]`, its id first; then ledger line and digest. */
export const recordAdder = (fleet: Fleet, entity: Exclude<Entity, 'source_file'>): RowAdder =>
  new RowAdder(fleet, entity, [...recordColumns[entity], 'ledger_seq', 'digest']);

/** Adds readings: the event's id; then values in the order of `readingColumns`. */
export const readingAdder = (fleet: Fleet): RowAdder =>
  new RowAdder(fleet, 'reading', ['test_event_id', ...readingColumns]);

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

/**
 * Puts an event out of force and runs `add`, which adds the one that supersedes it. In between the old event points to
 * itself: a reference to a row not there yet would have SQLite search all events for each one added.
 */
export function supersede(fleet: Fleet, oldId: string, newId: string, add: () => void): void {
  const point = prepared(fleet, 'update test_event set superseded_by_id = ? where id = ?');
  point.run(oldId, oldId);
  add();
  point.run(newId, oldId);
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

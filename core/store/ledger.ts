import { type Fleet, first, prepared, run, sqlite } from './sql.ts';
import type { Entity, FleetTable, LedgerTable } from './tables.ts';

/** The fleet's own row, or undefined in a fleet that has not been named. */
export function fleetName(fleet: Fleet): FleetTable | undefined {
  return prepared(fleet, 'select * from fleet').get() as FleetTable | undefined;
}

/** The fleet's revision: the number of its last ledger line, 0 for an empty fleet. */
export function revisionOf(fleet: Fleet): number {
  const row = prepared(fleet, 'select max(seq) as seq from ledger').get() as { seq: number | null };
  return row.seq ?? 0;
}

export interface LedgerHead {
  readonly seq: number;
  readonly hash: Uint8Array;
  readonly at: string;
}

export function ledgerHead(fleet: Fleet): LedgerHead | undefined {
  return first(fleet, sqlite.selectFrom('ledger').select(['seq', 'hash', 'at']).orderBy('seq', 'desc').limit(1));
}

export function addLedgerLine(fleet: Fleet, line: LedgerTable): void {
  run(fleet, sqlite.insertInto('ledger').values(line));
}

export function addLedgerChange(
  fleet: Fleet,
  seq: number,
  entity: Entity,
  id: string,
  before: { content: string; seq: number; digest: Uint8Array },
): void {
  run(
    fleet,
    sqlite.insertInto('ledger_change').values({
      seq,
      entity,
      entity_id: id,
      before: before.content,
      before_seq: before.seq,
      before_digest: before.digest,
    }),
  );
}

/** Entries of a line's list of records, in parts small enough to read one at a time. */
export function addLedgerList(fleet: Fleet, seq: number, part: number, entity: Entity, entries: Uint8Array): void {
  run(fleet, sqlite.insertInto('ledger_list').values({ seq, part, entity, entries }));
}

export interface LedgerFilter {
  readonly who?: string | undefined;
  readonly what?: string | undefined;
  readonly entity?: string | undefined;
  readonly id?: string | undefined;
  /** Days, both included. */
  readonly from?: string | undefined;
  readonly to?: string | undefined;
}

/** Where-clause and values; `entity` and `id` find lines that name the record and lines that changed it among many. */
function filtered(filter: LedgerFilter): { where: string; values: (string | number)[] } {
  const parts: string[] = [];
  const values: (string | number)[] = [];
  const put = (text: string, ...more: (string | number)[]) => {
    parts.push(text);
    values.push(...more);
  };
  if (filter.who) put('l.who = ?', filter.who);
  if (filter.what) put('l.what = ?', filter.what);
  if (filter.from) put('l.at >= ?', filter.from);
  if (filter.to) put('l.at < date(?, ?)', filter.to, '+1 day');
  if (filter.id)
    put(
      '(l.entity_id = ? or l.seq in (select c.seq from ledger_change c where c.entity_id = ?))',
      filter.id,
      filter.id,
    );
  if (filter.entity)
    put(
      '(l.entity = ? or l.seq in (select t.seq from ledger_list t where t.entity = ?))',
      filter.entity,
      filter.entity,
    );
  return { where: parts.length === 0 ? 'true' : parts.join(' and '), values };
}

export interface LedgerRow {
  readonly seq: number;
  readonly at: string;
  readonly who: string;
  readonly what: string;
  readonly entity: string | null;
  readonly entityId: string | null;
  readonly before: string | null;
  readonly after: string | null;
  readonly why: string | null;
  readonly hash: Uint8Array;
  /** Records the line wrote. */
  readonly records: number;
  /** Records the line changed. */
  readonly changed: number;
}

const shown = `select l.seq, l.at, l.who, l.what, l.entity, l.entity_id as entityId, l.before, l.after, l.why, l.hash,
  (select coalesce(sum(length(t.entries)), 0) / 24 from ledger_list t where t.seq = l.seq) as records,
  (select count(*) from ledger_change c where c.seq = l.seq) as changed from ledger l`;

/** Lines that a filter leaves, newest first, below line `before`. */
export function ledgerPage(fleet: Fleet, filter: LedgerFilter, before: number, count: number): LedgerRow[] {
  const { where, values } = filtered(filter);
  const text = `${shown} where ${where} and l.seq < ? order by l.seq desc limit ?`;
  return prepared(fleet, text).all(...values, before, count) as LedgerRow[];
}

/** Lines that a filter leaves, oldest first, one at a time. */
export function ledgerRows(fleet: Fleet, filter: LedgerFilter): IterableIterator<LedgerRow> {
  const { where, values } = filtered(filter);
  return fleet.raw.prepare(`${shown} where ${where} order by l.seq`).iterate(...values) as IterableIterator<LedgerRow>;
}

export function ledgerCount(fleet: Fleet, filter: LedgerFilter): number {
  const { where, values } = filtered(filter);
  return prepared(fleet, `select count(*) from ledger l where ${where}`)
    .pluck()
    .get(...values) as number;
}

export function ledgerChoices(fleet: Fleet): { who: string[]; what: string[]; entities: string[] } {
  const list = (text: string) => prepared(fleet, text).pluck().all() as string[];
  return {
    who: list('select distinct who from ledger order by who limit 500'),
    what: list('select distinct what from ledger order by what limit 500'),
    entities: list('select distinct entity from ledger_list order by entity'),
  };
}

export interface VersionRow {
  readonly entity: string;
  readonly id: string;
  /** The record's content as a JSON array, in the order of `recordColumns`. */
  readonly content: string;
  /** The line that wrote this version, and the line that ended it. */
  readonly writtenBy: number;
  readonly endedBy: number;
}

const versions = `select entity, entity_id as id, before as content, before_seq as writtenBy, seq as endedBy from ledger_change`;

/** Earlier versions that a line ended; the first `count` of them. */
export function versionsEndedBy(fleet: Fleet, seq: number, count: number): VersionRow[] {
  return prepared(fleet, `${versions} where seq = ? limit ?`).all(seq, count) as VersionRow[];
}

/** Earlier versions of one record, oldest first. */
export function versionsOf(fleet: Fleet, entity: string, id: string): VersionRow[] {
  return prepared(fleet, `${versions} where entity = ? and entity_id = ? order by seq`).all(entity, id) as VersionRow[];
}

export function ledgerRow(fleet: Fleet, seq: number): LedgerRow | undefined {
  return prepared(fleet, `${shown} where l.seq = ?`).get(seq) as LedgerRow | undefined;
}

/** A whole line as the bag carries it, oldest first, with the blobs. */
export function wholeLines(fleet: Fleet): IterableIterator<LedgerTable> {
  return fleet.raw.prepare('select * from ledger order by seq').iterate() as IterableIterator<LedgerTable>;
}

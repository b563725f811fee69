import { all, type Fleet, first, prepared, run, sqlite } from './sql.ts';
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

/** Lines about one record, oldest first: those that name it and those that changed it among many. */
export function ledgerLinesOf(fleet: Fleet, entity: Entity, id: string) {
  return all(
    fleet,
    sqlite
      .selectFrom('ledger')
      .leftJoin('ledger_change', (join) =>
        join
          .onRef('ledger_change.seq', '=', 'ledger.seq')
          .on('ledger_change.entity', '=', entity)
          .on('ledger_change.entity_id', '=', id),
      )
      .where((where) =>
        where.or([
          where.and([where('ledger.entity', '=', entity), where('ledger.entity_id', '=', id)]),
          where('ledger_change.seq', 'is not', null),
        ]),
      )
      .select([
        'ledger.seq as seq',
        'ledger.at as at',
        'ledger.who as who',
        'ledger.what as what',
        'ledger.before as before',
        'ledger.after as after',
        'ledger.why as why',
        'ledger_change.before as changedFrom',
      ])
      .orderBy('ledger.seq'),
  );
}

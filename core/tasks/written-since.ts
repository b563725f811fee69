import { entryBytes, idText } from '../evidence/record-list.ts';
import { listsSince } from '../store/duties.ts';
import type { Fleet } from '../store/sql.ts';
import type { Entity } from '../store/tables.ts';

/** The records of a kind that the ledger's lines after one have written. */
export function* idsSince(fleet: Fleet, seq: number, entity: Entity): Generator<string> {
  for (const entries of listsSince(fleet, seq, entity))
    for (let at = 0; at + entryBytes <= entries.length; at += entryBytes) yield idText(entries.subarray(at, at + 16));
}

import { all, type Fleet, prepared, run, sqlite } from './sql.ts';
import type { SignatureTable } from './tables.ts';

export function signatures(fleet: Fleet): SignatureTable[] {
  return all(fleet, sqlite.selectFrom('signature').selectAll().orderBy('seq').orderBy('public_key'));
}

export function addSignature(fleet: Fleet, row: SignatureTable): void {
  run(fleet, sqlite.insertInto('signature').values(row));
}

/** Ledger lines that say that a head was signed: their number and what they say. */
export function signingLines(fleet: Fleet, what: string): { seq: number; after: string | null }[] {
  return prepared(fleet, 'select seq, after from ledger where what = ? order by seq').all(what) as {
    seq: number;
    after: string | null;
  }[];
}

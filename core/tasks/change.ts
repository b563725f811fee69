import { randomUUIDv7 } from 'node:crypto';
import { refuse } from '../contract/problem.ts';
import { canonicalJson, type Json } from '../evidence/canonical.ts';
import { listParts } from '../evidence/line-records.ts';
import { locatorOf } from '../evidence/locator.ts';
import { RecordList, rowsDigest } from '../evidence/record-list.ts';
import { firstPreviousHash, sealHash } from '../evidence/seal.ts';
import { addLedgerChange, addLedgerLine, addLedgerList, fleetName, ledgerHead } from '../store/ledger.ts';
import { type AnyRow, insertRecord, type RecordOf, updateRecord } from '../store/records.ts';
import type { Entity, RecordTables } from '../store/tables.ts';
import { contentOf, digestOf } from './content.ts';
import { type Desk, today } from './desk.ts';
import { editionToTakeUp } from './policies.ts';
import { needRole } from './roles.ts';

export interface ChangeWords {
  /** A verb and its object: 'import', 'edit segment', 'accept finding'. */
  readonly what: string;
  readonly why?: string | undefined;
}

/** One change to the fleet: whatever it writes ends up in one ledger line. */
export class Change {
  readonly desk: Desk;
  readonly seq: number;
  readonly #head: Uint8Array | undefined;
  readonly #lists = new Map<Entity, RecordList>();

  constructor(desk: Desk) {
    this.desk = desk;
    const head = ledgerHead(desk.fleet);
    this.seq = (head?.seq ?? 0) + 1;
    this.#head = head?.hash;
  }

  /** Adds a record under a new id (or the one given), with its parts' content in the digest. */
  add<E extends Entity>(
    entity: E,
    row: Omit<RecordOf<E>, 'id'>,
    parts?: readonly AnyRow[],
    id = randomUUIDv7(),
  ): string {
    const whole = wellFormed({ ...row, id }) as unknown as RecordOf<E>;
    const digest = digestOf(entity, whole as AnyRow, parts);
    insertRecord(this.desk.fleet, entity, whole, this.seq, digest);
    this.wrote(entity, id, digest);
    return id;
  }

  /** Rewrites a record; what it was goes into the ledger first. */
  update<E extends Entity>(
    entity: E,
    before: RecordTables[E] & { id: string },
    after: RecordOf<E> & { id: string },
    parts?: { before: readonly AnyRow[]; after: readonly AnyRow[] },
  ): void {
    addLedgerChange(this.desk.fleet, this.seq, entity, before.id, {
      content: canonicalJson(contentOf(entity, before as unknown as AnyRow, parts?.before)),
      seq: before.ledger_seq,
      digest: before.digest,
    });
    const whole = wellFormed(after) as unknown as RecordOf<E> & { id: string };
    const digest = digestOf(entity, whole as unknown as AnyRow, parts?.after);
    updateRecord(this.desk.fleet, entity, whole, this.seq, digest);
    this.wrote(entity, before.id, digest);
  }

  /** For tasks that insert rows by themselves at speed: says that this change wrote a record. */
  wrote(entity: Entity, id: string, digest: Uint8Array): void {
    let list = this.#lists.get(entity);
    if (!list) {
      list = new RecordList();
      this.#lists.set(entity, list);
    }
    list.add(id, digest);
  }

  get recordsWritten(): number {
    let n = 0;
    for (const list of this.#lists.values()) n += list.count;
    return n;
  }

  /** Writes the ledger line. `about` names the one record a small change is about. */
  seal(words: ChangeWords, about?: { entity: Entity; id: string; before: Json; after: Json }, after?: Json): void {
    for (const [entity, list] of this.#lists) {
      const twice = list.repeated();
      if (twice) throw new Error(`one change wrote ${entity} ${twice} twice`);
    }
    for (const { part, entity, entries } of listParts(this.#lists))
      addLedgerList(this.desk.fleet, this.seq, part, entity as Entity, entries);
    const sorted = [...this.#lists.values()].map((list) => list.sorted());
    const line = {
      seq: this.seq,
      at: this.desk.now(),
      who: this.desk.who.toWellFormed(),
      what: words.what.toWellFormed(),
      entity: about?.entity ?? null,
      entityId: about?.id ?? null,
      before: about?.before ?? null,
      after: about?.after ?? after ?? null,
      why: words.why?.toWellFormed() ?? null,
      rowsDigest: sorted.length > 0 ? rowsDigest(this.#lists) : null,
      rowsLocator: sorted.length > 0 ? locatorOf(sorted) : null,
      previousHash: this.#head ?? firstPreviousHash(fleetName(this.desk.fleet)),
    };
    addLedgerLine(this.desk.fleet, {
      seq: line.seq,
      at: line.at,
      who: line.who,
      what: line.what,
      entity: line.entity,
      entity_id: line.entityId,
      before: line.before === null ? null : canonicalJson(line.before),
      after: line.after === null ? null : canonicalJson(line.after),
      why: line.why,
      rows_digest: line.rowsDigest,
      rows_locator: line.rowsLocator,
      previous_hash: line.previousHash,
      hash: sealHash(line),
    });
  }
}

/** SQLite keeps text as UTF-8, which has no lone surrogates: what is digested must be what will be read back. */
function wellFormed(row: object): AnyRow {
  const values = Object.entries(row).map(([column, v]) => [column, typeof v === 'string' ? v.toWellFormed() : v]);
  return Object.fromEntries(values);
}

/**
 * Runs `work` in one transaction: all of it lands with its ledger line, or nothing does. Where people are named in the
 * fleet, the asker must at least be a recorder.
 */
export function changing<T>(desk: Desk, work: (change: Change) => T): T {
  if (desk.fleet.readOnly) throw refuse('read-only', 'The fleet is open read-only; nothing can be changed.');
  needRole(desk, 'recorder', 'Changing the fleet');
  return desk.fleet.raw
    .transaction(() => {
      takeUpDefault(desk);
      return work(new Change(desk));
    })
    .immediate();
}

/** A newer edition of our default rule holds from the day of the fleet's first change under a program that has it. */
function takeUpDefault(desk: Desk): void {
  const row = editionToTakeUp(desk.fleet, today(desk));
  if (row === null) return;
  const change = new Change(desk);
  const id = change.add('policy', row);
  const why = `This program brings edition ${row.version} of our default rule; due days before ${row.in_force_from} stay.`;
  change.seal({ what: 'take up default rule', why }, { entity: 'policy', id, before: null, after: row });
}

// 0002: who changed what, when and why, chained so that a later change to the past shows.
import { type Kysely, sql } from 'kysely';

const statements = [
  `create table person (
    id text primary key not null check (length(id) = 36),
    name text not null unique,
    role text not null check (role in ('reader', 'recorder', 'approver')),
    left_on text check (left_on is null or left_on is date(left_on)),
    ledger_seq integer not null check (ledger_seq > 0),
    digest blob not null check (length(digest) = 32)
  ) strict`,
  // rows_digest: SHA-256 over ids and digests of all records the line wrote, in a fixed order.
  // rows_locator: three sums over the same, which name the one record that no longer agrees with the rest.
  `create table ledger (
    seq integer primary key check (seq > 0),
    at text not null,
    who text not null,
    what text not null,
    entity text,
    entity_id text,
    before text check (before is null or json_valid(before)),
    after text check (after is null or json_valid(after)),
    why text,
    rows_digest blob check (rows_digest is null or length(rows_digest) = 32),
    rows_locator blob check ((rows_locator is null) = (rows_digest is null) and length(rows_locator) = 12),
    previous_hash blob not null check (length(previous_hash) = 32),
    hash blob not null unique check (length(hash) = 32)
  ) strict`,
  'create index ledger_by_entity on ledger (entity, entity_id) where entity_id is not null',
  // For lines that changed many records: each changed record as it was, and the line that had written it.
  `create table ledger_change (
    seq integer not null references ledger(seq) deferrable initially deferred,
    entity text not null,
    entity_id text not null,
    before text not null check (json_valid(before)),
    before_seq integer not null,
    before_digest blob not null check (length(before_digest) = 32),
    primary key (seq, entity, entity_id)
  ) strict, without rowid`,
  'create index ledger_change_by_entity on ledger_change (entity, entity_id)',
  // Which records a line wrote, in order: 16 bytes of id and 8 of digest each, so that a wrong record can be named.
  `create table ledger_list (
    seq integer not null references ledger(seq) deferrable initially deferred,
    part integer not null,
    entity text not null,
    entries blob not null,
    primary key (seq, part)
  ) strict, without rowid`,
  `create table signature (
    seq integer not null references ledger(seq),
    hash blob not null check (length(hash) = 32),
    public_key text not null,
    signature blob not null check (length(signature) = 64),
    signed_at text not null,
    signed_by text not null,
    primary key (seq, public_key)
  ) strict, without rowid`,
  `create trigger ledger_never_changes before update on ledger
    begin select raise(abort, 'a ledger line is never changed'); end`,
  `create trigger ledger_never_shrinks before delete on ledger
    begin select raise(abort, 'a ledger line is never removed'); end`,
  `create trigger reading_never_changes before update on reading
    begin select raise(abort, 'a reading is never changed; a correction supersedes its event'); end`,
  `create trigger reading_never_goes before delete on reading
    begin select raise(abort, 'a reading is never removed; a correction supersedes its event'); end`,
];

export async function up(db: Kysely<unknown>): Promise<void> {
  for (const text of statements) await sql.raw(text).execute(db);
}

// 0003: what the owner decides: limits, retest rules, costs, verdicts on findings, plans; and layouts of files met before.
import { type Kysely, sql } from 'kysely';

const record = `
  ledger_seq integer not null check (ledger_seq > 0),
  digest blob not null check (length(digest) = 32)`;
const id = 'id text primary key not null check (length(id) = 36)';
const json = (column: string) => `${column} text not null check (json_valid(${column}))`;

const statements = [
  `create table leakage_limit (
    ${id},
    insulation text not null unique
      check (insulation in ('PILC', 'HMWPE', 'XLPE', 'TR-XLPE', 'EPR', 'PVC', 'other')),
    limit_ns_per_km real not null check (limit_ns_per_km > 0),
    source text not null,
    set_on text check (set_on is null or set_on is date(set_on)),
    ${record}
  ) strict`,
  // Versions of the owner's rules (retest intervals, horizon): a new version never overwrites an old one.
  `create table policy (
    ${id},
    subject text not null,
    version integer not null check (version > 0),
    in_force_from text not null check (in_force_from is date(in_force_from)),
    ${json('rule')},
    words text not null,
    source text not null,
    ${record},
    unique (subject, version)
  ) strict`,
  `create table excuse (
    ${id},
    segment_id text not null references segment(id),
    due_on text not null check (due_on is date(due_on)),
    until text check (until is null or until is date(until)),
    reason text not null check (length(reason) > 0),
    ${record}
  ) strict`,
  'create index excuse_by_segment on excuse (segment_id, due_on)',
  `create table cost (
    ${id},
    name text not null unique,
    value real not null,
    unit text not null,
    source text not null,
    ${record}
  ) strict`,
  // One verdict a finding; the finding itself is recomputed, its key says what it is about.
  `create table finding_verdict (
    ${id},
    finding_key text not null unique,
    verdict text not null check (verdict in ('accepted', 'dismissed')),
    reason text not null check (length(reason) > 0),
    ${record}
  ) strict`,
  `create table plan (
    ${id},
    name text not null,
    made_at text not null,
    fleet_revision integer not null,
    state text not null check (state in ('draft', 'approved')),
    ${json('options')},
    ${json('result')},
    approved_at text,
    approved_by text,
    ${record},
    check ((state = 'approved') = (approved_at is not null and approved_by is not null))
  ) strict`,
  `create table plan_item (
    plan_id text not null references plan(id),
    segment_id text not null references segment(id),
    year integer not null check (year between 1900 and 2300),
    action text not null,
    cost real not null check (cost >= 0),
    benefit_pv real not null,
    pinned integer not null check (pinned in (0, 1)),
    primary key (plan_id, segment_id)
  ) strict, without rowid`,
  'create index plan_item_by_segment on plan_item (segment_id)',
  `create table layout (
    ${id},
    fingerprint text not null unique,
    subject text not null,
    ${json('layout')},
    ${record}
  ) strict`,
];

export async function up(db: Kysely<unknown>): Promise<void> {
  for (const text of statements) await sql.raw(text).execute(db);
}

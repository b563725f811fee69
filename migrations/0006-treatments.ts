// 0006: a verdict on a finding changes the numbers, so the file keeps what exactly was decided: which readings, and how
// they are taken. A finding is found anew at each look and may be gone by then; what was decided on it must not be.
import { type Kysely, sql } from 'kysely';

const statements = [
  `create table treatment (
    id text primary key not null check (length(id) = 36),
    finding_key text not null unique references finding_verdict(finding_key),
    kind text not null check (length(kind) > 0),
    segment_id text references segment(id),
    instrument_id text references instrument(id),
    what text not null check (json_valid(what)),
    ledger_seq integer not null check (ledger_seq > 0),
    digest blob not null check (length(digest) = 32),
    check ((segment_id is null) <> (instrument_id is null))
  ) strict`,
  'create index treatment_by_segment on treatment (segment_id)',
];

export async function up(db: Kysely<unknown>): Promise<void> {
  for (const text of statements) await sql.raw(text).execute(db);
}

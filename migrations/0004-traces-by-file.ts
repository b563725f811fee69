// 0004: every file that is looked at is asked for the test it already became; without an index that reads all traces.
import { type Kysely, sql } from 'kysely';

export async function up(db: Kysely<unknown>): Promise<void> {
  await sql.raw('create index trace_by_file on trace (source_file_id)').execute(db);
}

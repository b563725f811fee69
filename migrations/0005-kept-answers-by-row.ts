// 0005: a kept answer of a large fleet has a hundred megabytes, and in a table that is its own index, finding one meant
// reading its neighbours whole. What is kept is remade at need.
import { type Kysely, sql } from 'kysely';

const statements = [
  'drop table kept',
  `create table kept (
    name text not null,
    asked text not null,
    revision integer not null,
    made_at text not null,
    digest blob not null check (length(digest) = 32),
    bytes blob not null,
    primary key (name, asked)
  ) strict`,
];

export async function up(db: Kysely<unknown>): Promise<void> {
  for (const statement of statements) await sql.raw(statement).execute(db);
}

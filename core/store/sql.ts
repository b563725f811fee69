import type Database from 'better-sqlite3';
import { type Compilable, DummyDriver, Kysely, SqliteAdapter, SqliteIntrospector, SqliteQueryCompiler } from 'kysely';
import type { Tables } from './tables.ts';

/** An open fleet file. */
export interface Fleet {
  readonly raw: Database.Database;
  readonly file: string;
  readonly readOnly: boolean;
  /** Prepared statements by their SQL. */
  readonly statements: Map<string, Database.Statement>;
}

/** Builds typed SQL and never runs it: `all`, `first` and `run` do, synchronously, inside better-sqlite3's transactions. */
export const sqlite = new Kysely<Tables>({
  dialect: {
    createAdapter: () => new SqliteAdapter(),
    createDriver: () => new DummyDriver(),
    createIntrospector: (db) => new SqliteIntrospector(db),
    createQueryCompiler: () => new SqliteQueryCompiler(),
  },
});

export function prepared(fleet: Fleet, text: string): Database.Statement {
  let statement = fleet.statements.get(text);
  if (!statement) {
    statement = fleet.raw.prepare(text);
    fleet.statements.set(text, statement);
  }
  return statement;
}

/** All rows of a query. */
export function all<Row>(fleet: Fleet, query: Compilable<Row>): Row[] {
  const { sql, parameters } = query.compile();
  return prepared(fleet, sql).all(...parameters) as Row[];
}

/** The first row, or undefined where there is none. */
export function first<Row>(fleet: Fleet, query: Compilable<Row>): Row | undefined {
  const { sql, parameters } = query.compile();
  return prepared(fleet, sql).get(...parameters) as Row | undefined;
}

/** Runs a statement that returns no rows; gives the number of rows it changed. */
export function run(fleet: Fleet, query: Compilable<unknown>): number {
  const { sql, parameters } = query.compile();
  return prepared(fleet, sql).run(...parameters).changes;
}

import { existsSync, statSync } from 'node:fs';
import Database from 'better-sqlite3';
import { Kysely, SqliteDialect } from 'kysely';
import { type Migration, Migrator } from 'kysely/migration';
import { refuse } from '../contract/problem.ts';
import { diskRefusal } from './disk.ts';
import type { Fleet } from './sql.ts';

/** 'CYB1' in ASCII: SQLite's application_id of a fleet file. */
export const applicationId = 0x43594231;

/** Files up to this size are checked whole when opened; larger ones by `verify`. */
const wholeCheckBytes = 64 * 1024 * 1024;

export interface OpenOptions {
  readonly migrations: Readonly<Record<string, Migration>>;
  readonly readOnly?: boolean;
  /** Make the file when it is missing. */
  readonly create?: boolean;
}

/**
 * Opens a fleet file, bringing an older one up to date.
 * Refuses: a missing file, another application's file, a newer schema (names the version needed), a broken file.
 */
export async function openFleet(file: string, options: OpenOptions): Promise<Fleet> {
  const readOnly = options.readOnly ?? false;
  if (file !== ':memory:' && !existsSync(file) && (readOnly || !options.create))
    throw refuse('not-found', `There is no fleet file ${file}.`, { where: file });
  const raw = connect(file, readOnly);
  try {
    const fresh = inspect(raw, file, Object.keys(options.migrations).length);
    if (!readOnly) {
      raw.pragma('journal_mode = WAL');
      raw.pragma('synchronous = NORMAL');
    }
    raw.pragma('foreign_keys = ON');
    raw.pragma('cache_size = -65536');
    raw.pragma('busy_timeout = 5000');
    raw.pragma('temp_store = MEMORY');
    await bringUpToDate(raw, file, options, fresh);
    return { raw, file, readOnly, statements: new Map() };
  } catch (error) {
    raw.close();
    throw asProblem(error, file);
  }
}

export function closeFleet(fleet: Fleet): void {
  fleet.statements.clear();
  if (!fleet.readOnly && fleet.file !== ':memory:') fleet.raw.pragma('wal_checkpoint(TRUNCATE)');
  fleet.raw.close();
}

function connect(file: string, readOnly: boolean): Database.Database {
  if (file !== ':memory:' && statSync(file, { throwIfNoEntry: false })?.isDirectory())
    throw refuse('foreign-file', 'This is a folder; a fleet is a file.', { where: file });
  try {
    return new Database(file, { readonly: readOnly });
  } catch (error) {
    throw asProblem(error, file);
  }
}

/** True for a file with nothing in it yet. */
function inspect(raw: Database.Database, file: string, known: number): boolean {
  const tables = raw.prepare('select count(*) as n from sqlite_schema').get() as { n: number };
  const application = raw.pragma('application_id', { simple: true }) as number;
  const version = raw.pragma('user_version', { simple: true }) as number;
  if (tables.n === 0 && application === 0 && version === 0) return true;
  if (application !== applicationId)
    throw refuse('foreign-file', 'This file belongs to another application; it is not a fleet file.', { where: file });
  if (version > known)
    throw refuse(
      'newer-file',
      `This fleet file has schema ${version}; this Cable Yearbook knows up to ${known}. Open it with a newer version.`,
      { where: file },
    );
  if (file !== ':memory:' && statSync(file).size <= wholeCheckBytes) {
    const found = raw.pragma('quick_check(1)', { simple: true }) as string;
    if (found !== 'ok')
      throw refuse('broken-file', `The file is damaged: ${found}. Restore it from a backup.`, { where: file });
  }
  return false;
}

async function bringUpToDate(
  raw: Database.Database,
  file: string,
  options: OpenOptions,
  fresh: boolean,
): Promise<void> {
  const wanted = Object.keys(options.migrations).length;
  const version = raw.pragma('user_version', { simple: true }) as number;
  if (version === wanted) return;
  if (options.readOnly)
    throw refuse(
      'read-only',
      fresh
        ? 'The file is empty; open it for writing once.'
        : `The file has schema ${version} and must be brought to ${wanted} first: open it, or a copy of it, once for writing. No record changes by that.`,
      { where: file },
    );
  // In one transaction: a program that ends in the middle leaves the file as it was. Nothing else uses this connection yet.
  raw.exec('begin immediate');
  try {
    const db = new Kysely<unknown>({ dialect: new SqliteDialect({ database: raw }) });
    const migrator = new Migrator({ db, provider: { getMigrations: async () => options.migrations } });
    const { error } = await migrator.migrateToLatest();
    if (error) throw error;
    raw.pragma(`application_id = ${applicationId}`);
    raw.pragma(`user_version = ${wanted}`);
    raw.exec('commit');
  } catch (error) {
    if (raw.inTransaction) raw.exec('rollback');
    throw error;
  }
}

/** Failures of SQLite and of the disk in words; anything else passes unchanged. */
export function asProblem(error: unknown, file: string): unknown {
  if (!(error instanceof Database.SqliteError)) return diskRefusal(error) ?? error;
  const where = { where: file };
  if (error.code === 'SQLITE_NOTADB') return refuse('foreign-file', 'This is not a fleet file.', where);
  if (error.code.startsWith('SQLITE_CORRUPT'))
    return refuse('broken-file', `The file is damaged: ${error.message}. Restore it from a backup.`, where);
  if (error.code.startsWith('SQLITE_BUSY') || error.code.startsWith('SQLITE_LOCKED'))
    return refuse('in-use', 'Another program is writing to this file. Close it there, or open it read-only.', where);
  if (error.code.startsWith('SQLITE_READONLY'))
    return refuse('read-only', 'The fleet is open read-only; nothing can be changed.', where);
  if (error.code.startsWith('SQLITE_FULL')) return refuse('disk', 'The disk is full; nothing was changed.', where);
  if (error.code.startsWith('SQLITE_IOERR'))
    return refuse('disk', `The disk failed or is full (${error.code}); nothing was changed.`, where);
  if (error.code.startsWith('SQLITE_CANTOPEN'))
    return refuse('not-found', `The file cannot be opened: ${error.message}.`, where);
  return error;
}

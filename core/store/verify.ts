import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';
import Database from 'better-sqlite3';
import { applicationId, asProblem } from './open.ts';
import { planItemColumns, readingColumns, recordColumns } from './record-columns.ts';
import { type Fleet, prepared } from './sql.ts';
import type { Entity } from './tables.ts';

/** Opens a fleet file for examination only: a damaged or older one too. Refuses another application's file. */
export function openToVerify(file: string): Fleet {
  try {
    const raw = new Database(file, { readonly: true, fileMustExist: true });
    raw.pragma('cache_size = -65536');
    raw.pragma('mmap_size = 268435456');
    return { raw, file, readOnly: true, statements: new Map() };
  } catch (error) {
    throw asProblem(error, file);
  }
}

/**
 * The open fleet through a connection of its own, so that a long snapshot is not shared with what is asked meanwhile.
 * A fleet in memory has only the one. `close` it when done.
 */
export function viewOf(fleet: Fleet): { readonly view: Fleet; readonly close: () => void } {
  if (fleet.file === ':memory:') return { view: fleet, close: () => {} };
  const view = openToVerify(fleet.file);
  return { view, close: () => view.raw.close() };
}

export const isFleetFile = (fleet: Fleet): boolean =>
  fleet.raw.pragma('application_id', { simple: true }) === applicationId;

/** A second connection on a thread of its own, so that SQLite's check and ours use two processors. Plain JavaScript: a bundle carries it as it is. */
const integrityScript = `
const { parentPort, workerData } = require('node:worker_threads');
const Database = require(workerData.driver);
try {
  const db = new Database(workerData.file, { readonly: true });
  db.pragma('mmap_size = 268435456');
  parentPort.postMessage(db.pragma('integrity_check(20)').map((row) => row.integrity_check));
  db.close();
} catch (error) {
  parentPort.postMessage([String(error && error.message)]);
}`;

/** SQLite's own integrity check, begun at once; its complaints, empty when all is well. `stop` gives it up. */
export function startIntegrityCheck(fleet: Fleet): { complaints: Promise<string[]>; stop: () => void } {
  const wanted = (rows: string[]) => rows.filter((row) => row !== 'ok');
  if (fleet.file === ':memory:') {
    const rows = fleet.raw.pragma('integrity_check(20)') as { integrity_check: string }[];
    return { complaints: Promise.resolve(wanted(rows.map((row) => row.integrity_check))), stop: () => {} };
  }
  const driver = createRequire(import.meta.url).resolve('better-sqlite3');
  const worker = new Worker(integrityScript, { eval: true, workerData: { driver, file: fleet.file } });
  const complaints = new Promise<string[]>((resolve) => {
    worker.once('message', (rows: string[]) => resolve(wanted(rows)));
    worker.once('error', (error) => resolve([error.message]));
    worker.once('exit', () => resolve([]));
  });
  return { complaints, stop: () => void worker.terminate() };
}

/** Everything in the schema but SQLite's own tables, as text, in a fixed order. */
export function schemaOf(fleet: Fleet): { kind: string; name: string; sql: string }[] {
  const rows = fleet.raw
    .prepare(
      "select type as kind, name, coalesce(sql, '') as sql from sqlite_schema where name not like 'sqlite\\_%' escape '\\' order by type, name",
    )
    .all();
  return rows as { kind: string; name: string; sql: string }[];
}

/** Migrations the file says it has been through, one text. */
export function migrationsOf(fleet: Fleet): string {
  const names = fleet.raw.prepare('select name from kysely_migration order by name').pluck().all() as string[];
  return names.join(', ');
}

export const schemaVersion = (fleet: Fleet): number => fleet.raw.pragma('user_version', { simple: true }) as number;

/** One snapshot for many reads; give the result of `done` back when finished. */
export function beginSnapshot(fleet: Fleet): () => void {
  if (fleet.raw.inTransaction) return () => {};
  fleet.raw.exec('begin');
  fleet.raw.prepare('select count(*) from sqlite_schema').get();
  return () => {
    if (fleet.raw.inTransaction) fleet.raw.exec('commit');
  };
}

export function countOf(fleet: Fleet, table: Entity | 'ledger' | 'reading'): number {
  return (prepared(fleet, `select count(*) as n from ${table}`).get() as { n: number }).n;
}

/** Records of one kind in order of id, as arrays: the columns of `recordColumns`, then ledger_seq and digest. */
export function recordsAfter(fleet: Fleet, entity: Entity, afterId: string, limit: number): unknown[][] {
  const columns = [...recordColumns[entity], 'ledger_seq', 'digest'].join(', ');
  return prepared(fleet, `select ${columns} from ${entity} where id > ? order by id limit ?`)
    .raw()
    .all(afterId, limit) as unknown[][];
}

/** Readings of the events after one id up to another, in their order; the event's id, then `readingColumns`. */
export function readingsBetween(fleet: Fleet, afterId: string, toId: string): unknown[][] {
  return prepared(
    fleet,
    `select test_event_id, ${readingColumns.join(', ')} from reading
     where test_event_id > ? and test_event_id <= ? order by test_event_id, phase, step`,
  )
    .raw()
    .all(afterId, toId) as unknown[][];
}

/** Items of the plans after one id up to another, in their order; the plan's id, then `planItemColumns`. */
export function planItemsBetween(fleet: Fleet, afterId: string, toId: string): unknown[][] {
  return prepared(
    fleet,
    `select plan_id, ${planItemColumns.join(', ')} from plan_item
     where plan_id > ? and plan_id <= ? order by plan_id, segment_id`,
  )
    .raw()
    .all(afterId, toId) as unknown[][];
}

export interface StoredLedgerRow {
  readonly seq: number;
  readonly at: string;
  readonly who: string;
  readonly what: string;
  readonly entity: string | null;
  readonly entityId: string | null;
  readonly before: string | null;
  readonly after: string | null;
  readonly why: string | null;
  readonly rowsDigest: Buffer | null;
  readonly rowsLocator: Buffer | null;
  readonly previousHash: Buffer;
  readonly hash: Buffer;
}

const ledgerSelect = `select seq, at, who, what, entity, entity_id as entityId, before, after, why,
  rows_digest as rowsDigest, rows_locator as rowsLocator, previous_hash as previousHash, hash from ledger`;

export function ledgerLinesAfter(fleet: Fleet, seq: number, limit: number): StoredLedgerRow[] {
  return prepared(fleet, `${ledgerSelect} where seq > ? order by seq limit ?`).all(seq, limit) as StoredLedgerRow[];
}

export function ledgerLine(fleet: Fleet, seq: number): StoredLedgerRow | undefined {
  return prepared(fleet, `${ledgerSelect} where seq = ?`).get(seq) as StoredLedgerRow | undefined;
}

/** Every earlier version that the ledger keeps, one at a time, in no order. */
export function ledgerChanges(fleet: Fleet) {
  return fleet.raw
    .prepare(
      `select seq, entity, entity_id as id, before, before_seq as beforeSeq, before_digest as beforeDigest
       from ledger_change`,
    )
    .iterate() as IterableIterator<{
    seq: number;
    entity: string;
    id: string;
    before: string;
    beforeSeq: number;
    beforeDigest: Buffer;
  }>;
}

export function listPartsOf(fleet: Fleet, seq: number) {
  return prepared(fleet, 'select part, entity, entries from ledger_list where seq = ? order by part').all(seq) as {
    part: number;
    entity: string;
    entries: Buffer;
  }[];
}

/** Lines that parts of lists or earlier versions point to and that the ledger does not have. */
export function missingLines(fleet: Fleet): number[] {
  const rows = fleet.raw
    .prepare(
      `select distinct seq from (select seq from ledger_list union select seq from ledger_change union select seq from signature)
       where seq not in (select seq from ledger) order by seq`,
    )
    .raw()
    .all() as [number][];
  return rows.map(([seq]) => seq);
}

/** Events whose mark of being superseded does not agree with the event that supersedes them. */
export function supersessionMismatches(fleet: Fleet): { id: string; says: string | null; proof: string | null }[] {
  return fleet.raw
    .prepare(
      `select e.id as id, e.superseded_by_id as says, (select n.id from test_event n where n.supersedes_id = e.id) as proof
       from test_event e where e.superseded_by_id is not null
         and not exists (select 1 from test_event n where n.id = e.superseded_by_id and n.supersedes_id = e.id)
       union all
       select e.id, e.superseded_by_id, n.id from test_event n join test_event e on e.id = n.supersedes_id
       where n.supersedes_id is not null and e.superseded_by_id is not n.id
       order by 1`,
    )
    .all() as { id: string; says: string | null; proof: string | null }[];
}

export function keptRows(fleet: Fleet) {
  return fleet.raw
    .prepare('select name, asked, revision, made_at as madeAt, digest, bytes from kept order by name, asked')
    .iterate() as IterableIterator<{
    name: string;
    asked: string;
    revision: number;
    madeAt: string;
    digest: Buffer;
    bytes: Buffer;
  }>;
}

/** Stored files one at a time, with their bytes. */
export function sourceFiles(fleet: Fleet) {
  return fleet.raw
    .prepare('select id, name, sha256, byte_count as byteCount, compression, bytes from source_file order by id')
    .iterate() as IterableIterator<{
    id: string;
    name: string;
    sha256: Buffer;
    byteCount: number;
    compression: string;
    bytes: Buffer;
  }>;
}

/** Traces one at a time, with their samples as stored. */
export function storedTraces(fleet: Fleet) {
  return fleet.raw
    .prepare('select id, sample_count as sampleCount, samples from trace order by id')
    .iterate() as IterableIterator<{ id: string; sampleCount: number; samples: Buffer }>;
}

/** Values that a column holds elsewhere, most frequent first. */
export function valuesIn(
  fleet: Fleet,
  table: Entity | 'reading' | 'plan_item',
  column: string,
): (string | number | null)[] {
  const rows = fleet.raw
    .prepare(
      `select ${column} from (select ${column} from ${table} limit 200000) group by 1 order by count(*) desc limit 3000`,
    )
    .raw()
    .all() as [string | number | null][];
  return rows.map(([value]) => value);
}

/** Words that tell a person which record it is, whatever its kind; undefined where there is none of that id. */
export function describeRecord(fleet: Fleet, entity: Entity, id: string): string | undefined {
  const words: { readonly [E in Entity]?: string } = {
    test_event: `select 'test ' || e.owner_id || ' of segment ' || s.owner_id || ', ' || e.tested_on
      from test_event e left join segment s on s.id = e.segment_id where e.id = ?`,
    trace: `select 'trace of phase ' || t.phase || ' of test ' || e.owner_id
      from trace t left join test_event e on e.id = t.test_event_id where t.id = ?`,
    source_file: `select 'stored file ' || name from source_file where id = ?`,
    person: `select 'person ' || name from person where id = ?`,
    leakage_limit: `select 'limit for ' || insulation from leakage_limit where id = ?`,
    policy: `select 'rule ' || subject || ', version ' || version from policy where id = ?`,
    excuse: `select 'excuse of segment ' || s.owner_id || ' due ' || x.due_on
      from excuse x left join segment s on s.id = x.segment_id where x.id = ?`,
    cost: `select 'cost ' || name from cost where id = ?`,
    finding_verdict: `select 'verdict on finding ' || finding_key from finding_verdict where id = ?`,
    treatment: `select 'treatment of finding ' || finding_key from treatment where id = ?`,
    plan: `select 'plan ' || name from plan where id = ?`,
    layout: `select 'layout for ' || subject from layout where id = ?`,
  };
  const text = words[entity] ?? `select '${entity} ' || owner_id from ${entity} where id = ?`;
  const row = prepared(fleet, text).raw().get(id) as [string | null] | undefined;
  return row ? (row[0] ?? `${entity} ${id}`) : undefined;
}

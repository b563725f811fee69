import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { Kysely, SqliteDialect } from 'kysely';
import { Migrator } from 'kysely/migration';
import { expect, test } from 'vitest';
import { recordColumns } from '../../core/store/record-columns.ts';
import { migrations } from '../../migrations/index.ts';

const folder = join(import.meta.dirname, '../../migrations');

async function migrated(upTo?: string): Promise<Database.Database> {
  const raw = new Database(':memory:');
  raw.pragma('foreign_keys = ON');
  const db = new Kysely<unknown>({ dialect: new SqliteDialect({ database: raw }) });
  const migrator = new Migrator({ db, provider: { getMigrations: async () => migrations } });
  const { error } = upTo ? await migrator.migrateTo(upTo) : await migrator.migrateToLatest();
  if (error) throw error;
  return raw;
}

test('every migration file is listed, in rising order', () => {
  const files = readdirSync(folder)
    .filter((name) => /^\d{4}-.*\.ts$/.test(name))
    .map((name) => name.slice(0, -3))
    .sort();
  expect(Object.keys(migrations)).toEqual(files);
});

test('every table of the fleet is STRICT', async () => {
  const raw = await migrated();
  const loose = raw
    .prepare("select name from pragma_table_list where schema = 'main' and type = 'table' and strict = 0")
    .all() as { name: string }[];
  expect(loose.map((t) => t.name).filter((n) => !n.startsWith('sqlite_') && !n.startsWith('kysely_'))).toEqual([]);
  raw.close();
});

test('every record that the ledger watches carries its ledger line, its digest and the columns the digest covers', async () => {
  const raw = await migrated();
  for (const [table, columns] of Object.entries(recordColumns)) {
    const there = (raw.prepare('select name from pragma_table_info(?)').all(table) as { name: string }[]).map(
      (c) => c.name,
    );
    expect(there, table).toEqual(expect.arrayContaining([...columns, 'ledger_seq', 'digest']));
  }
  raw.close();
});

test('every migration keeps the rows of the version before', async () => {
  const names = Object.keys(migrations);
  for (let n = 1; n < names.length; n++) {
    const raw = await migrated(names[n - 1]);
    const id = '01890000-0000-7000-8000-000000000001';
    raw
      .prepare('insert into substation (id, owner_id, name, region, ledger_seq, digest) values (?, ?, ?, ?, 1, ?)')
      .run(id, 'S1', 'Weir Street', null, Buffer.alloc(32, 7));
    const before = raw.prepare('select * from substation').all();
    const db = new Kysely<unknown>({ dialect: new SqliteDialect({ database: raw }) });
    const migrator = new Migrator({ db, provider: { getMigrations: async () => migrations } });
    const { error, results } = await migrator.migrateUp();
    expect(error).toBeUndefined();
    expect(results?.map((r) => r.migrationName)).toEqual([names[n]]);
    expect(raw.prepare('select * from substation').all(), names[n]!).toEqual(before);
    raw.close();
  }
});

const digest = Buffer.alloc(32, 1);
const id = (n: number) => `01890000-0000-7000-8000-${String(n).padStart(12, '0')}`;

async function withSegment(): Promise<Database.Database> {
  const raw = await migrated();
  raw.prepare('insert into substation values (?, ?, ?, ?, 1, ?)').run(id(1), 'U1', 'Weir Street', null, digest);
  raw
    .prepare('insert into feeder values (?, ?, ?, ?, ?, ?, ?, 1, ?)')
    .run(id(2), 'F1', id(1), 'W-12', 13.2, 10, 100, digest);
  raw
    .prepare(
      `insert into segment (id, owner_id, feeder_id, name, length_m, length_typed, length_typed_unit, insulation, phases, ledger_seq, digest)
       values (?, 'S1', ?, 'Mill Lane 4', 412, 412, 'm', 'XLPE', 'ABC', 1, ?)`,
    )
    .run(id(3), id(2), digest);
  raw
    .prepare(
      `insert into test_event (id, owner_id, segment_id, tested_on, method, ledger_seq, digest)
       values (?, 'T1', ?, '2025-05-14', 'dc_withstand', 1, ?)`,
    )
    .run(id(4), id(3), digest);
  return raw;
}

const reading = (raw: Database.Database, change: Record<string, unknown>) => {
  const row = {
    test_event_id: id(4),
    phase: 'A',
    step: 0,
    voltage_kv: 20,
    leakage_ua: 25,
    leakage_typed: 25,
    leakage_typed_unit: 'uA',
    below_floor: 0,
    ...change,
  };
  const columns = Object.keys(row);
  return () =>
    raw
      .prepare(`insert into reading (${columns.join(', ')}) values (${columns.map(() => '?').join(', ')})`)
      .run(...Object.values(row));
};

test('a wrong row is impossible: values, units, days and references are checked by the file itself', async () => {
  const raw = await withSegment();
  expect(reading(raw, { phase: 'D' })).toThrow(/CHECK/);
  expect(reading(raw, { voltage_kv: 0 })).toThrow(/CHECK/);
  expect(reading(raw, { leakage_ua: -1 })).toThrow(/CHECK/);
  expect(reading(raw, { leakage_typed_unit: 'A' })).toThrow(/CHECK/);
  expect(reading(raw, { humidity_pct: 130 })).toThrow(/CHECK/);
  expect(reading(raw, { voltage_kv: 'twenty' })).toThrow(/cannot store TEXT/);
  expect(reading(raw, { test_event_id: id(99) })).toThrow(/FOREIGN KEY/);
  expect(() => raw.prepare("update test_event set tested_on = '2025-02-30'").run()).toThrow(/CHECK/);
  expect(() => raw.prepare('update segment set length_m = 0').run()).toThrow(/CHECK/);
  expect(() => raw.prepare('update segment set replaces_id = id').run()).toThrow(/CHECK/);
  reading(raw, {})();
  expect(reading(raw, {})).toThrow(/UNIQUE/);
  raw.close();
});

test('readings and ledger lines are never changed or removed', async () => {
  const raw = await withSegment();
  reading(raw, {})();
  expect(() => raw.prepare('update reading set leakage_ua = 1').run()).toThrow(/never changed/);
  expect(() => raw.prepare('delete from reading').run()).toThrow(/never removed/);
  raw
    .prepare('insert into ledger (seq, at, who, what, previous_hash, hash) values (1, ?, ?, ?, ?, ?)')
    .run('2026-01-01T00:00:00Z', 'A', 'import', Buffer.alloc(32), digest);
  expect(() => raw.prepare("update ledger set who = 'B'").run()).toThrow(/never changed/);
  expect(() => raw.prepare('delete from ledger').run()).toThrow(/never removed/);
  raw.close();
});

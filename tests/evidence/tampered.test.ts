import Database from 'better-sqlite3';
import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../core/numerics/random.ts';
import type { Fleet } from '../../core/store/sql.ts';
import { verifyFleet } from '../../core/tasks/evidence-verify.ts';
import { inWords } from '../../core/tasks/evidence-words.ts';
import { aFleet, deskOn } from './a-fleet.ts';
import { forgeReading, rewriteFrom, unguarded } from './mending.ts';
import { ways } from './tampering.ts';

const copyOf = (bytes: Buffer): Fleet => ({
  raw: new Database(bytes),
  file: ':memory:',
  readOnly: false,
  statements: new Map(),
});

async function verified(fleet: Fleet, head?: string) {
  const { faults, ...rest } = await verifyFleet(deskOn(fleet), fleet, head);
  return { ...rest, count: faults.count, wrong: faults.list.map((fault) => inWords(fleet, fault, false)) };
}

describe('a fleet that somebody changed through SQLite', () => {
  // Heavy because each place is a fleet of its own, verified whole.
  test('is found out at each of 520 seeded places, and the record or line is named', { timeout: 180_000 }, async () => {
    const originals = await Promise.all([1, 2, 3, 4].map(async (seed) => (await aFleet(seed)).fleet.raw.serialize()));
    const missed: string[] = [];
    for (let place = 0; place < 520; place++) {
      const fleet = copyOf(originals[place % originals.length]!);
      const random = seededRandom(1000 + place);
      const { restore } = unguarded(fleet.raw);
      const done = ways[place % ways.length]!(fleet, random);
      restore();
      const { wrong } = await verified(fleet);
      const named = wrong.some(
        (w) =>
          (done.id === undefined || w.id === done.id) &&
          (done.line === undefined ||
            w.line === done.line ||
            (w.line === null && w.says.includes(`line ${done.line}`))) &&
          (done.says === undefined || done.says.test(w.says)),
      );
      if (!named)
        missed.push(
          `${place}: ${done.what} (${done.id ?? ''} ${done.line ?? ''}) → ${JSON.stringify(wrong.slice(0, 3))}`,
        );
      fleet.raw.close();
    }
    expect(missed).toEqual([]);
  });

  test('is found out when its guards were left off or another was put in', async () => {
    const { fleet } = await aFleet(5);
    fleet.raw.exec('drop trigger reading_never_changes');
    fleet.raw.exec('create trigger quiet after insert on reading begin select 1; end');
    const { wrong } = await verified(fleet);
    expect(wrong.map((w) => w.says)).toEqual([
      'The schema: the trigger reading_never_changes is missing.',
      'The schema: the trigger quiet was added.',
    ]);
    fleet.raw.close();
  });

  test('is found out when its list of migrations was changed', async () => {
    const { fleet } = await aFleet(11);
    fleet.raw.exec("delete from kysely_migration where name like '0003%'");
    expect((await verified(fleet)).wrong.map((w) => w.kind)).toEqual(['schema']);
    fleet.raw.close();
  });

  test.each([
    ['leakage_ua', 99.5],
    ['ambient_temp_c', null],
    ['outcome', 'breakdown'],
    ['dwell_min', 10],
    ['voltage_kv', 28],
  ] as const)('tells what a reading said before its %s was changed', async (column, value) => {
    const { fleet } = await aFleet(6);
    const row = fleet.raw
      .prepare(
        `select * from reading where ${column} is not null and ${column} is not ? order by test_event_id, phase limit 1`,
      )
      .get(value) as Record<string, unknown>;
    const { restore } = unguarded(fleet.raw);
    fleet.raw
      .prepare(`update reading set ${column} = ? where test_event_id = ? and phase = ?`)
      .run(value, row.test_event_id, row.phase);
    restore();
    const { faults } = await verifyFleet(deskOn(fleet), fleet, undefined);
    const wrong = faults.list.map((fault) => inWords(fleet, fault, true)).find((w) => w.id === row.test_event_id);
    expect(wrong?.before).toBe(
      `Before: ${column} of phase ${row.phase}, step 0 was ${row[column]}, now ${value ?? 'unknown'}.`,
    );
    fleet.raw.close();
  });

  test('tells what a name said before, from the ledger’s list, though the digest was changed too', async () => {
    const { fleet } = await aFleet(7);
    const row = fleet.raw
      .prepare("select * from segment where name = 'Mill Row 3' or name like 'Mill Row 3,%'")
      .get() as {
      id: string;
      name: string;
    };
    const { restore } = unguarded(fleet.raw);
    fleet.raw.prepare('update segment set name = ?, digest = zeroblob(32) where id = ?').run(`${row.name}x`, row.id);
    restore();
    const { faults } = await verifyFleet(deskOn(fleet), fleet, undefined);
    const wrong = faults.list.map((fault) => inWords(fleet, fault, true)).find((w) => w.id === row.id);
    expect(wrong?.before).toBe(`Before: name was ${row.name}, now ${row.name}x.`);
    fleet.raw.close();
  });

  // What no file can do for itself: whoever rewrites every line after the change leaves a chain that agrees with itself.
  test('rewritten from a line to its end is found out by the head kept elsewhere, and by a signature, and by nothing else', async () => {
    const original = await aFleet(8);
    const head = (await verified(original.fleet)).head!.hash;
    const fleet = copyOf(original.fleet.raw.serialize());
    const { restore } = unguarded(fleet.raw);
    forgeReading(fleet, seededRandom(8));
    rewriteFrom(fleet, 1);
    restore();
    const signed = await verified(fleet, head);
    expect(signed.wrong.map((w) => w.kind)).toEqual(['head', 'signature']);
    fleet.raw.exec('drop trigger ledger_never_changes; delete from signature');
    fleet.raw.exec("update ledger set what = 'tidy' where what = 'sign ledger'");
    rewriteFrom(fleet, 1);
    fleet.raw.exec(
      original.fleet.raw
        .prepare("select sql from sqlite_schema where name = 'ledger_never_changes'")
        .pluck()
        .get() as string,
    );
    expect((await verified(fleet)).count).toBe(0);
    expect((await verified(fleet, head)).wrong[0]?.says).toMatch(/^The head given: no ledger line has the hash/);
    fleet.raw.close();
    original.fleet.raw.close();
  });

  test('agrees with a head that was printed before later changes', async () => {
    const { fleet } = await aFleet(9);
    const hash = fleet.raw.prepare('select lower(hex(hash)) from ledger where seq = 3').pluck().get() as string;
    expect((await verified(fleet, hash)).count).toBe(0);
    fleet.raw.close();
  });

  test('is found out where one sealed infinity took the place of an unknown', async () => {
    const { fleet } = await aFleet(10);
    const row = fleet.raw.prepare('select * from reading where ambient_temp_c is null limit 1').get() as {
      test_event_id: string;
      phase: string;
    };
    const { restore } = unguarded(fleet.raw);
    fleet.raw
      .prepare('update reading set ambient_temp_c = 9e999 where test_event_id = ? and phase = ?')
      .run(row.test_event_id, row.phase);
    restore();
    expect((await verified(fleet)).wrong.map((w) => w.id)).toEqual([row.test_event_id]);
    fleet.raw.close();
  });
});

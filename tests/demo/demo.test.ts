import { join } from 'node:path';
import Database from 'better-sqlite3';
import { beforeAll, describe, expect, test } from 'vitest';
import type { DemoRow } from '../../core/demo/rows.ts';
import { inventUtility } from '../../core/demo/utility.ts';
import { bytesOf, newDir, newFleet } from '../intake/folder.ts';

/** All rows of the invented utility by file. */
function invent(segments: number, seed: number, lastTestYear = 2025): Map<string, DemoRow[]> {
  const files = new Map<string, DemoRow[]>();
  const add = (file: string, row: DemoRow) => {
    const rows = files.get(file);
    if (rows) rows.push(row);
    else files.set(file, [row]);
  };
  inventUtility(
    { segments, seed, lastTestYear },
    {
      row: add,
      test: (readings) => {
        for (const row of readings) add('tests', row);
      },
    },
  );
  return files;
}
const year = (day: unknown) => Number(String(day).slice(0, 4));

describe('Harrow Vale Municipal Power', () => {
  let town: Map<string, DemoRow[]>;
  const of = (file: string) => town.get(file)!;
  beforeAll(() => {
    town = invent(600, 1);
  });

  test('has three substations, about forty feeders and six hundred segments of 15 and 25 kV class, energised 1971 to 2022', () => {
    expect(of('substations').length).toBe(3);
    expect(of('feeders').length).toBe(40);
    expect(of('segments').length).toBeGreaterThanOrEqual(600);
    expect(of('segments').length).toBeLessThan(640);
    expect(new Set(of('segments').map((row) => row.rated_kv))).toEqual(new Set([15, 25]));
    const original = of('segments').filter((row) => row.replaces_segment_id === null);
    const years = original.map((row) => year(row.energised_on));
    expect(Math.min(...years)).toBe(1971);
    expect(Math.max(...years)).toBeLessThanOrEqual(2022);
  });

  test('has paper in the old town, early polyethylene in the estates and nothing laid before its time', () => {
    const earliest = { PILC: 1971, HMWPE: 1972, XLPE: 1978, 'TR-XLPE': 1990, EPR: 1984 };
    for (const [family, from] of Object.entries(earliest)) {
      const rows = of('segments').filter((row) => row.insulation === family);
      expect(rows.length).toBeGreaterThan(20);
      for (const row of rows) expect(year(row.energised_on)).toBeGreaterThanOrEqual(from);
    }
  });

  test('was tested over 18 years by two crews with three testers, one of which took the place of another', () => {
    const years = of('tests').map((row) => year(row.tested_on));
    expect([Math.min(...years), Math.max(...years)]).toEqual([2008, 2025]);
    expect(new Set(of('tests').map((row) => row.crew))).toEqual(new Set(['mill crew', 'vale crew']));
    const lastOld = of('tests')
      .filter((row) => row.instrument_id === 'HV-1')
      .map((row) => String(row.tested_on))
      .sort()
      .at(-1)!;
    const firstNew = of('tests')
      .filter((row) => row.instrument_id === 'HV-3')
      .map((row) => String(row.tested_on))
      .sort()[0]!;
    expect(lastOld < firstNew).toBe(true);
  });

  test('had a cold spring in which many tests were made', () => {
    const spring = of('tests').filter((row) => row.tested_on! >= '2018-03-01' && row.tested_on! < '2018-05-16');
    const other = of('tests').filter((row) => row.tested_on! >= '2016-03-01' && row.tested_on! < '2016-05-16');
    const mean = (rows: DemoRow[]) => {
      const known = rows.map((row) => row.insulation_temp_c).filter((temp) => temp !== null);
      return known.reduce((sum: number, temp) => sum + Number(temp), 0) / known.length;
    };
    expect(spring.length).toBeGreaterThan(2 * other.length);
    expect(mean(spring)).toBeLessThan(mean(other) - 3);
  });

  test('had one feeder injected, in one summer', () => {
    const injections = of('interventions').filter((row) => row.kind === 'fluid_injected');
    const feederOf = new Map(of('segments').map((row) => [row.segment_id, row.feeder_id]));
    expect(injections.length).toBeGreaterThan(8);
    expect(new Set(injections.map((row) => feederOf.get(row.segment_id!))).size).toBe(1);
    expect(new Set(injections.map((row) => year(row.done_on)))).toEqual(new Set([2013]));
  });

  test('nothing fails, is mended or tested once it is out of service', () => {
    let retired = 0;
    for (const rows of [town, invent(600, 2), invent(600, 3)]) {
      const lastDay = new Map(rows.get('segments')!.map((row) => [row.segment_id, row.retired_on ?? '9999-12-31']));
      retired += [...lastDay.values()].filter((day) => day !== '9999-12-31').length;
      const days = [
        ['failures', 'failed_on'],
        ['interventions', 'done_on'],
        ['splices', 'installed_on'],
        ['splices', 'removed_on'],
        ['tests', 'tested_on'],
      ] as const;
      const outOfService = days.flatMap(([file, day]) =>
        rows.get(file)!.filter((row) => (row[day] ?? '') > lastDay.get(row.segment_id)!),
      );
      expect(outOfService).toEqual([]);
    }
    expect(retired).toBeGreaterThan(20);
  });

  test('has a batch of splices that failed early', () => {
    const batch = of('interventions').filter(
      (row) => String(row.note).includes('lot 17') && row.kind === 'splice_added',
    );
    const failed = of('failures').filter((row) => String(row.cause).includes('lot 17'));
    expect(batch.length).toBeGreaterThan(8);
    expect(failed.length / batch.length).toBeGreaterThan(0.25);
    for (const row of failed) expect(year(row.failed_on)).toBeGreaterThanOrEqual(2013);
  });

  test('used a tester one summer long after its calibration was due', () => {
    const late = of('calibrations').find((row) => row.instrument_id === 'HV-2' && year(row.calibrated_on) === 2019)!;
    const before = of('calibrations').find((row) => row.instrument_id === 'HV-2' && year(row.calibrated_on) === 2018)!;
    expect(before.due_on! < late.calibrated_on!).toBe(true);
    const meanwhile = of('tests').filter(
      (row) => row.instrument_id === 'HV-2' && row.tested_on! >= before.due_on! && row.tested_on! < late.calibrated_on!,
    );
    expect(meanwhile.length).toBeGreaterThan(10);
  });

  test('has readings under the floor, a few in the wrong unit, step tests, and cables that broke down on test', () => {
    const readings = of('tests');
    const share = (is: (row: DemoRow) => boolean) => readings.filter(is).length / readings.length;
    expect(share((row) => row.below_floor === 1)).toBeGreaterThan(0.01);
    expect(share((row) => row.below_floor === 1)).toBeLessThan(0.15);
    expect(share((row) => row.leakage_unit === 'mA')).toBeGreaterThan(0.0005);
    expect(share((row) => row.leakage_unit === 'mA')).toBeLessThan(0.01);
    expect(share((row) => row.method === 'dc_step')).toBeGreaterThan(0.005);
    expect(readings.some((row) => row.outcome === 'breakdown')).toBe(true);
  });
});

test('the same seed gives the same utility, another seed another', () => {
  expect(invent(60, 7)).toEqual(invent(60, 7));
  expect(invent(60, 7).get('tests')).not.toEqual(invent(60, 8).get('tests'));
});

test('the story moves with the last year of tests', () => {
  const years = invent(60, 1, 2012)
    .get('tests')!
    .map((row) => year(row.tested_on));
  expect(Math.max(...years)).toBeLessThanOrEqual(2012);
  expect(Math.min(...years)).toBeGreaterThanOrEqual(1995);
});

test('written twice with one seed at one moment the fleet holds the same records, ids and ledger', async () => {
  const dumps = [];
  for (let i = 0; i < 2; i++) {
    const { core, file } = await newFleet();
    const reply = await core.send('demo.write', { segments: 40, seed: 3 });
    expect(reply.ok).toBe(true);
    core.close();
    const db = new Database(file, { readonly: true });
    const tables = ['fleet', 'segment', 'test_event', 'reading', 'splice', 'failure', 'ledger', 'ledger_list'];
    dumps.push(tables.map((table) => db.prepare(`select * from ${table}`).all()));
    db.close();
  }
  expect(dumps[0]).toEqual(dumps[1]);
  expect((dumps[0]![3] as unknown[]).length).toBeGreaterThan(300);
});

test('exported, taken into a new fleet and exported again it has the same bytes, and its import finds nothing to change', async () => {
  const first = await newFleet();
  await first.core.send('demo.write', { segments: 60 });
  const [a, b] = [join(newDir(), 'a'), join(newDir(), 'b')];
  await first.core.send('fleet.export', { out: a });
  expect((await first.take([a])).changes).toBe(0);
  const second = await newFleet();
  expect((await second.take([a])).refusedCount).toBe(0);
  await second.core.send('fleet.export', { out: b });
  expect(bytesOf(b)).toEqual(bytesOf(a));
  first.core.close();
  second.core.close();
});

test('it is written into an empty fleet only', async () => {
  const { core } = await newFleet();
  await core.send('demo.write', { segments: 20 });
  const again = await core.send('demo.write', { segments: 20 });
  expect(!again.ok && again.problem.code).toBe('not-allowed');
  core.close();
});

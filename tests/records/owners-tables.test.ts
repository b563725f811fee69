import { writeFileSync } from 'node:fs';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { InputOf } from '../../core/contract/asks/index.ts';
import type { PreviewedTable } from '../../core/contract/shapes/records.ts';
import { type Core, openCore } from '../../core/index.ts';
import { findOwnerTable, gridsOf } from '../../core/intake/tables/find-table.ts';
import { guessLayout } from '../../core/intake/tables/guess.ts';
import { rowsOf } from '../../core/intake/tables/rows-of.ts';
import { seededRandom } from '../../core/numerics/random.ts';
import { migrations } from '../../migrations/index.ts';
import { temporaryFolder } from '../hosts/small-fleet.ts';
import { layouts, writeTrace } from '../trace/generator/layouts.ts';
import { drawPlan, makeTrace } from '../trace/generator/model.ts';
import { decimalComma, minuteColumns, type OwnerTableFile, outages, usInventory, widePhases } from './owners.ts';

const home = temporaryFolder('owners');
let core: Core;
beforeAll(async () => {
  const options = { migrations, now: () => '2025-06-01T08:00:00.000Z', who: 'asset manager', create: true };
  core = await openCore(home.file('owners.fleet'), options);
});
afterAll(() => {
  core.close();
  home.clear();
});

async function value<T>(reply: Promise<{ ok: true; value: T } | { ok: false; problem: unknown }>): Promise<T> {
  const answer = await reply;
  if (!answer.ok) throw new Error(JSON.stringify(answer.problem));
  return answer.value;
}

function put({ name, bytes }: OwnerTableFile): string {
  writeFileSync(home.file(name), bytes);
  return home.file(name);
}

const look = async (path: string): Promise<PreviewedTable> => {
  const { tables } = await value(core.send('records.tables', { paths: [path] }));
  expect(tables).toHaveLength(1);
  return tables[0]!;
};

type Wish = Omit<InputOf<'records.retable'>, 'paths' | 'key'>;
const asGuessed = (table: PreviewedTable): Wish => ({
  subject: table.subject,
  decimal: table.decimal,
  dateOrder: table.dateOrder,
  columns: table.columns.map(({ field, unit, phase, atMin }) => ({ field, unit, phase, atMin })),
  fixed: table.fixed,
});

/** How many things a person has to put right. */
const corrections = (guess: Wish, wish: Wish, open: readonly string[]): number =>
  Number(guess.subject !== wish.subject) +
  Number(guess.decimal !== wish.decimal) +
  Number(guess.dateOrder !== wish.dateOrder || open.some((line) => line.startsWith('dates'))) +
  wish.columns.filter((column, i) => JSON.stringify(column) !== JSON.stringify(guess.columns[i])).length +
  Object.keys(wish.fixed ?? {}).filter((name) => wish.fixed![name] !== guess.fixed?.[name]).length;

/** Corrects, takes in, and gives the number of corrections. */
async function takeIn(path: string, correct: (wish: Wish) => Wish = (wish) => wish): Promise<number> {
  const table = await look(path);
  const guess = asGuessed(table);
  const wish = correct(guess);
  const made = corrections(guess, wish, table.open);
  if (made > 0) {
    const answer = await value(core.send('records.retable', { paths: [path], key: table.key, ...wish }));
    expect(answer.open).toEqual([]);
  } else expect(table.open).toEqual([]);
  const dry = await value(core.send('fleet.import', { paths: [path], dryRun: true }));
  expect(dry.refusedRows).toEqual([]);
  const taken = await value(core.send('fleet.import', { paths: [path], preview: dry.preview }));
  expect(taken.committed).toBe(true);
  const again = await value(core.send('fleet.import', { paths: [path] }));
  expect([again.changes, again.committed]).toEqual([0, false]);
  return made;
}

const pageOf = async (ownerId: string) => {
  const { hits } = await value(core.send('fleet.find', { text: ownerId, count: 1 }));
  return value(core.send('segment.page', { segmentId: hits[0]!.id as never }));
};

test('an inventory in US units comes in with no correction: feet, mils, kcmil and AWG, years, its feeders and substations', async () => {
  const made = await takeIn(put(await usInventory()));
  expect(made).toBe(0);
  const page = await pageOf('MX-1');
  // 1 ft = 0.3048 m, 1 mil = 0.0254 mm exactly (1959 agreement); 500 kcmil = 253.35 mm² (ASTM B258: π/4 · 0.0254² a circular mil).
  expect(page.lengthM).toBeCloseTo(1240 * 0.3048, 6);
  expect(page.insulationThicknessMm).toBeCloseTo(4.445, 6);
  expect(page.conductorAreaMm2).toBeCloseTo(253.354, 2);
  expect(page).toMatchObject({
    name: 'Vault 12 to Vault 14',
    insulation: 'XLPE',
    conductorMaterial: 'Cu',
    ratedKv: 15,
    energisedOn: '1984-01-01',
    feeder: { name: 'Mill 4' },
    substation: { name: 'Old Mill' },
  });
  // 4/0 AWG = 107.2 mm² (ASTM B258).
  expect((await pageOf('MX-2')).conductorAreaMm2).toBeCloseTo(107.2, 1);
  expect((await value(core.send('fleet.info', {}))).counts).toMatchObject({ substations: 2, feeders: 2, segments: 4 });
});

test('decimal comma, days with points and a row a phase come in with no correction, the next year too', async () => {
  expect(await takeIn(put(decimalComma(2018)))).toBe(0);
  expect(await takeIn(put(decimalComma(2021)))).toBe(0);
  const { tests } = await pageOf('MX-1');
  const [latest] = tests;
  expect(latest).toMatchObject({ testedOn: '2021-05-14', crew: 'Nord', method: 'dc_withstand' });
  expect(latest!.readings.map((r) => [r.phase, r.voltageKv, r.dwellMin, r.leakageUa, r.belowFloor, r.outcome])).toEqual(
    [
      ['A', 20, 15, 3.25, false, 'withstood'],
      ['B', 20, 15, 2.9, false, 'withstood'],
      ['C', 20, 15, 0.1, true, 'withstood'],
    ],
  );
  expect((await pageOf('MX-2')).tests[0]!.readings[2]).toMatchObject({ dwellMin: 4.5, outcome: 'breakdown' });
});

test('a header merged over a column a phase is unfolded; gigohms become leakage, °F become °C', async () => {
  const made = await takeIn(put(await widePhases(2019)), (wish) => ({
    ...wish,
    fixed: { ...wish.fixed, method: 'insulation_resistance' },
  }));
  expect(made).toBe(1);
  expect(await takeIn(put(await widePhases(2022)))).toBe(0);
  const [latest] = (await pageOf('MX-3')).tests;
  expect(latest).toMatchObject({ testedOn: '2022-03-28', method: 'insulation_resistance' });
  // Ohm's law: 5 kV over 4.2 GΩ is 1.190 µA.
  expect(latest!.readings.map((r) => r.leakageUa)).toEqual([1.190476, 1.282051, 1.086957]);
  expect(latest!.readings[0]!.insulationTempC).toBeCloseTo((55 - 32) / 1.8, 6);
  expect(latest!.readings[0]!.note).toMatch(/instrument T-2044/);
});

test('a column a minute: the last one counts, the earlier stand in the note; three corrections at most, then none', async () => {
  const path = put(minuteColumns(2020));
  const table = await look(path);
  expect(table.open.join(' ')).toMatch(/voltage_kv: .*leakage_unit: nA, uA, mA\?/s);
  const made = await takeIn(path, (wish) => ({ ...wish, fixed: { voltage_kv: '20', leakage_unit: 'uA' } }));
  expect(made).toBe(2);
  expect(await takeIn(put(minuteColumns(2023)))).toBe(0);
  const [latest] = (await pageOf('MX-1')).tests;
  expect(latest).toMatchObject({ testedOn: '2023-09-25' });
  expect(latest!.readings[0]).toMatchObject({ phase: 'A', voltageKv: 20, dwellMin: 15, leakageUa: 3.7 });
  expect(latest!.readings[0]!.note).toBe('read at 1 min 6.1 uA, 5 min 4.4 uA, 10 min 3.9 uA');
  expect((await pageOf('MX-2')).tests[0]!.readings[0]).toMatchObject({ dwellMin: 10, leakageUa: 9.1 });
});

test('dates that can be read two ways are asked about, once', async () => {
  const path = put(outages());
  const table = await look(path);
  expect(table.open).toEqual(['dates: day first or month first?']);
  expect(await takeIn(path, (wish) => ({ ...wish, dateOrder: 'day first' }))).toBe(1);
  const { failures } = await pageOf('MX-2');
  expect(failures).toEqual([
    {
      ownerId: 'OUT-77',
      failedOn: '2016-08-03',
      phase: 'B',
      part: 'splice',
      cause: 'water in the joint',
      customersInterrupted: 412,
      durationMin: 210,
    },
  ]);
});

test('a row that cannot be taken is named by its line and the owner’s own column, and nothing comes in', async () => {
  const text = Buffer.from(decimalComma(2024).bytes).toString('latin1').replace('L2;20,0;15;2,9', 'L2;20,0;15;viel');
  const path = put({ name: 'Prüfungen 2024.csv', bytes: Uint8Array.from(text, (l) => l.charCodeAt(0)) });
  const reply = await core.send('fleet.import', { paths: [path] });
  expect(reply).toMatchObject({ ok: false });
  expect(JSON.stringify(reply)).toMatch(/line 3, column Ableitstrom µA: 'viel'/);
});

test('the layouts of twelve testers are no owners’ tables', async () => {
  for (const [layout, { name }] of layouts.entries()) {
    const { bytes } = await writeTrace(makeTrace(drawPlan(40 + layout)), layout);
    const tables = (await gridsOf(bytes)).flatMap((grid) => {
      const table = findOwnerTable(grid);
      return table && guessLayout(table, name) ? [table.names] : [];
    });
    expect([name, tables]).toEqual([name, []]);
  }
});

test('three hundred damaged tables are read, asked about or left, never a fault', async () => {
  const originals = [decimalComma(2018), minuteColumns(2020), outages(), await widePhases(2019), await usInventory()];
  const nothing = () => null;
  const known = { segment: nothing, feeder: nothing, substation: nothing, instrument: nothing };
  const random = seededRandom(4);
  let read = 0;
  for (let i = 0; i < 300; i++) {
    const bytes = Uint8Array.from(originals[i % originals.length]!.bytes);
    const hits = 1 + random.integer(8);
    for (let hit = 0; hit < hits; hit++) bytes[random.integer(bytes.length)] = random.integer(256);
    const cut = random.uniform() < 0.2 ? bytes.subarray(0, random.integer(bytes.length)) : bytes;
    for (const grid of await gridsOf(cut)) {
      const table = findOwnerTable(grid);
      const layout = table && guessLayout(table, 'damaged');
      if (!table || !layout) continue;
      read++;
      for (const part of rowsOf(table, layout, known))
        for (const row of part.rows) expect(row.cells).toHaveLength(part.header.length);
    }
  }
  // Most text survives a few wrong bytes; workbooks are archives and mostly do not.
  expect(read).toBeGreaterThan(100);
});

import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { bytesOf, newDir, newFleet, smallFolder, writeFolder } from './folder.ts';

/** A row that is right, changed in one column, and where that must be named. */
const segment = 'SX,F1,New,,,100,m,15,133,XLPE,ABC,2001-01-01,,,1,yes,no';
const reading = 'TX,S1,2020-06-01,A,dc_withstand,maintenance,20,15,3.5,uA,false,14,18,60,withstood,I1,mill,';
const kinds: readonly (readonly [file: string, column: string, value: string, row: string, right: RegExp])[] = [
  ['segments.csv', 'segment_id', '', segment.replace('SX', ''), /must not be/],
  ['segments.csv', 'segment_id', 'S1', segment.replace('SX', 'S1'), /Line 2 has it already/],
  ['segments.csv', 'feeder_id', 'F9', segment.replace('SX,F1', 'SX1,F9'), /feeders\.csv/],
  ['segments.csv', 'length', '12,5', segment.replace('SX', 'SX2').replace(',100,', ',"12,5",'), /Write 12\.5/],
  ['segments.csv', 'length', '0', segment.replace('SX', 'SX3').replace(',100,', ',0,'), /greater than 0/],
  ['segments.csv', 'length', '100 m', segment.replace('SX', 'SX4').replace(',100,', ',100 m,'), /Write 100 alone/],
  [
    'segments.csv',
    'length_unit',
    'yd',
    segment.replace('SX', 'SX5').replace(',m,', ',yd,'),
    /one of m, km, ft, kft, mi/,
  ],
  [
    'segments.csv',
    'insulation_level_pct',
    '120',
    segment.replace('SX', 'SX6').replace(',133,', ',120,'),
    /100, 133, 173/,
  ],
  ['segments.csv', 'insulation', 'xlpe', segment.replace('SX', 'SX7').replace('XLPE', 'xlpe'), /Write XLPE/],
  ['segments.csv', 'phases', 'CBA', segment.replace('SX', 'SX8').replace('ABC', 'CBA'), /one of A, B, C, AB/],
  [
    'segments.csv',
    'energised_on',
    '01/02/2001',
    segment.replace('SX', 'SX9').replace('2001-01-01', '01/02/2001'),
    /YYYY-MM-DD/,
  ],
  [
    'segments.csv',
    'energised_on',
    '2001-02-29',
    segment.replace('SX', 'SXa').replace('2001-01-01', '2001-02-29'),
    /no such day/,
  ],
  [
    'segments.csv',
    'retired_on',
    '1999-01-01',
    segment.replace('SX', 'SXb').replace('01-01,,', '01-01,1999-01-01,'),
    /before energised_on/,
  ],
  [
    'segments.csv',
    'replaces_segment_id',
    'S77',
    segment.replace('SX', 'SXc').replace('01-01,,,', '01-01,,S77,'),
    /has 'S77'/,
  ],
  [
    'segments.csv',
    'customers',
    '1.5',
    segment.replace('SX', 'SXd').replace(',1,yes', ',1.5,yes'),
    /whole number, such as 2/,
  ],
  ['segments.csv', 'alternate_supply', 'maybe', segment.replace('SX', 'SXe').replace(',yes,', ',maybe,'), /yes or no/],
  ['segments.csv', '', '18', `${segment.replace('SX', 'SXf')},extra`, /18 cells, the header 17/],
  ['tests.csv', 'leakage', '0', reading.replace('3.5', '0'), /floor and below_floor true/],
  ['tests.csv', 'leakage_unit', 'A', reading.replace('TX', 'TY').replace('uA', 'A'), /one of nA, uA, mA/],
  ['tests.csv', 'humidity_pct', '140', reading.replace('TX', 'TZ').replace(',60,', ',140,'), /at most 100 %/],
  ['tests.csv', 'instrument_id', 'I9', reading.replace('TX', 'TU').replace('I1', 'I9'), /instruments\.csv/],
  [
    'tests.csv',
    'method',
    'dc_step',
    'T1,S1,2015-06-01,A,dc_step,maintenance,21,15,3.5,uA,false,14,18,60,withstood,I1,mill,',
    /dc_withstand on line 2/,
  ],
  [
    'tests.csv',
    'phase',
    'B',
    'T1,S1,2015-06-01,B,dc_withstand,maintenance,20,15,3,uA,false,14,18,60,withstood,I1,mill,',
    /Line 3 has this phase/,
  ],
  ['splices.csv', 'kind', 'glued', 'J9,S1,ABC,10,glued,2001-01-01,', /one of taped/],
  ['calibrations.csv', 'due_on', '2015-01-01', 'K9,I1,2016-02-01,2015-01-01,C', /before calibrated_on/],
];

function brokenFolder(): string {
  const files = { ...smallFolder };
  for (const [file, , , row] of kinds) files[file] = `${files[file]}${row}\n`;
  return writeFolder(files);
}

/** The line on which the n-th broken row of a file stands. */
function lineOf(at: number): number {
  const file = kinds[at]![0];
  const before = kinds.slice(0, at).filter((kind) => kind[0] === file).length;
  return smallFolder[file]!.split('\n').length + before;
}

test('twenty and more broken rows of as many kinds are each named by file, line, column, value and what would be right', async () => {
  const { core, take } = await newFleet();
  const { refusedRows, refusedCount, committed } = await take([brokenFolder()], { dryRun: true });
  expect(kinds.length).toBeGreaterThanOrEqual(20);
  expect(committed).toBe(false);
  kinds.forEach(([file, column, value, , right], at) => {
    expect(refusedRows).toContainEqual({
      file,
      line: lineOf(at),
      column,
      value,
      message: expect.stringMatching(right),
    });
  });
  // Nothing but the broken rows is refused.
  expect(refusedCount).toBe(kinds.length);
  expect(refusedRows.length).toBe(kinds.length);
  core.close();
});

test('one refused row is enough that nothing is changed, and all refused rows stand in a CSV beside the fleet', async () => {
  const { core, refused, take, file } = await newFleet();
  await take([writeFolder(smallFolder)]);
  const before = join(newDir(), 'before');
  await core.send('fleet.export', { out: before });
  const problem = await refused([brokenFolder()]);
  expect(problem.code).toBe('bad-input');
  expect(problem.message).toContain(`${kinds.length} of`);
  expect(problem.details?.length).toBe(kinds.length);
  const after = join(newDir(), 'after');
  await core.send('fleet.export', { out: after });
  expect(bytesOf(after)).toEqual(bytesOf(before));
  const info = await core.send('fleet.info', {});
  expect(info.ok && info.value.revision).toBe(1);
  const report = parse(readFileSync(file.replace('.fleet', '.refused.csv')), { columns: true }) as {
    file: string;
    line: string;
  }[];
  expect(report.map((row) => `${row.file} ${row.line}`).sort()).toEqual(
    kinds.map((kind, at) => `${kind[0]} ${lineOf(at)}`).sort(),
  );
  core.close();
});

test('of more than two hundred refused rows the first two hundred are named, all are counted, and all are in the file named', async () => {
  const { core, take, file } = await newFleet();
  const rows = Array.from({ length: 2500 }, (_, i) => `J${i + 10},S1,ABC,x${i},taped,2001-01-01,`);
  const folder = writeFolder({ ...smallFolder, 'splices.csv': `${smallFolder['splices.csv']}${rows.join('\n')}\n` });
  const report = join(newDir(), 'wrong.csv');
  const { refusedRows, refusedCount } = await take([folder], { dryRun: true, refused: report });
  expect(refusedRows.length).toBe(200);
  expect(refusedCount).toBe(2500);
  expect((parse(readFileSync(report)) as unknown[]).length).toBe(2501);
  expect(existsSync(file.replace('.fleet', '.refused.csv'))).toBe(false);
  core.close();
});

test('a refused segment does not take the rows that name it along', async () => {
  const { core, take } = await newFleet();
  const folder = writeFolder({ ...smallFolder, 'segments.csv': smallFolder['segments.csv']!.replace('250.5', 'long') });
  const { refusedRows } = await take([folder], { dryRun: true });
  expect(refusedRows.map((row) => `${row.file} ${row.line} ${row.column}`)).toEqual(['segments.csv 2 length']);
  core.close();
});

test.each([
  [
    'a missing needed column',
    'segments.csv',
    (text: string) => text.replace('length_unit', 'unit'),
    'length_unit',
    /lacks the column/,
  ],
  ['the same column twice', 'feeders.csv', (text: string) => text.replace('customers', 'name'), 'name', /twice/],
  ['semicolons', 'feeders.csv', (text: string) => text.replaceAll(',', ';'), '', /commas/],
  ['nothing in it', 'feeders.csv', () => '', '', /empty/],
])('a file with %s is refused as a whole, at its first line', async (_, name, change, column, right) => {
  const { core, take } = await newFleet();
  const folder = writeFolder({ ...smallFolder, [name]: change(smallFolder[name]!) });
  const { refusedRows } = await take([folder], { dryRun: true });
  expect(refusedRows[0]).toMatchObject({ file: name, line: 1, column, message: expect.stringMatching(right) });
  core.close();
});

test.each([
  ['UTF-16', (text: string) => Buffer.from(`\uFEFF${text}`, 'utf16le'), 1, /UTF-16.*CSV UTF-8/],
  [
    'Windows-1252',
    (text: string) => Buffer.from(text.replace('Mill Lane 2,', 'M\xfchlweg,'), 'latin1'),
    3,
    /Windows-1252.*CSV UTF-8/,
  ],
])('a file in %s is refused with what to do', async (_, encoded, line, right) => {
  const { core, take } = await newFleet();
  const folder = writeFolder({ ...smallFolder, 'segments.csv': encoded(smallFolder['segments.csv']!) });
  const { refusedRows } = await take([folder], { dryRun: true });
  expect(refusedRows[0]).toMatchObject({ file: 'segments.csv', line, message: expect.stringMatching(right) });
  core.close();
});

test('a folder spoiled anywhere is taken or refused with a place, and the fleet never holds half of it', async () => {
  const { core } = await newFleet();
  const names = Object.keys(smallFolder);
  const spoil = fc.record({
    name: fc.constantFrom(...names),
    at: fc.nat(1000),
    cut: fc.nat(3),
    put: fc.string({
      unit: fc.constantFrom(',', '"', '\n', '\r', '-', '9', '.', 'e', 'é', '\0', ' ', "'", '='),
      maxLength: 5,
    }),
  });
  let taken = 0;
  let refused = 0;
  await fc.assert(
    fc.asyncProperty(fc.array(spoil, { minLength: 1, maxLength: 2 }), async (spoils) => {
      const files = { ...smallFolder };
      for (const { name, at, cut, put } of spoils) {
        const text = files[name]!;
        const from = at % text.length;
        files[name] = text.slice(0, from) + put + text.slice(from + cut);
      }
      const before = await core.send('fleet.info', {});
      const reply = await core.send('fleet.import', { paths: [writeFolder(files)] });
      const after = await core.send('fleet.info', {});
      if (!before.ok || !after.ok) throw new Error('fleet.info failed');
      if (reply.ok) taken++;
      else {
        refused++;
        expect(reply.problem.code).toBe('bad-input');
        expect(reply.problem.details!.join()).toMatch(/line \d+/);
        expect(after.value).toEqual(before.value);
      }
    }),
    { seed: 20, numRuns: 150 },
  );
  expect(taken).toBeGreaterThan(5);
  expect(refused).toBeGreaterThan(50);
  core.close();
});

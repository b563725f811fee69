import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, test } from 'vitest';
import { bytesOf, newDir, newFleet, smallFolder, withFile, writeFolder } from './folder.ts';

interface Line {
  readonly seq: number;
  readonly what: string;
  readonly after: string;
}
const rowsOf = <T = Record<string, unknown>>(file: string, sql: string): T[] => {
  const db = new Database(file, { readonly: true });
  try {
    return db.prepare(sql).all() as T[];
  } finally {
    db.close();
  }
};
const replaced = (name: string, from: string, to: string) =>
  writeFolder(withFile(name, (text) => text.replace(from, to)));

describe('a fleet folder', () => {
  test('is taken in whole, with one ledger line that names each file by its SHA-256', async () => {
    const { core, take, file } = await newFleet();
    const reply = await take([writeFolder(smallFolder)]);
    expect(reply).toMatchObject({ committed: true, changes: 15, refusedCount: 0, revision: 1 });
    core.close();
    const lines = rowsOf<Line>(file, 'select seq, what, after from ledger');
    expect(lines.map((line) => line.what)).toEqual(['import']);
    expect(JSON.parse(lines[0]!.after).files.length).toBe(9);
    expect(JSON.parse(lines[0]!.after).files[0].sha256).toMatch(/^[0-9a-f]{64}$/);
    expect(rowsOf(file, 'select utility_name from fleet')).toEqual([{ utility_name: 'Unnamed utility' }]);
  });

  test('keeps what was typed beside what it means: feet and kilofeet in metres, nA in µA (1 ft = 0.3048 m exactly, 1959 agreement)', async () => {
    const { core, take, file } = await newFleet();
    await take([writeFolder(smallFolder)]);
    core.close();
    const segments = rowsOf(
      file,
      'select owner_id, length_m, length_typed, length_typed_unit from segment order by owner_id',
    );
    expect(segments.map((row) => [row.length_typed, row.length_typed_unit])).toEqual([
      [250.5, 'm'],
      [1200, 'ft'],
      [1.2, 'kft'],
    ]);
    expect(segments[0]!.length_m).toBe(250.5);
    expect(segments[1]!.length_m).toBeCloseTo(365.76, 9);
    expect(segments[2]!.length_m).toBeCloseTo(365.76, 9);
    const readings = rowsOf(
      file,
      `select e.owner_id, phase, step, leakage_ua, leakage_typed, leakage_typed_unit, below_floor, note
       from reading join test_event e on e.id = test_event_id order by 1, 2, 3`,
    );
    expect(readings.map((row) => [row.owner_id, row.phase, row.step, row.leakage_ua, row.below_floor])).toEqual([
      ['T1', 'A', 0, 3.5, 0],
      ['T1', 'B', 0, 0.8, 0],
      ['T1', 'C', 0, 1, 1],
      ['T2', 'A', 0, 0.2, 0],
      ['T2', 'A', 1, 0.5, 0],
    ]);
    expect(readings[1]).toMatchObject({ leakage_typed: 800, leakage_typed_unit: 'nA' });
    expect(readings[2]!.note).toBe('under the floor, so noted');
  });

  test('taken twice changes nothing and writes no ledger line', async () => {
    const { core, take, file } = await newFleet();
    const folder = writeFolder(smallFolder);
    await take([folder]);
    const again = await take([folder]);
    expect(again).toMatchObject({ committed: false, changes: 0, revision: 1 });
    expect(again.files.every((one) => one.same === one.rows)).toBe(true);
    core.close();
    expect(rowsOf(file, 'select seq from ledger').length).toBe(1);
  });

  test('with CRLF, a byte order mark, quotes, blanks around numbers and yes for true says the same', async () => {
    const { core, take } = await newFleet();
    await take([writeFolder(smallFolder)]);
    const dressed = Object.fromEntries(
      Object.entries(smallFolder).map(([name, text]) => [name, `\uFEFF${text.replaceAll('\n', '\r\n')}`]),
    );
    dressed['tests.csv'] = dressed['tests.csv']!.replaceAll(',false,', ',no,')
      .replace(',3.5,', ', 3.50 ,')
      .replace(',nA,', ',"nA",');
    expect((await take([writeFolder(dressed)])).changes).toBe(0);
    core.close();
  });

  test('may leave files out, has unknown files and columns left alone with a word, and one file alone is known by its header', async () => {
    const { core, take } = await newFleet();
    await take([writeFolder(smallFolder)]);
    const folder = writeFolder({
      'truth.csv': 'a,b\n1,2\n',
      'feeders.csv': smallFolder['feeders.csv']!.replaceAll('\n', ',x\n'),
      'my-splices.csv': smallFolder['splices.csv']!.replace('J1', 'J2'),
    });
    const { words, files } = await take([folder]);
    expect(files.map((one) => one.file)).toEqual(['feeders.csv']);
    expect(words.join(' ')).toMatch(/truth\.csv is left alone.*feeders\.csv: left alone the columns x/);
    expect((await take([join(folder, 'my-splices.csv')])).files).toEqual([
      { file: 'my-splices.csv', rows: 1, added: 1, changed: 0, same: 0, refused: 0 },
    ]);
    core.close();
  });

  test('with what is no fleet folder is refused with a reason', async () => {
    const { core, refused } = await newFleet();
    expect((await refused([join(newDir(), 'nowhere')])).message).toContain('no such file or folder');
    expect((await refused([newDir()])).message).toContain('holds none of');
    expect((await refused([join(writeFolder({ 'b.csv': 'x,y\n' }), 'b.csv')])).message).toContain('header');
    core.close();
  });
});

describe('a folder taken in again with changes', () => {
  test('changes the record in place and keeps what it was in the ledger', async () => {
    const { core, take, file } = await newFleet();
    await take([writeFolder(smallFolder)]);
    const { files } = await take([replaced('segments.csv', '250.5,m', '0.2505,km')]);
    expect(files.find((one) => one.file === 'segments.csv')).toMatchObject({ added: 0, changed: 1, same: 2 });
    core.close();
    expect(rowsOf(file, "select length_m, ledger_seq from segment where owner_id = 'S1'")).toEqual([
      { length_m: 250.5, ledger_seq: 2 },
    ]);
    const changes = rowsOf<{ entity: string; before: string; before_seq: number }>(
      file,
      'select entity, before, before_seq from ledger_change where seq = 2',
    );
    expect(changes.length).toBe(1);
    expect(changes[0]).toMatchObject({ entity: 'segment', before_seq: 1 });
    expect(JSON.parse(changes[0]!.before)).toEqual(expect.arrayContaining(['S1', 250.5, 'm']));
  });

  test('adds a corrected test anew and keeps the old one, superseded', async () => {
    const { core, take, file } = await newFleet();
    await take([writeFolder(smallFolder)]);
    const folder = replaced('tests.csv', ',3.5,uA', ',5.3,uA');
    const { files } = await take([folder]);
    expect(files.find((one) => one.file === 'tests.csv')).toMatchObject({ changed: 3, same: 2 });
    expect((await take([folder])).changes).toBe(0);
    core.close();
    const events = rowsOf(
      file,
      `select e.id, e.ledger_seq, e.supersedes_id, e.superseded_by_id,
         (select leakage_ua from reading r where r.test_event_id = e.id and phase = 'A') as ua
       from test_event e where owner_id = 'T1' order by ledger_seq`,
    );
    expect(events.map((row) => row.ua)).toEqual([3.5, 5.3]);
    expect(events[0]!.superseded_by_id).toBe(events[1]!.id);
    expect(events[1]!.supersedes_id).toBe(events[0]!.id);
    expect(events[1]!.superseded_by_id).toBe(null);
  });

  test('leaves what its files do not speak of: absent rows stay, absent columns keep their values', async () => {
    const { core, take } = await newFleet();
    await take([writeFolder(smallFolder)]);
    const before = join(newDir(), 'a');
    await core.send('fleet.export', { out: before });
    const narrow = writeFolder({
      'segments.csv':
        'segment_id,feeder_id,name,length,length_unit,insulation,phases\nS2,F1,Mill Lane 2,1200,ft,HMWPE,ABC\n',
      'tests.csv': smallFolder['tests.csv']!.replace(',humidity_pct', ',h').replace(',note', ',n'),
    });
    expect((await take([narrow])).changes).toBe(0);
    core.close();
  });

  test('sets the owner’s limit anew', async () => {
    const { core, take, file } = await newFleet();
    await take([writeFolder(smallFolder)]);
    await take([replaced('limits.csv', '7.5', '8')]);
    core.close();
    expect(rowsOf(file, 'select insulation, limit_ns_per_km, source, set_on from leakage_limit')).toEqual([
      { insulation: 'XLPE', limit_ns_per_km: 8, source: 'owner, limits.csv', set_on: '2026-01-15' },
    ]);
  });
});

describe('an import', () => {
  test('does not mind readings of one test that stand apart, and sorts steps by voltage', async () => {
    const { core, take } = await newFleet();
    await take([writeFolder(smallFolder)]);
    const [header, ...rows] = smallFolder['tests.csv']!.trim().split('\n');
    const mixed = [header, rows[4], rows[0], rows[3], rows[2], rows[1], ''].join('\n');
    expect(await take([writeFolder({ ...smallFolder, 'tests.csv': mixed })])).toMatchObject({
      changes: 0,
      refusedCount: 0,
    });
    core.close();
  });

  test('refuses readings of one test in two files of one import, and says which line', async () => {
    const { core, refused } = await newFleet();
    const [header, first, ...others] = smallFolder['tests.csv']!.trim().split('\n');
    const second = writeFolder({ 'tests.csv': `${header}\n${first}\n` });
    const problem = await refused([
      writeFolder({ ...smallFolder, 'tests.csv': `${[header, ...others].join('\n')}\n` }),
      second,
    ]);
    expect(problem.details).toEqual([expect.stringMatching(/tests\.csv line 2, column test_id: 'T1': Another file/)]);
    core.close();
  });

  test('takes a segment that names a later row as the one it replaces', async () => {
    const { core, take, file } = await newFleet();
    const [header, s1, s2, s3] = smallFolder['segments.csv']!.trim().split('\n');
    await take([writeFolder({ ...smallFolder, 'segments.csv': `${[header, s3, s2, s1].join('\n')}\n` })]);
    core.close();
    expect(
      rowsOf(file, 'select a.owner_id as a, b.owner_id as b from segment a join segment b on b.id = a.replaces_id'),
    ).toEqual([{ a: 'S3', b: 'S2' }]);
  });

  test('run dry says what would change and changes nothing', async () => {
    const { core, take, file } = await newFleet();
    const reply = await take([writeFolder(smallFolder)], { dryRun: true });
    expect(reply).toMatchObject({ committed: false, changes: 15, revision: 0 });
    core.close();
    expect(rowsOf(file, 'select * from segment')).toEqual([]);
    expect(rowsOf(file, 'select * from fleet')).toEqual([]);
  });

  test('of a preview is refused when the files or the fleet moved on since', async () => {
    const { core, take, refused } = await newFleet();
    const folder = writeFolder(smallFolder);
    const { preview } = await take([folder], { dryRun: true });
    const other = replaced('splices.csv', 'heat_shrink', 'taped');
    expect((await refused([other], { preview })).code).toBe('moved-on');
    expect(await take([folder], { preview })).toMatchObject({ committed: true });
    expect((await refused([folder], { preview })).code).toBe('moved-on');
    core.close();
  });

  test('cancelled on its way leaves nothing', async () => {
    const { core, refused, file } = await newFleet();
    const rows = Array.from({ length: 12_000 }, (_, i) => `J${i},S1,ABC,${i % 200},taped,2001-01-01,`).join('\n');
    const folder = writeFolder({
      ...smallFolder,
      'splices.csv': `${smallFolder['splices.csv']}${rows.replace('J1,', 'JX,')}\n`,
    });
    let said = 0;
    const words: string[] = [];
    const problem = await refused(
      [folder],
      {},
      {
        onProgress: (_done, _total, word) => {
          said++;
          words.push(word);
        },
        stopped: () => said > 4,
      },
    );
    expect(problem.code).toBe('cancelled');
    expect(words.join('\n')).toMatch(/splices\.csv: [\d,]+ rows, [\d,]+ rows a second/);
    // It began with '0 rows a second'.
    expect(words[0]).toMatch(/: 0 rows$/);
    expect(rowsOf(file, 'select * from segment')).toEqual([]);
    expect(rowsOf(file, 'select * from ledger')).toEqual([]);
    core.close();
  });
});

describe('an exported folder', () => {
  test('taken into a new fleet and exported again has the same bytes', async () => {
    const first = await newFleet();
    await first.take([
      writeFolder({
        ...smallFolder,
        'substations.csv': 'substation_id,name,region\nU1,"=2+3, ""quoted""\nand more",\'-x\n',
      }),
    ]);
    const [a, b] = [join(newDir(), 'a'), join(newDir(), 'b')];
    await first.core.send('fleet.export', { out: a });
    const second = await newFleet();
    await second.take([a]);
    await second.core.send('fleet.export', { out: b });
    expect(bytesOf(b)).toEqual(bytesOf(a));
    expect(readFileSync(join(a, 'substations.csv'), 'utf8')).toContain(`U1,"'=2+3, ""quoted""\nand more",'-x`);
    expect(readFileSync(join(a, 'segments.csv'), 'utf8')).toContain('1.2,kft');
    first.core.close();
    second.core.close();
  });

  test('whose data package types a column otherwise, or lacks one that it names, is refused', async () => {
    const { core, take } = await newFleet();
    await take([writeFolder(smallFolder)]);
    const out = join(newDir(), 'out');
    await core.send('fleet.export', { out });
    const files = bytesOf(out);
    const document = JSON.parse(files['datapackage.json']!);
    document.resources[2].schema.fields.find((field: { name: string }) => field.name === 'length').type = 'string';
    files['datapackage.json'] = JSON.stringify(document);
    files['feeders.csv'] = files['feeders.csv']!.replace('peak_load_kva', 'load');
    const { refusedRows } = await take([writeFolder(files)], { dryRun: true });
    expect(refusedRows.map((row) => [row.file, row.column])).toEqual([
      ['datapackage.json', 'segments.length'],
      ['feeders.csv', 'peak_load_kva'],
    ]);
    core.close();
  });
});

import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { strToU8, zipSync } from 'fflate';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { TraceRow } from '../../core/contract/shapes/records.ts';
import { main } from '../../electron/command/main.ts';
import { temporaryFolder } from '../hosts/small-fleet.ts';
import { layouts, writeTrace } from '../trace/generator/layouts.ts';
import { drawPlan, type MadeTrace, makeTrace } from '../trace/generator/model.ts';

// The answer's keys and their order are a promise to programs: section 6 of the design names them.
const keys = [
  'file',
  'ok',
  'reason',
  'outcome',
  'voltage_kv',
  'ramp_kv_per_s',
  'dwell_s',
  'leakage_ua',
  'leakage_spread_ua',
  'resistance_mohm',
  'one_minute_ua',
  'absorption_ratio',
  'absorption_n',
  'steady_ua',
  'capacitance_nf',
  'steps',
  'breakdown_at_s',
  'breakdown_kv',
];

const home = temporaryFolder('read-trace');
afterAll(home.clear);
const traces: MadeTrace[] = [];
const names: string[] = [];
beforeAll(async () => {
  for (const [layout] of layouts.entries()) {
    const made = makeTrace(drawPlan(layout + 1));
    const { name, bytes } = await writeTrace(made, layout);
    writeFileSync(join(home.folder, name), bytes);
    traces.push(made);
    names.push(name);
  }
  writeFileSync(join(home.folder, 'notes.txt'), 'The key is under the mat.\n');
});

/** The command line in this process, called in the folder of the files. */
async function readTrace(...words: string[]) {
  const said = { stdout: '', stderr: '' };
  const out = {
    stdout: (text: string) => {
      said.stdout += text;
    },
    stderr: (text: string) => {
      said.stderr += text;
    },
    live: false,
  };
  const code = await main(['read-trace', ...words], out, home.folder);
  return { ...said, code };
}

test('an array on stdout, one object a file in the order given, with the fixed keys, and null for what is unknown', async () => {
  const { code, stdout } = await readTrace(...names, '--json');
  const rows = JSON.parse(stdout) as TraceRow[];
  expect(code).toBe(0);
  expect(rows.map((row) => row.file)).toEqual(names);
  for (const [at, row] of rows.entries()) {
    const { truth } = traces[at]!;
    expect(Object.keys(row)).toEqual(keys);
    expect(TraceRow.safeParse(row).success).toBe(true);
    expect([names[at], row.ok, row.reason, row.outcome]).toEqual([names[at], true, null, truth.outcome]);
    if (truth.leakageUa === null) expect(row.leakage_ua).toBeNull();
    else
      expect(Math.abs(row.leakage_ua! - truth.leakageUa)).toBeLessThan(
        Math.max(0.02 * truth.leakageUa, truth.resolutionUa),
      );
    expect(row.breakdown_at_s === null).toBe(truth.breakdownAtS === null);
  }
});

test('a file that cannot be read says why, and the others are read', async () => {
  const { code, stdout } = await readTrace('notes.txt', names[0]!, 'not-there.csv', '--json');
  const rows = JSON.parse(stdout) as TraceRow[];
  expect(code).toBe(0);
  expect(rows.map((row) => [row.file, row.ok])).toEqual([
    ['notes.txt', false],
    [names[0], true],
    ['not-there.csv', false],
  ]);
  expect(rows[0]!.reason).toMatch(/no table of samples/);
  expect(rows[2]!.reason).toMatch(/no such file/);
});

test('nothing but files that cannot be read ends with 1, the reasons still on stdout', async () => {
  const { code, stdout } = await readTrace('notes.txt', '--json');
  expect(code).toBe(1);
  expect(JSON.parse(stdout)).toHaveLength(1);
});

test('a ZIP is read file by file, and so is a folder', async () => {
  const { bytes, name } = await writeTrace(traces[0]!, 0);
  const zip = zipSync({ [name]: bytes, 'readme.txt': strToU8('hello') });
  writeFileSync(join(home.folder, 'stick.zip'), zip);
  const zipped = JSON.parse((await readTrace('stick.zip', '--json')).stdout) as TraceRow[];
  expect(zipped.map((row) => [row.file, row.ok])).toEqual([
    [`stick.zip/${name}`, true],
    ['stick.zip/readme.txt', false],
  ]);
  const folder = JSON.parse((await readTrace('.', '--json')).stdout) as TraceRow[];
  expect(folder.filter((row) => row.ok)).toHaveLength(names.length + 1);
});

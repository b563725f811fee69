import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';

// Goal: a fleet folder of 200,000 segments is taken in within 2.0 × what the sqlite3 shell's bare .import takes to put
// the same rows into the same tables and indexes, with under 600 MB.
// Run: node tests/bench/import.bench.ts [SEGMENTS] (prints; decides nothing).
const self = import.meta.filename;
const now = () => new Date().toISOString();

interface Took {
  readonly seconds: number;
  readonly cpuSeconds: number;
  readonly peakMb: number;
}

/** Runs one ask in a process of its own, so that time and memory are its alone. */
async function inThisProcess(
  ask: 'demo.write' | 'fleet.import' | 'fleet.export',
  file: string,
  input: string,
): Promise<void> {
  const core = await openCore(file, { migrations, now, who: 'bench', create: true });
  const before = process.cpuUsage();
  const started = performance.now();
  const reply = await core.send(ask, JSON.parse(input));
  core.close();
  const seconds = (performance.now() - started) / 1000;
  if (!reply.ok) throw new Error(reply.problem.message);
  const { user, system } = process.cpuUsage(before);
  const took: Took = { seconds, cpuSeconds: (user + system) / 1e6, peakMb: process.resourceUsage().maxRSS / 1024 };
  console.log(JSON.stringify(took));
}

function measured(ask: string, file: string, input: object): Took {
  const child = spawnSync(process.execPath, [self, '--do', ask, file, JSON.stringify(input)], { encoding: 'utf8' });
  if (child.status !== 0) throw new Error(child.stderr);
  return JSON.parse(child.stdout.trim().split('\n').at(-1)!) as Took;
}

const tables = [
  'substation',
  'feeder',
  'segment',
  'splice',
  'termination',
  'intervention',
  'failure',
  'instrument',
  'calibration',
  'test_event',
  'reading',
  'leakage_limit',
];
// .import knows no NULL: what is unknown gets a value that the table's checks let pass.
const instead: Readonly<Record<string, string>> = {
  phase: "'A'",
  kind: "'taped'",
  part: "'cable'",
  purpose: "'maintenance'",
  outcome: "'withstood'",
  installation: "'duct'",
  conductor_material: "'Cu'",
  energised_on: "'1900-01-01'",
  installed_on: "'1900-01-01'",
};

/** The same tables and indexes in a file of their own, filled by the shell from CSV files of the same rows. */
function shellImport(fleet: string, folder: string): Took {
  const db = new Database(fleet, { readonly: true });
  const schema = db
    .prepare(
      `select sql from sqlite_schema where sql is not null and type <> 'trigger' and tbl_name in (${tables.map(() => '?').join()}) order by type desc`,
    )
    .pluck()
    .all(tables) as string[];
  db.close();
  const ddl = schema
    .map((text) =>
      text.replace('digest blob', 'digest text').replace('superseded_by_id is not null', "superseded_by_id <> ''"),
    )
    .map((text) => text.replace('superseded_by_id is null', "superseded_by_id = ''"));
  const out = tables.map((table) => dumpText(fleet, table, join(folder, `${table}.csv`)));
  sh(['-bail', fleet], `.mode csv\n${out.join('\n')}\n`);
  const target = join(folder, 'shell.db');
  rmSync(target, { force: true });
  sh([target], `${ddl.join(';\n')};\n`);
  const script = join(folder, 'import.sql');
  writeFileSync(
    script,
    `.bail on\n.mode csv\n${tables.map((table) => `.import ${join(folder, `${table}.csv`)} ${table}`).join('\n')}\n`,
  );
  const timed = spawnSync('bash', ['-c', `time -p sqlite3 ${target} < ${script}`], {
    encoding: 'utf8',
    env: { ...process.env, LC_ALL: 'C' },
  });
  if (timed.status !== 0) throw new Error(timed.stderr);
  const [seconds, user, system] = ['real', 'user', 'sys'].map((word) =>
    Number(new RegExp(`${word} ([\\d.]+)`).exec(timed.stderr)![1]),
  );
  return { seconds: seconds!, cpuSeconds: user! + system!, peakMb: Number.NaN };
}

function dumpText(fleet: string, table: string, path: string): string {
  const db = new Database(fleet, { readonly: true });
  const columns = db.prepare('select name, type from pragma_table_info(?)').all(table) as {
    name: string;
    type: string;
  }[];
  db.close();
  const selects = columns.map(({ name, type }) => {
    if (name === 'digest') return 'substr(hex(digest), 1, 32)';
    const numeric = type === 'REAL' || type === 'INTEGER';
    const usual = numeric
      ? name === 'insulation_level_pct'
        ? '133'
        : '1'
      : name.endsWith('_on')
        ? "'2300-01-01'"
        : "''";
    return `coalesce(${name}, ${instead[name] ?? usual})`;
  });
  return `.once ${path}\nselect ${selects.join(', ')} from ${table};`;
}

function sh(args: readonly string[], script: string): void {
  const done = spawnSync('sqlite3', args, { input: script, encoding: 'utf8' });
  if (done.status !== 0) throw new Error(done.stderr);
}

const words = ({ seconds, cpuSeconds, peakMb }: Took) =>
  `${seconds.toFixed(1)} s (CPU ${cpuSeconds.toFixed(1)} s${Number.isNaN(peakMb) ? '' : `, peak ${Math.round(peakMb)} MB`})`;

function main(segments: number): void {
  const folder = mkdtempSync(join(tmpdir(), 'import-bench-'));
  try {
    const [demo, fleet, csv] = [join(folder, 'demo.fleet'), join(folder, 'new.fleet'), join(folder, 'csv')];
    console.log(`demo of ${segments} segments: ${words(measured('demo.write', demo, { segments }))}`);
    console.log(
      `export: ${words(measured('fleet.export', demo, { out: csv }))}, tests.csv ${Math.round(statSync(join(csv, 'tests.csv')).size / 1e6)} MB`,
    );
    const taken = measured('fleet.import', fleet, { paths: [csv] });
    console.log(`import: ${words(taken)}, peak ${(taken.peakMb / 600).toFixed(2)} of the goal`);
    console.log(`the same again: ${words(measured('fleet.import', fleet, { paths: [csv] }))}`);
    if (spawnSync('sqlite3', ['--version']).status !== 0) {
      console.log('no sqlite3 shell here: nothing to compare with');
      return;
    }
    const shell = shellImport(fleet, folder);
    console.log(`sqlite3 shell's .import of the same rows: ${words(shell)}`);
    const ratio = taken.seconds / shell.seconds;
    const cpu = taken.cpuSeconds / shell.cpuSeconds;
    console.log(`import ÷ shell: ${ratio.toFixed(2)} by the clock, ${cpu.toFixed(2)} by CPU (goal 2.0)`);
  } finally {
    if (existsSync(folder)) rmSync(folder, { recursive: true });
  }
}

const [verb, ask, file, input] = process.argv.slice(2);
if (verb === '--do') await inThisProcess(ask as 'fleet.import', file!, input!);
else main(Number(verb ?? 200_000));

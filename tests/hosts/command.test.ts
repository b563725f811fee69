import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { hostname } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { asks } from '../../core/contract/asks/index.ts';
import { main } from '../../electron/command/main.ts';
import { commands } from '../../electron/command/options.ts';
import { printed } from '../../electron/command/print.ts';
import { workingFolder } from '../../electron/command/working-folder.ts';
import { lockFileOf } from '../../electron/lock.ts';
import { makeSmallFleet, temporaryFolder } from './small-fleet.ts';

const root = join(import.meta.dirname, '../..');
const home = temporaryFolder('command');
let fleet: string;
beforeAll(async () => {
  fleet = await makeSmallFleet(home.file('command.fleet'), home.file('folder'));
});
afterAll(home.clear);

/** The command line in this process: what it wrote, and its exit code. */
async function yearbook(...words: string[]) {
  let stdout = '';
  let stderr = '';
  const out = { stdout: (text: string) => (stdout += text), stderr: (text: string) => (stderr += text), live: false };
  const code = await main(
    words,
    { ...out, stdout: (t) => void out.stdout(t), stderr: (t) => void out.stderr(t) },
    home.folder,
  );
  return { code, stdout, stderr };
}

const words = [...new Set([...commands.map((command) => command.word), 'serve'])];

describe('what it says of itself', () => {
  test('every command has its own help on stdout, exit 0', async () => {
    for (const word of words) {
      const said = await yearbook(word, '--help');
      expect([word, said.code, said.stderr]).toEqual([word, 0, '']);
      expect(said.stdout).toMatch(new RegExp(`^yearbook ${word}\\b`));
    }
  });

  test('the help of a command names every field of its ask, and the words the table has for it', async () => {
    for (const { word, ask } of commands) {
      const { stdout } = await yearbook(word, '--help');
      expect(stdout).toContain(asks[ask].help);
      const { properties = {} } = z.toJSONSchema(asks[ask].input, { io: 'input', unrepresentable: 'any' }) as {
        properties?: object;
      };
      const positional: readonly string[] = commands.find((command) => command.word === word)!.spec.positional ?? [];
      for (const field of Object.keys(properties).filter((name) => !positional.includes(name)))
        expect([word, stdout]).toEqual([
          word,
          expect.stringMatching(new RegExp(`--(no-)?${field.replace(/[A-Z]/g, (l) => `-${l.toLowerCase()}`)}\\b`)),
        ]);
    }
  });

  test('without a command it lists them all and exits 2; --help the same with 0', async () => {
    const bare = await yearbook();
    const asked = await yearbook('--help');
    expect([bare.code, asked.code]).toEqual([2, 0]);
    for (const word of words) expect(asked.stdout).toMatch(new RegExp(`^ {2}${word}\\b`, 'm'));
  });

  test('the README names every command', () => {
    const readme = readFileSync(join(root, 'README.md'), 'utf8');
    const missing = words.filter((word) => !new RegExp(`[\`\\s]${word}[\`\\s]`).test(readme));
    expect(missing).toEqual([]);
  });

  test('no two asks share a word, and every field a command takes by place exists', () => {
    expect(new Set(words).size).toBe(commands.length + 1);
    for (const { word, spec, options } of commands)
      for (const field of spec.positional ?? [])
        expect([word, options.some((option) => option.field === field)]).toEqual([word, true]);
  });
});

describe('bad usage: exit 2, the reason on stderr, nothing on stdout', () => {
  test.each([
    [['rnk'], 'There is no command'],
    [['rank'], 'needs --fleet'],
    [['rank', '--fleet'], '--fleet needs a value'],
    [['rank', '--fleet', 'f', '--tpo', '3'], 'no option --tpo'],
    [['rank', '--fleet', 'f', '--top', 'three'], 'not a number'],
    [['rank', '--fleet', 'f', '--top', '0'], 'at least 1'],
    [['rank', '--fleet', 'f', '--top', '1.5'], '--top'],
    [['rank', '--fleet', 'f', '--as-of', '2024-02-30'], '--as-of'],
    [['rank', '--fleet', 'f', '--no-top'], 'no option --no-top'],
    [['rank', '--fleet', 'f', 'stray'], 'stray'],
    [['import', '--fleet', 'f'], 'PATHS'],
    [['export', '--fleet', 'f'], '--out'],
    [['serve'], '--fleet'],
    [['serve', '--fleet', 'f', '--port', 'x'], '--port'],
    [['serve', '--wrong'], '--wrong'],
  ])('%j', async (typed, reason) => {
    const said = await yearbook(...typed);
    expect([said.code, said.stdout]).toEqual([2, '']);
    expect(said.stderr).toContain(reason);
  });
});

describe('refused with a reason: exit 1', () => {
  test('a fleet that is not there is not made by a command that only reads', async () => {
    const said = await yearbook('export', '--fleet', 'none.fleet', '--out', 'x');
    expect([said.code, said.stdout]).toEqual([1, '']);
    expect(said.stderr).toContain('There is no fleet file');
    expect(existsSync(home.file('none.fleet'))).toBe(false);
  });

  test('with --json the problem is on stdout as JSON, the words on stderr', async () => {
    const said = await yearbook('import', 'not-there', '--fleet', fleet, '--json');
    expect(said.code).toBe(1);
    const { problem } = JSON.parse(said.stdout) as { problem: { code: string; message: string } };
    expect(problem.code).not.toBe('fault');
    expect(said.stderr).toContain(problem.message);
  });

  test('a new fleet that got nothing is not left behind, neither refused nor only tried', async () => {
    const refused = await yearbook('import', 'not-there', '--fleet', 'nothing.fleet');
    const tried = await yearbook('import', 'folder', '--fleet', 'nothing.fleet', '--dry-run');
    expect([refused.code, tried.code]).toEqual([1, 0]);
    expect(readdirSync(home.folder).filter((name) => name.startsWith('nothing.fleet'))).toEqual([]);
  });

  // A key that was not there was told as a folder that could not hold one.
  test('a key file that is not there, in a folder that is, and in none', async () => {
    const none = await yearbook('verify', fleet, '--public-key', 'none.pem');
    expect(none.code).toBe(1);
    expect(none.stderr).toContain(`There is no ${home.file('none.pem')}.\n`);
    const far = await yearbook('verify', fleet, '--public-key', 'nowhere/none.pem');
    expect(far.stderr).toContain(`There is no ${home.file('nowhere/none.pem')}; its folder is not there either.\n`);
  });

  test('a file of another program', async () => {
    writeFileSync(home.file('letter.fleet'), 'Dear Sir or Madam, '.repeat(100));
    const said = await yearbook('export', '--fleet', 'letter.fleet', '--out', 'x');
    expect(said.code).toBe(1);
    expect(said.stderr).toContain('not a fleet file');
  });

  test('a command that writes, on a fleet another has, or with --read-only', async () => {
    const readOnly = await yearbook('import', 'folder', '--fleet', fleet, '--read-only');
    expect([readOnly.code, readOnly.stderr]).toEqual([1, expect.stringContaining('--read-only')]);
    writeFileSync(
      lockFileOf(fleet),
      JSON.stringify({ pid: process.pid, host: hostname(), began: null, since: 'noon', who: 'Ada' }),
    );
    const held = await yearbook('import', 'folder', '--fleet', fleet);
    expect([held.code, held.stderr]).toEqual([1, expect.stringContaining('Ada')]);
    const reads = await yearbook('export', '--fleet', fleet, '--out', 'while-held');
    expect([reads.code, reads.stderr]).toEqual([0, expect.stringContaining('reading only')]);
    spawnSync('rm', [lockFileOf(fleet)]);
  });
});

describe('done: exit 0', () => {
  test('paths are taken from the folder in which it was typed; the lock is gone afterwards', async () => {
    const said = await yearbook('export', '--fleet', 'command.fleet', '--out', 'plain');
    expect(said.code).toBe(0);
    expect(readFileSync(home.file('plain/segments.csv'), 'utf8')).toContain('Weir to Tannery');
    expect(existsSync(lockFileOf(fleet))).toBe(false);
  });

  test('--json prints the ask’s output alone on stdout', async () => {
    const said = await yearbook('import', 'folder', '--fleet', fleet, '--json', '--dry-run', '--who', 'Ada');
    const value = JSON.parse(said.stdout);
    expect(asks['fleet.import'].output.parse(value)).toMatchObject({ changes: 0, committed: false });
  });

  test('a new fleet is made by a command that may, and the name given stands in its ledger', async () => {
    const said = await yearbook('import', 'folder', '--fleet', 'fresh.fleet', '--who', 'Ada');
    expect([said.code, existsSync(home.file('fresh.fleet'))]).toEqual([0, true]);
    const { default: Database } = await import('better-sqlite3');
    const db = new Database(home.file('fresh.fleet'), { readonly: true });
    expect(db.prepare('select who from ledger where seq = 1').pluck().get()).toBe('Ada');
    db.close();
  });

  test('as its own process: the same code, answer on stdout, and it ends by itself', () => {
    const run = (...typed: string[]) =>
      spawnSync(process.execPath, [join(root, 'electron/command.ts'), ...typed], {
        cwd: home.folder,
        encoding: 'utf8',
        timeout: 200_000,
      });
    const done = run('export', '--fleet', 'command.fleet', '--out', 'by-process', '--json');
    expect([done.status, JSON.parse(done.stdout).folder]).toEqual([0, home.file('by-process')]);
    expect([run('rank').status, run('export', '--fleet', 'none', '--out', 'x').status]).toEqual([2, 1]);
  });
});

describe('how answers are printed', () => {
  test('sentences first, then names with units, then tables with numbers to the right', () => {
    const text = printed({
      lengthKm: 12.34567,
      sentence: 'Two cables grow.',
      rows: [
        {
          segment: 'C1',
          growthPctPerYr: 7.123456,
          level: { value: 1, lo: 0.5, hi: 2 },
          crosses: { known: false, because: 'one test only' },
        },
        { segment: 'C22', growthPctPerYr: -0.5, level: null, crosses: { known: true, year: 2031.25 } },
      ],
      none: [],
      madeOn: null,
    });
    expect(text.split('\n')).toEqual([
      'Two cables grow.',
      '',
      'length  12.35 km',
      '',
      'rows:',
      '  segment  growth %/yr  level        crosses',
      '  C1             7.123  1 (0.5 … 2)  one test only',
      '  C22             −0.5  –            year 2031.3',
      '',
    ]);
  });

  // A due list printed values between dots without saying what each was, a hyphen for minus, and the rule as JSON.
  test('values of a row stand by their names, negative ones with a true minus, records’ words as words', () => {
    const because = 'a level at 66 % of the limit on the day of its last test, and phases 4.9 : 1 apart';
    const row = {
      ownerId: 'S1',
      segment: 'Mill 1',
      daysLeft: -1855,
      action: 'splice_renewal',
      range: { lo: 1, hi: 2 },
      because,
    };
    const text = printed(
      {
        rules: [{ subject: 'retest interval', rule: '{"kind":"retest interval"}' }],
        rows: [row, { ...row, rule: 'ours' }],
      },
      { hides: ['rules.rule'], names: { ownerId: 'id', rows: 'tests' } },
    );
    expect(text).toContain('rules:\n  subject\n  retest interval\n');
    expect(text).toContain(
      'tests:\n  id S1 · Mill 1 · days left −1855 · action splice renewal · range 1 to 2\n    because',
    );
    expect(text).toContain('rule ours');
    expect(text).not.toContain('{"kind"');
  });

  test('the due list of the command line holds words alone', async () => {
    const { stdout } = await yearbook('due', '--fleet', fleet, '--on', '2027-06-01');
    expect(stdout).toMatch(/\n {2}C1 +Mill Lane to Weir .* 2027-04-01 +−61 {2}overdue /);
    expect(stdout).toContain('no line of the rule fits');
    expect(stdout).not.toMatch(/[{}]|\bnull\b|[\s(]-\d/);
    for (const line of stdout.split('\n').filter((each) => / · /.test(each)))
      expect(line.length).toBeLessThanOrEqual(110);
  });

  test('the help names only options that mean something to the command, a choice with blanks in quotes', async () => {
    expect((await yearbook('make-key', '--help')).stdout).not.toMatch(/--who|--read-only/);
    expect((await yearbook('import', '--help')).stdout).not.toContain('--read-only');
    const { stdout } = await yearbook('due', '--help');
    expect(stdout).toContain("overdue|'within 30 days'|");
    expect(stdout).toMatch(/later\n +only those overdue/);
    expect(stdout).toContain('--read-only');
  });

  test('a long list is cut and says how much is left', () => {
    const text = printed({ unranked: Array.from({ length: 600 }, (_, i) => ({ segment: `C${i}` })) });
    expect(text).toContain('… and 100 more');
    const short = printed(
      {
        items: Array.from({ length: 40 }, (_, i) => ({ year: 2027, parts: { a: i } })),
        gap: { known: true, amount: 0.25 },
        failures: [{ year: 2027, expected: { mean: 4.5, lo: 1, hi: 9 } }],
        asked: 'f0',
      },
      { rows: 30, allBy: 'csv', hides: ['asked', 'parts'] },
    );
    expect(short).toContain('… and 10 more (--csv OUT writes them, --json prints all)');
    expect(short).toContain('gap  0.25');
    expect(short).toContain('4.5 (1 … 9)');
    expect(short).not.toMatch(/asked|parts/);
  });

  test('a switch that is on is named by what turns it off; nothing is left without a word', async () => {
    const { stdout } = await yearbook('plan', '--help');
    expect(stdout).toMatch(/--no-carry-over +money left over goes into the next year, unless this is typed/);
    for (const { word } of commands) {
      const { stdout: said } = await yearbook(word, '--help');
      expect(said.split('\n').filter((line) => /^ {2}--\S+( [A-Z|a-z0-9]+)?$/.test(line.trimEnd()))).toEqual([]);
    }
  });
});

test('npm runs scripts in the project’s folder; INIT_CWD counts only where npm ran this very script', () => {
  expect(workingFolder({ npm_lifecycle_event: 'yearbook', INIT_CWD: '/home/ada' }, root)).toBe('/home/ada');
  expect(workingFolder({ npm_lifecycle_event: 'test', INIT_CWD: '/home/ada' }, root)).toBe(root);
  expect(workingFolder({ npm_lifecycle_event: 'yearbook', INIT_CWD: '/home/ada' }, '/elsewhere')).toBe('/elsewhere');
  expect(workingFolder({}, '/elsewhere')).toBe('/elsewhere');
});

import { execFileSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';

const root = join(import.meta.dirname, '../..');

/** Files of the project: as git knows them, else (an unpacked archive) what lies in the tree. */
function projectFiles(): string[] {
  try {
    const listed = execFileSync('git', ['ls-files', '--cached', '--others', '--exclude-standard'], {
      cwd: root,
      encoding: 'utf8',
      stdio: ['ignore', 'pipe', 'ignore'],
    });
    return listed.split('\n').filter((file) => file && existsSync(join(root, file)));
  } catch {
    const skipped = /^(node_modules|dist|release|\.git)(\/|$)/;
    return readdirSync(root, { recursive: true, encoding: 'utf8' }).filter(
      (file) => !skipped.test(file) && statSync(join(root, file)).isFile(),
    );
  }
}

const files = projectFiles();
const isCode = (file: string) => /\.(ts|tsx|mjs|css)$/.test(file);
const code = files.filter(isCode).map((file) => ({ file, text: readFileSync(join(root, file), 'utf8') }));

describe('the tree', () => {
  test('holds at its top what belongs there and nothing else', () => {
    const allowed = [
      '.biome.json',
      '.ci',
      '.editorconfig',
      '.gitignore',
      '.npmrc',
      'DEVELOPERS.md',
      'LICENSE',
      'README.md',
      'core',
      'electron',
      'migrations',
      'package-lock.json',
      'package.json',
      'renderer',
      'tests',
      'tsconfig.json',
    ];
    expect([...new Set(files.map((file) => file.split('/')[0]!))].filter((entry) => !allowed.includes(entry))).toEqual(
      [],
    );
  });

  test('leaves no note of work undone', () => {
    const word = new RegExp(`\\b${'TO'}DO\\b|\\b${'FIX'}ME\\b`);
    expect(code.filter(({ text }) => word.test(text)).map(({ file }) => file)).toEqual([]);
  });

  test('names no path of one machine', () => {
    const found = code.filter(
      ({ text }) => /['"`]\/(home|root|work|Users)\/[a-z]/.test(text) && !/tests\/hosts\/command/.test(text),
    );
    expect(found.map(({ file }) => file).filter((file) => file !== 'tests/hosts/command.test.ts')).toEqual([]);
  });

  test('pins every package to one version, and its lock names no host', () => {
    const { dependencies, devDependencies, optionalDependencies } = JSON.parse(
      readFileSync(join(root, 'package.json'), 'utf8'),
    );
    const versions = Object.values({ ...dependencies, ...devDependencies, ...optionalDependencies });
    expect(versions.filter((version) => !/^\d+\.\d+\.\d+$/.test(String(version)))).toEqual([]);
    expect(readFileSync(join(root, 'package-lock.json'), 'utf8')).not.toContain('"resolved"');
  });

  test('for information: its largest files', () => {
    const sizes = code
      .filter(({ file }) => !file.startsWith('tests/'))
      .map(({ file, text }) => ({ file, lines: text.split('\n').length }))
      .sort((a, b) => b.lines - a.lines);
    const median = sizes[Math.floor(sizes.length / 2)]!.lines;
    console.log(
      `${sizes.length} files, median ${median} lines; the largest: ${sizes
        .slice(0, 5)
        .map(({ file, lines }) => `${file} ${lines}`)
        .join(', ')}`,
    );
    const over = sizes.filter(({ lines }) => lines > 400);
    if (over.length > 0) console.log(`over 400 lines: ${over.map(({ file, lines }) => `${file} ${lines}`).join(', ')}`);
    expect(sizes.length).toBeGreaterThan(100);
  });
});

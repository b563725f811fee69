import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize, relative } from 'node:path';
import { describe, expect, test } from 'vitest';
import { asks } from '../../core/contract/asks/index.ts';
import { hostAsks } from '../../core/contract/host.ts';

// The house stands as long as its arrows point one way (DEVELOPERS.md, "The house"). The compiler holds the rooms apart
// where they are projects of their own; this holds the rest.
const root = join(import.meta.dirname, '../..');
const rooms = ['core', 'electron', 'renderer', 'migrations'];

interface Source {
  readonly file: string;
  readonly text: string;
  /** What it imports: project files by their path, packages by name. */
  readonly imports: readonly { readonly to: string; readonly typeOnly: boolean }[];
}

/** The text without comments, so that a sentence about the clock is not the clock; strings stay. */
const withoutComments = (text: string) => text.replace(/\/\*[\s\S]*?\*\//g, '').replace(/(^|\s)\/\/.*$/gm, '$1');

function read(file: string): Source {
  const text = readFileSync(join(root, file), 'utf8');
  const found = [
    ...text.matchAll(/^\s*(?:import|export)\s+(type\s)?(?:[^'"`;]*?\sfrom\s+)?'([^']+)'/gm),
    ...text.matchAll(/\b()import\(\s*'([^']+)'/g),
  ];
  const imports = found.map(([, typeOnly, to]) => ({
    to: to!.startsWith('.') ? normalize(join(dirname(file), to!)).replaceAll('\\', '/') : to!,
    typeOnly: typeOnly !== undefined && typeOnly !== '',
  }));
  return { file, text, imports };
}

const sources = rooms.flatMap((room) =>
  readdirSync(join(root, room), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.(ts|tsx)$/.test(entry.name))
    .map((entry) => read(relative(root, join(entry.parentPath, entry.name)).replaceAll('\\', '/'))),
);

const roomOf = (path: string): string => {
  const [top, second] = path.split('/');
  return top === 'core' && second !== undefined && !second.endsWith('.ts') ? `core/${second}` : top!;
};
const isPackage = (to: string) => !rooms.some((room) => to.startsWith(`${room}/`)) && to !== 'package.json';

/** Which rooms of core may use which; a room may always use itself. `core/contract` is open to those that name it. */
const mayUse: Readonly<Record<string, readonly string[]>> = {
  'core/contract': [],
  'core/numerics': [],
  'core/trade': [],
  'core/trace': ['core/numerics', 'core/trade'],
  'core/growth': ['core/numerics', 'core/trade'],
  'core/forecast': ['core/numerics', 'core/trade'],
  'core/plan': ['core/numerics', 'core/trade'],
  'core/intake': ['core/contract', 'core/trade', 'core/numerics'],
  'core/store': ['core/contract', 'core/trade'],
  'core/evidence': ['core/contract', 'core/trade'],
  'core/report': ['core/contract', 'core/trade'],
  'core/demo': ['core/numerics', 'core/trade'],
};
const pure = [
  'core/contract',
  'core/numerics',
  'core/trade',
  'core/trace',
  'core/growth',
  'core/forecast',
  'core/plan',
];

const inCore = sources.filter(({ file }) => file.startsWith('core/'));
const wrongOnes = (list: readonly Source[], isWrong: (to: string, typeOnly: boolean, from: Source) => boolean) =>
  list.flatMap((source) =>
    source.imports
      .filter(({ to, typeOnly }) => isWrong(to, typeOnly, source))
      .map(({ to }) => `${source.file} -> ${to}`),
  );

describe('who may know whom', () => {
  test('there is something to look at, and imports are found', () => {
    expect(inCore.length).toBeGreaterThan(50);
    expect(sources.find(({ file }) => file === 'core/index.ts')!.imports.map(({ to }) => to)).toContain(
      'core/store/open.ts',
    );
  });

  test('every room of core is on the list, or is one where the others meet', () => {
    const found = [...new Set(inCore.map(({ file }) => roomOf(file)))].filter(
      (room) => !['core', 'core/tasks'].includes(room),
    );
    expect(found.filter((room) => !Object.hasOwn(mayUse, room))).toEqual([]);
  });

  test('core knows nothing of the hosts, the window or the migrations', () => {
    expect(wrongOnes(inCore, (to) => /^(electron|renderer|migrations)\//.test(to) || to === 'electron')).toEqual([]);
  });

  test('the rooms of core are blind to each other and meet only in tasks', () => {
    const siblings = inCore.filter(({ file }) => Object.hasOwn(mayUse, roomOf(file)));
    const wrong = wrongOnes(siblings, (to, _typeOnly, { file }) => {
      const [from, target] = [roomOf(file), roomOf(to)];
      return target.startsWith('core') && target !== from && !mayUse[from]!.includes(target);
    });
    expect(wrong).toEqual([]);
  });

  test('the contract imports zod alone; numerics and trade import nothing at all', () => {
    const packagesOf = (room: string) =>
      inCore
        .filter(({ file }) => roomOf(file) === room)
        .flatMap(({ imports }) => imports.map(({ to }) => to))
        .filter(isPackage);
    expect([...new Set(packagesOf('core/contract'))]).toEqual(['zod']);
    expect(packagesOf('core/numerics')).toEqual([]);
    expect(packagesOf('core/trade')).toEqual([]);
  });

  test('SQL lives in the store: no other room of core builds, prepares or runs it', () => {
    const others = inCore.filter(({ file }) => roomOf(file) !== 'core/store');
    expect(wrongOnes(others, (to, typeOnly) => !typeOnly && to.startsWith('kysely'))).toEqual([]);
    const sql = /\.prepare\(|\.pragma\(|\b(selectFrom|insertInto|updateTable|deleteFrom)\(/;
    expect(others.filter(({ text }) => sql.test(withoutComments(text))).map(({ file }) => file)).toEqual([]);
  });

  test('the window knows the contract by its types, and nothing else of core or the hosts', () => {
    const window = sources.filter(({ file }) => file.startsWith('renderer/'));
    expect(
      wrongOnes(window, (to) => /^(core|electron|migrations)\//.test(to) && !to.startsWith('core/contract/')),
    ).toEqual([]);
    const values = window.flatMap(({ file, text }) =>
      [...text.matchAll(/^import\s+(?!type\s)([^'"]*)from\s+'[^']*core\/contract\/[^']*'/gm)]
        .filter(([, names]) => !/^\{(\s*type\s[^,}]+,?)+\s*\}/.test(names!.trim()))
        .map(([line]) => `${file}: ${line}`),
    );
    expect(values).toEqual([]);
  });

  test('migrations import kysely alone, and each other only from the index', () => {
    const list = sources.filter(({ file }) => file.startsWith('migrations/'));
    expect(
      wrongOnes(
        list,
        (to, _t, { file }) =>
          !to.startsWith('kysely') && !(file === 'migrations/index.ts' && to.startsWith('migrations/')),
      ),
    ).toEqual([]);
  });

  test('no import goes round in a circle', () => {
    const circles = findCircles(
      new Map(sources.map(({ file, imports }) => [file, imports.filter((each) => !each.typeOnly).map(({ to }) => to)])),
    );
    expect(circles).toEqual([]);
  });
});

describe('time and chance are handed in', () => {
  test('core reads no clock and draws no lots; keys of new records, and how long a thing took, come from elsewhere', () => {
    const wrong = inCore.flatMap(({ file, text }) =>
      [...withoutComments(text).matchAll(/\bDate\.now\(|\bnew Date\(\s*\)|\bMath\.random\(/g)].map(
        ([found]) => `${file}: ${found}`,
      ),
    );
    expect(wrong).toEqual([]);
  });

  test('the pure rooms touch no file, process or network', () => {
    const rooms = inCore.filter(({ file }) => pure.includes(roomOf(file)));
    expect(wrongOnes(rooms, (to) => to.startsWith('node:') && !['node:crypto', 'node:zlib'].includes(to))).toEqual([]);
    const wrong = rooms.flatMap(({ file, text }) =>
      [...withoutComments(text).matchAll(/\bprocess\.|\bfetch\(|\bperformance\.|\brandomUUID/g)].map(
        ([found]) => `${file}: ${found}`,
      ),
    );
    expect(wrong).toEqual([]);
  });
});

describe('the table of asks', () => {
  test('every ask has exactly one task', async () => {
    const { tasks } = await import('../../core/tasks/index.ts');
    expect(Object.keys(tasks).sort()).toEqual(Object.keys(asks).sort());
  });

  test('asks are named noun.verb, say what they do in a sentence, and take an object that knows its fields', () => {
    for (const [name, { help, input }] of [...Object.entries(asks), ...Object.entries(hostAsks)]) {
      expect(name).toMatch(/^[a-z]+\.[a-z][A-Za-z]*$/);
      expect([name, help]).toEqual([name, expect.stringMatching(/^[A-Z].*[.?]$/)]);
      if (name === 'host.keepFile') continue; // the shape of a made file is shared with what core returns
      expect([
        name,
        input.safeParse({ surelyUnknown: 1 }).error?.issues.some((issue) => issue.code === 'unrecognized_keys'),
      ]).toEqual([name, true]);
    }
  });

  test('no host ask hides an ask of core', () => {
    expect(Object.keys(hostAsks).filter((name) => Object.hasOwn(asks, name))).toEqual([]);
  });
});

/** Circles in a graph of files, each once, as `a -> b -> a`. */
function findCircles(graph: ReadonlyMap<string, readonly string[]>): string[] {
  const state = new Map<string, 'open' | 'done'>();
  const path: string[] = [];
  const circles: string[] = [];
  const visit = (file: string) => {
    if (state.get(file) === 'done') return;
    if (state.get(file) === 'open') {
      circles.push([...path.slice(path.indexOf(file)), file].join(' -> '));
      return;
    }
    state.set(file, 'open');
    path.push(file);
    for (const to of graph.get(file) ?? []) if (graph.has(to)) visit(to);
    path.pop();
    state.set(file, 'done');
  };
  for (const file of graph.keys()) visit(file);
  return circles;
}

import { spawn } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { enableCompileCache } from 'node:module';
import { join, resolve } from 'node:path';
import type { Out } from './command/out.ts';
import type { HostWords } from './command/serve.ts';
import { cacheFolder } from './places.ts';

// Before all else is loaded, so that it is loaded from there.
enableCompileCache(cacheFolder());
const [{ UsageError }, { hostWords, runHost }, { workingFolder }] = await Promise.all([
  import('./command/parse.ts'),
  import('./command/serve.ts'),
  import('./command/working-folder.ts'),
]);

const root = join(import.meta.dirname, '..');
const usage = `npm start -- [--demo] [--fleet F] [--read-only] [--no-open] [--port P] [--who NAME]

Opens the window. Where the Electron runtime is neither here nor to be had, or with --no-open or --port,
serves the same page to a browser of this computer and prints its address.

  --demo        makes the invented utility, ranks it and shows it (--segments N: how large)
  --fleet F     opens this fleet
  --read-only   opens it without writing to it
  --no-open     no window and no browser: only the address
  --port P      the port to serve on; any free one else
`;

const out: Out = {
  stdout: (text) => void process.stdout.write(text),
  stderr: (text) => void process.stderr.write(text),
  live: false,
};

try {
  process.exitCode = await start(process.argv.slice(2));
} catch (error) {
  if (!(error instanceof UsageError)) throw error;
  out.stderr(`${error.message}\n\n${usage}`);
  process.exitCode = 2;
}

async function start(words: readonly string[]): Promise<number> {
  const wish = hostWords(words);
  if (wish.help) {
    out.stdout(usage);
    return 0;
  }
  const folder = workingFolder();
  const wantsWindow = wish.open && wish.port === undefined;
  if (wantsWindow && hasDisplay()) {
    const runtime = electronBinary() ?? (await fetchElectron());
    if (runtime !== undefined) return openWindow(runtime, wish, folder);
  }
  const why = !wantsWindow ? 'as asked' : hasDisplay() ? 'the Electron runtime is not here' : 'there is no display';
  out.stderr(`No window (${why}): open the address below in a browser of this computer; it works once.\n`);
  return runHost(wish, out, folder, wantsWindow && hasDisplay() ? openBrowser : undefined);
}

/** Root may not run the sandboxed window on Linux; without a display there is nothing to open it on. */
function hasDisplay(): boolean {
  if (process.platform !== 'linux') return true;
  return process.getuid?.() !== 0 && Boolean(process.env.DISPLAY || process.env.WAYLAND_DISPLAY);
}

/** The runtime that the electron package keeps beside itself, once it was fetched. */
function electronBinary(): string | undefined {
  const home = join(root, 'node_modules/electron');
  const note = join(home, 'path.txt');
  const file = existsSync(note) ? join(home, 'dist', readFileSync(note, 'utf8').trim()) : '';
  return file && existsSync(file) ? file : undefined;
}

/** Lets the electron package fetch its runtime, checked against the checksums it carries. */
async function fetchElectron(): Promise<string | undefined> {
  out.stderr('Fetching the Electron runtime, once…\n');
  const script = join(root, 'node_modules/electron/install.js');
  if (!existsSync(script)) return undefined;
  const code = await ended(spawn(process.execPath, [script], { stdio: 'ignore', timeout: 180_000 }));
  return code === 0 ? electronBinary() : undefined;
}

async function openWindow(runtime: string, wish: HostWords, folder: string): Promise<number> {
  const build = await ended(
    spawn(process.execPath, [join(root, 'electron/build.ts')], { stdio: ['ignore', 'ignore', 'inherit'] }),
  );
  if (build !== 0) return 1;
  const words = [
    ...(wish.fleet === undefined ? [] : ['--fleet', resolve(folder, wish.fleet)]),
    ...(wish.demo ? ['--demo'] : []),
    ...(wish.segments === undefined ? [] : ['--segments', String(wish.segments)]),
    ...(wish.readOnly ? ['--read-only'] : []),
  ];
  return ended(spawn(runtime, [root, ...words], { stdio: 'inherit' }));
}

const ended = (child: ReturnType<typeof spawn>): Promise<number> =>
  new Promise((done) => {
    child.on('exit', (code) => done(code ?? 1));
    child.on('error', () => done(1));
  });

/** Shows the address in the person's browser, where the system has a way. */
function openBrowser(link: string): void {
  const [program, ...words] = { darwin: ['open'], win32: ['cmd', '/c', 'start', ''] }[process.platform as string] ?? [
    'xdg-open',
  ];
  spawn(program!, [...words, link], { stdio: 'ignore', detached: true })
    .on('error', () => {})
    .unref();
}

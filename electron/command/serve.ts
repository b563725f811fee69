import { existsSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { Refusal } from '../../core/contract/problem.ts';
import { startLoopback } from '../loopback.ts';
import { fleetsFolder, pageFolder, stateFolder, userName } from '../places.ts';
import { openDemo } from '../shelf.ts';
import { slowLog } from '../slow-log.ts';
import { hostCommands } from './help.ts';
import { type Out, progressLine } from './out.ts';
import { UsageError } from './parse.ts';

export interface HostWords {
  readonly fleet: string | undefined;
  readonly demo: boolean;
  readonly segments: number | undefined;
  readonly port: number | undefined;
  readonly readOnly: boolean;
  readonly open: boolean;
  readonly who: string | undefined;
  readonly help: boolean;
}

/** Words that `start` and `serve` take. Throws UsageError. */
export function hostWords(words: readonly string[]): HostWords {
  const option = { type: 'string' } as const;
  const flag = { type: 'boolean' } as const;
  try {
    const { values } = parseArgs({
      args: [...words],
      options: {
        fleet: option,
        port: option,
        segments: option,
        who: option,
        demo: flag,
        'read-only': flag,
        'no-open': flag,
        help: flag,
      },
    });
    return {
      fleet: values.fleet,
      demo: values.demo ?? false,
      segments: wholeNumber('segments', values.segments, 20, 1_000_000),
      port: wholeNumber('port', values.port, 0, 65_535),
      readOnly: values['read-only'] ?? false,
      open: !values['no-open'],
      who: values.who,
      help: values.help ?? false,
    };
  } catch (error) {
    if (error instanceof UsageError) throw error;
    throw new UsageError((error as Error).message);
  }
}

function wholeNumber(name: string, text: string | undefined, least: number, most: number): number | undefined {
  if (text === undefined) return undefined;
  const number = Number(text);
  if (/^\d+$/.test(text) && number >= least && number <= most) return number;
  throw new UsageError(`--${name} ${text}: a whole number from ${least} to ${most} is needed.`);
}

/** `yearbook serve`: the loopback host in the foreground, until it is stopped. */
export async function serve(words: readonly string[], out: Out, folder: string): Promise<number> {
  const wish = hostWords(words);
  if (wish.help) {
    const { usage, help } = hostCommands.find((each) => each.word === 'serve')!;
    out.stdout(`yearbook ${usage}\n\n${help}\n\n  --demo  makes the invented utility and shows it\n`);
    return 0;
  }
  if (wish.fleet === undefined && !wish.demo) throw new UsageError("'serve' needs --fleet FILE.");
  return runHost(wish, out, folder);
}

/** Runs the loopback host until a signal ends it. Prints its address on a line of its own. */
export async function runHost(
  wish: HostWords,
  out: Out,
  folder: string,
  onLink?: (link: string) => void,
): Promise<number> {
  if (!existsSync(join(pageFolder, 'index.html'))) {
    out.stderr('The page is not built: run `npm run build:renderer` once.\n');
    return 1;
  }
  try {
    const named = wish.fleet === undefined ? [] : [resolve(folder, wish.fleet)];
    const host = await startLoopback({
      who: wish.who ?? userName(),
      stateFolder: stateFolder(),
      fleetsFolder: fleetsFolder(wish.demo),
      onSlow: slowLog(stateFolder()),
      pageFolder,
      named,
      ...(wish.port === undefined ? {} : { port: wish.port }),
      onEntered: (next) => out.stderr(`A browser came in. For another one: ${next}\n`),
    });
    const ended = untilSignal();
    try {
      await show(host, wish, named[0], out);
      out.stdout(`${host.link}\n`);
      onLink?.(host.link);
      await ended;
    } finally {
      await host.close();
    }
    return 0;
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    out.stderr(`${error.message}\n`);
    return 1;
  }
}

async function show(
  host: Awaited<ReturnType<typeof startLoopback>>,
  wish: HostWords,
  file: string | undefined,
  out: Out,
) {
  const progress = progressLine(out);
  const state = wish.demo
    ? await openDemo(host.shelf, wish.segments ?? 600, progress.show).finally(progress.clear)
    : file === undefined
      ? null
      : await host.shelf.open(file, { readOnly: wish.readOnly });
  if (state?.fleet?.because) out.stderr(`Opened read-only. ${state.fleet.because}\n`);
}

const untilSignal = () =>
  new Promise<void>((done) => {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.once(signal, () => done());
  });

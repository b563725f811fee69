import type { AskName, InputOf, OutputOf } from '../../core/contract/asks/index.ts';
import type {
  HostAskName,
  HostEvent,
  HostInputOf,
  HostOutputOf,
  HostState,
  MenuWord,
  Progress,
} from '../../core/contract/host.ts';
import type { Reply } from '../../core/contract/problem.ts';
import type { MadeFile } from '../../core/contract/shapes/known.ts';
import { bridgeCarrier } from './bridge.ts';
import { fetchCarrier } from './fetch.ts';
import { browserFiles, type Files, windowFiles } from './files.ts';
import { ProblemError } from './problem.ts';
import { makeWorks } from './works.ts';

export type { HostState, MenuWord, OpenFleet, RecentFleet } from '../../core/contract/host.ts';
export type { Saving } from './files.ts';
export { ProblemError } from './problem.ts';
export type { Work, Works } from './works.ts';

/** The preload where there is one, else the loopback host: chosen once. */
const carrier = globalThis.yearbook ? bridgeCarrier(globalThis.yearbook) : fetchCarrier();
const files: Files = globalThis.yearbook ? windowFiles(globalThis.yearbook, askHost) : browserFiles(askHost);
const long = makeWorks((id) => carrier.cancel(id));

/** Long works, running and finished. */
export const works = long.store;

export interface AskOptions {
  readonly onProgress?: (progress: Progress) => void;
  /** Aborting it cancels the ask; `ask` then throws the problem 'cancelled'. */
  readonly signal?: AbortSignal;
}

/**
 * Asks core. Throws ProblemError.
 * Where what it is drawn from is not made yet, that is made first, as a work with progress, and the ask repeated.
 */
export async function ask<N extends AskName>(
  name: N,
  input: InputOf<N>,
  options: AskOptions = {},
): Promise<OutputOf<N>> {
  const reply = await send(name, input, options);
  if (reply.ok) return reply.value as OutputOf<N>;
  if (reply.problem.code !== 'not-ready' || name === 'ranking.make') throw new ProblemError(reply.problem);
  await (drawnFromDue.has(name) ? makeOnce('retest.make', {}) : makeRanking(asOfIn(input)));
  const again = await send(name, input, options);
  if (again.ok) return again.value as OutputOf<N>;
  throw new ProblemError(again.problem);
}

const asOfIn = (input: unknown): string | undefined => {
  const asOf = (input as { asOf?: unknown } | null)?.asOf;
  return typeof asOf === 'string' ? asOf : undefined;
};

/** Asks that need to know when tests are due, and nothing of the ranking. */
const drawnFromDue: ReadonlySet<AskName> = new Set<AskName>(['retest.page', 'retest.places', 'evidence.register']);

const makeRanking = (asOf: string | undefined): Promise<unknown> =>
  makeOnce('ranking.make', asOf === undefined ? {} : { asOf });

/** What is being made now: places that ask at once wait for the same one. */
const making = new Map<string, Promise<unknown>>();

function makeOnce<N extends 'ranking.make' | 'retest.make'>(name: N, input: InputOf<N>): Promise<unknown> {
  const key = `${name} ${JSON.stringify(input)}`;
  let work = making.get(key);
  if (!work) {
    work = ask(name, input).finally(() => making.delete(key));
    making.set(key, work);
  }
  return work;
}

async function send(name: string, input: unknown, { onProgress, signal }: AskOptions): Promise<Reply<unknown>> {
  if (signal?.aborted) return cancelled;
  const id = crypto.randomUUID();
  const startedMs = performance.now();
  const cancel = () => carrier.cancel(id);
  signal?.addEventListener('abort', cancel);
  try {
    const reply = await carrier.send(name, input, id, (progress) => {
      long.moved(id, name, startedMs, progress);
      onProgress?.(progress);
    });
    long.ended(id, reply.ok ? null : reply.problem);
    return reply;
  } finally {
    signal?.removeEventListener('abort', cancel);
  }
}

const cancelled: Reply<never> = {
  ok: false,
  problem: { code: 'cancelled', message: 'Cancelled; nothing was changed.' },
};

async function askHost<N extends HostAskName>(name: N, input: HostInputOf<N>): Promise<HostOutputOf<N>> {
  const reply = await send(name, input, {});
  if (reply.ok) return reply.value as HostOutputOf<N>;
  throw new ProblemError(reply.problem);
}

const eventsOf =
  <K extends HostEvent['kind']>(kind: K) =>
  (listener: (event: Extract<HostEvent, { kind: K }>) => void) =>
    carrier.onEvent((event) => {
      if (event.kind === kind) listener(event as Extract<HostEvent, { kind: K }>);
    });

/** Calls after every change to the fleet, whoever made it, with the new revision. */
export const onChanged = (listener: (revision: number) => void): (() => void) =>
  eventsOf('changed')((event) => listener(event.revision));

/** What only the host can do. Each asks the person where a dialog is needed; null or [] means the dialog was closed. */
export const host = {
  kind: carrier.kind,
  state: (): Promise<HostState> => askHost('host.state', {}),
  /** After another fleet was opened or closed, by the page or by the menu. */
  onFleet: (listener: (state: HostState) => void) => eventsOf('fleet')((event) => listener(event.state)),
  /** A word of the native menu; never in the browser. */
  onMenu: (listener: (word: MenuWord) => void) => eventsOf('menu')((event) => listener(event.word)),
  /** Files handed to the application from outside (double click, second start); never in the browser. */
  onOpened: (listener: (paths: readonly string[]) => void) => eventsOf('dropped')((event) => listener(event.paths)),
  recentFleets: async () => (await askHost('host.state', {})).recent,
  /** A recent or picked fleet file; null asks by dialog. */
  openFleet: (file: string | null = null, readOnly = false) => files.openFleet(file, readOnly),
  newFleet: (name: string) => askHost('host.newFleet', { name }),
  openDemo: (segments?: number) => askHost('host.openDemo', segments === undefined ? {} : { segments }),
  closeFleet: () => askHost('host.closeFleet', {}),
  forgetFleet: (file: string) => askHost('host.forgetFleet', { file }),
  /** Paths to give to asks. `kinds` as [{ name: 'Tables', extensions: ['csv', 'xlsx'] }]. */
  pickFiles: (options: HostInputOf<'host.pickFiles'> = {}): Promise<readonly string[]> => files.pickFiles(options),
  pickFolder: (): Promise<readonly string[]> => files.pickFolder(),
  /** Paths of what was dropped: call it in the drop handler itself, before anything is awaited. */
  dropped: (transfer: DataTransfer): Promise<readonly string[]> => files.dropped(transfer),
  /** A place for an ask to write to; call `done()` after the ask (the browser downloads then). */
  saveFile: (name: string, as: 'file' | 'folder' = 'file') => files.saveFile(name, as),
  /** Keeps a file that an ask returned as content. False: the dialog was closed. */
  keepFile: (file: MadeFile): Promise<boolean> => files.keepFile(file),
  print: () => globalThis.print(),
} as const;

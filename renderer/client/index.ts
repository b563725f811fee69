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
  let madeAfter: number | null = null;
  for (;;) {
    const reply = await send(name, input, options);
    if (reply.ok) return reply.value as OutputOf<N>;
    // Asked again only where the fleet has changed since what it is drawn from was made.
    if (reply.problem.code !== 'not-ready' || makers.has(name) || madeAfter === changedMs)
      throw new ProblemError(reply.problem);
    await (drawnFromDue.has(name) ? makeOnce('retest.make', {}) : makeRanking(asOfIn(input)));
    madeAfter = changedMs;
  }
}

const makers: ReadonlySet<AskName> = new Set<AskName>(['ranking.make', 'retest.make']);

const asOfIn = (input: unknown): string | undefined => {
  const asOf = (input as { asOf?: unknown } | null)?.asOf;
  return typeof asOf === 'string' ? asOf : undefined;
};

/** Asks that need to know when tests are due, and nothing of the ranking. */
const drawnFromDue: ReadonlySet<AskName> = new Set<AskName>(['retest.page', 'retest.places', 'evidence.register']);

/**
 * Makes the ranking, once the fleet has been left alone for a moment: several edits in a row are one ranking. One that is
 * being made when the fleet changes is given up, and made anew of what it is then. Throws ProblemError.
 */
export async function makeRanking(asOf?: string): Promise<void> {
  for (;;) {
    await quiet();
    const outdated = new AbortController();
    const stop = onChanged(() => outdated.abort());
    try {
      await makeOnce('ranking.make', asOf === undefined ? {} : { asOf }, outdated.signal);
      return;
    } catch (error) {
      if (!outdated.signal.aborted) throw error;
    } finally {
      stop();
    }
  }
}

/** How long after a change nothing further must have come. */
const quietMs = 2_000;
let changedMs = Number.NEGATIVE_INFINITY;

async function quiet(): Promise<void> {
  for (;;) {
    const waitMs = changedMs + quietMs - performance.now();
    if (waitMs <= 0) return;
    await new Promise((done) => setTimeout(done, waitMs));
  }
}

/** What is being made now: places that ask at once wait for the same one. */
const making = new Map<string, Promise<unknown>>();

function makeOnce<N extends 'ranking.make' | 'retest.make'>(
  name: N,
  input: InputOf<N>,
  signal?: AbortSignal,
): Promise<unknown> {
  const key = `${name} ${JSON.stringify(input)}`;
  const before = making.get(key);
  if (before) return before;
  const forget = () => {
    if (making.get(key) === work) making.delete(key);
  };
  const work: Promise<unknown> = ask(name, input, signal ? { signal } : {}).finally(forget);
  making.set(key, work);
  // Who asks next begins anew, and does not wait for what is being given up.
  signal?.addEventListener('abort', forget, { once: true });
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

onChanged(() => {
  changedMs = performance.now();
});

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

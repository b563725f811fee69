import { type AskName, asks, type InputOf, type OutputOf } from '../core/contract/asks/index.ts';
import { type Problem, type Reply, refuse } from '../core/contract/problem.ts';
import { CoreThread, type ThreadAsk } from './core-thread.ts';
import { type Lock, takeLock } from './lock.ts';

export interface PoolOptions {
  /** The name that the ledger shows. */
  readonly who: string;
  readonly readOnly?: boolean;
  /** Make the file when it is missing. */
  readonly create?: boolean;
  /** After a write, and when another program wrote to a fleet that is open read-only. */
  readonly onChanged?: (revision: number) => void;
  readonly onSlow?: (name: string, ms: number) => void;
}

/** A fleet open in worker threads. */
export interface Pool {
  readonly file: string | null;
  readonly readOnly: boolean;
  /** Never throws. */
  send<N extends AskName>(name: N, input: InputOf<N>, options?: ThreadAsk): Promise<Reply<OutputOf<N>>>;
  close(): Promise<void>;
}

/** A read-only fleet may be written by another program: how often to look. */
const lookEveryMs = 2_000;

/** The thread for studies is loaded when the first answers are out of the way, or when the first study is asked for. */
const studyAfterMs = 5_000;

/**
 * Opens a fleet for a host: one writer, a reader that never waits for it, and a thread for long studies.
 * Without a file, one thread for the asks that need no fleet. Throws a Refusal: 'in-use' where another has the lock.
 */
export async function openPool(file: string | null, options: PoolOptions): Promise<Pool> {
  const readOnly = options.readOnly ?? false;
  const lock = file === null || readOnly ? undefined : takeLock(file, options.who, new Date().toISOString());
  const threads = startThreads(file, readOnly, options);
  const each = [...new Set([threads.write, threads.read])].filter((thread) => thread !== undefined);
  for (const thread of each) thread.load();
  try {
    // The first one brings an older file up to date; the others open what it left.
    for (const thread of each) await thread.open();
  } catch (error) {
    await closeAll(threads, lock);
    throw error;
  }
  let paper = false;
  let warming = file !== null;
  if (warming) void warm(threads.read).finally(() => (warming = false));
  const loading = setTimeout(() => threads.study.load(), studyAfterMs);
  loading.unref();
  const looking = readOnly && file !== null ? setInterval(() => threads.read.look(), lookEveryMs) : undefined;
  looking?.unref();
  return {
    file,
    readOnly,
    async send(name, input, ask = {}) {
      const reply = await route(threads, { readOnly, warming }, name, input, ask);
      if (name === 'retest.brief' && reply.ok && !paper) {
        // A brief is opened to be printed.
        paper = true;
        threads.read.readyPaper();
      }
      return reply as never;
    },
    async close() {
      clearTimeout(loading);
      clearInterval(looking);
      await closeAll(threads, lock);
    },
  };
}

/** A large fleet is read into memory while the page is still loading; nothing is computed that is not kept. */
async function warm(read: CoreThread): Promise<void> {
  const tree = await read.ask('fleet.tree', { under: null });
  if (tree.ok && (tree.value as OutputOf<'fleet.tree'>).ranked) await read.ask('ranking.page', { count: 1 });
  // Whatever is found first, what is searched is made by then.
  await read.ask('fleet.find', { text: 'a', count: 1 });
  await read.ask('fleet.info', {});
}

interface Standing {
  readonly readOnly: boolean;
  /** The reader has not yet read the fleet into memory. */
  readonly warming: boolean;
}

interface Threads {
  readonly write: CoreThread | undefined;
  readonly read: CoreThread;
  readonly study: CoreThread;
}

function startThreads(
  file: string | null,
  readOnly: boolean,
  { who, create = false, onChanged, onSlow }: PoolOptions,
): Threads {
  const slow = onSlow ? { onSlow } : {};
  const changed = onChanged ? { onRevision: onChanged } : {};
  if (file === null) {
    const only = new CoreThread({ file, who, readOnly: false, create: false }, slow);
    return { write: only, read: only, study: only };
  }
  const plan = { file, who, create: false };
  return {
    write: readOnly ? undefined : new CoreThread({ ...plan, readOnly: false, create }, { ...slow, ...changed }),
    // What a read-only host makes anew is kept nowhere that the reader could see: there it must say 'not-ready'.
    read: new CoreThread(
      { ...plan, readOnly: true, showsBefore: !readOnly },
      readOnly ? { ...slow, ...changed } : slow,
    ),
    // Studies keep their results in the file, where it may be written.
    study: new CoreThread({ ...plan, readOnly }),
  };
}

async function closeAll(threads: Threads, lock: Lock | undefined): Promise<void> {
  // Readers first: the writer's last act is to fold the write-ahead log into the file.
  await Promise.all([threads.read.close(), threads.study.close()]);
  await threads.write?.close();
  lock?.release();
}

async function route(
  { write, read, study }: Threads,
  { readOnly, warming }: Standing,
  name: AskName,
  input: unknown,
  ask: ThreadAsk,
): Promise<Reply<unknown>> {
  if (!Object.hasOwn(asks, name)) return refused(refuse('bad-input', `There is no ask '${name}'.`).problem);
  const { kind } = asks[name];
  if (kind === 'write') return write ? write.ask(name, input, ask) : refused(readOnlyProblem);
  if (kind === 'study') {
    if (study.busy) ask.onProgress?.({ done: 0, total: 0, words: 'waiting for other work to end' });
    const reply = await study.ask(name, input, ask);
    if (reply.ok || reply.problem.code !== 'in-use' || !write) return reply;
    // A long write held the file when the result was to be kept: queue behind it, then try once more.
    await write.ask('fleet.info', {});
    return study.ask(name, input, ask);
  }
  // Whose fleet it is heads the page: it does not wait behind all that is read into memory while the writer is idle yet.
  const reader = name === 'fleet.info' && warming && write && !write.busy ? write : read;
  const reply = await reader.ask(name, input, ask);
  // The reader's own connection never writes; what the person may do is the host's to say.
  if (reply.ok && name === 'fleet.info') return { ok: true, value: { ...(reply.value as object), readOnly } };
  // A read-only file can't keep the ranking: the thread that made it has it in memory.
  if (!reply.ok && reply.problem.code === 'not-ready' && readOnly) return study.ask(name, input, ask);
  return reply;
}

const readOnlyProblem: Problem = {
  code: 'read-only',
  message: 'The fleet is open read-only; nothing can be changed.',
};

const refused = (problem: Problem): Reply<never> => ({ ok: false, problem });

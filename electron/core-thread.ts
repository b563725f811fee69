import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import type { Progress } from '../core/contract/host.ts';
import { type Problem, Refusal, type Reply, refuse } from '../core/contract/problem.ts';
import { cacheFolder } from './places.ts';

/** What a thread is for. */
export interface ThreadPlan {
  readonly file: string | null;
  readonly who: string;
  readonly readOnly: boolean;
  readonly create: boolean;
  /** See `CoreOptions`. */
  readonly showsBefore?: boolean;
}

/** What a core worker is started with. */
export interface WorkerPlan extends ThreadPlan {
  /** Where compiled code is kept, so that the next start is quicker; null in the packed program. */
  readonly compileCache: string | null;
}

export type ToWorker =
  | { readonly kind: 'open' }
  | {
      readonly kind: 'ask';
      readonly id: number;
      readonly name: string;
      readonly input: unknown;
      readonly stop: SharedArrayBuffer;
    }
  | { readonly kind: 'revision' }
  | { readonly kind: 'paper' }
  | { readonly kind: 'close' };

export type FromWorker =
  | { readonly kind: 'opened'; readonly revision: number | null }
  | { readonly kind: 'refused'; readonly problem: Problem }
  | { readonly kind: 'progress'; readonly id: number; readonly progress: Progress }
  | { readonly kind: 'reply'; readonly id: number; readonly reply: Reply<unknown>; readonly revision: number | null }
  | { readonly kind: 'revision'; readonly revision: number | null }
  | { readonly kind: 'slow'; readonly name: string; readonly ms: number };

export interface ThreadAsk {
  readonly onProgress?: ((progress: Progress) => void) | undefined;
  readonly signal?: AbortSignal | undefined;
}

export interface ThreadEvents {
  /** The ledger moved on: after an ask of this thread, or seen by `look`. */
  readonly onRevision?: (revision: number) => void;
  readonly onSlow?: (name: string, ms: number) => void;
}

interface Waiting {
  readonly name: string;
  readonly input: unknown;
  readonly options: ThreadAsk;
  readonly stop: SharedArrayBuffer;
  readonly resolve: (reply: Reply<unknown>) => void;
}

const bundled = !import.meta.filename.endsWith('.ts');

/** A thread that died more often than this within a minute is not started again. */
const restartsPerMinute = 3;

/** How long a closing thread may take to end by itself. */
const endWithinMs = 10_000;

const cancelled: Reply<never> = {
  ok: false,
  problem: { code: 'cancelled', message: 'Cancelled; nothing was changed.' },
};

/** A core in a worker thread, asked one thing at a time, started again when it dies. */
export class CoreThread {
  readonly plan: WorkerPlan;
  readonly #events: ThreadEvents;
  #worker: Worker | undefined;
  #loaded: Promise<void> | undefined;
  #opening: Promise<void> | undefined;
  readonly #queue: Waiting[] = [];
  #current: (Waiting & { id: number }) | undefined;
  #next = 1;
  #revision: number | null = null;
  #deaths: number[] = [];
  #closed = false;

  constructor(plan: ThreadPlan, events: ThreadEvents = {}) {
    this.plan = { ...plan, compileCache: bundled ? null : cacheFolder() };
    this.#events = events;
  }

  /** Begins to load the program, so that several threads load at once and open one after another. */
  load(): void {
    this.#loaded ??= this.#start();
  }

  /** Opens the fleet; throws the Refusal that core gave. */
  open(): Promise<void> {
    this.load();
    if (!this.#opening) {
      this.#worker!.postMessage({ kind: 'open' } satisfies ToWorker);
      this.#opening = this.#loaded!;
    }
    return this.#opening;
  }

  get revision(): number | null {
    return this.#revision;
  }

  get busy(): boolean {
    return this.#current !== undefined;
  }

  ask(name: string, input: unknown, options: ThreadAsk = {}): Promise<Reply<unknown>> {
    if (this.#closed) return Promise.resolve(gone('The fleet was closed.'));
    if (options.signal?.aborted) return Promise.resolve(cancelled);
    return new Promise((resolve) => {
      const waiting: Waiting = { name, input, options, resolve, stop: new SharedArrayBuffer(4) };
      options.signal?.addEventListener('abort', () => this.#cancel(waiting), { once: true });
      this.#queue.push(waiting);
      void this.#advance();
    });
  }

  /** Looks whether another program has written; `onRevision` hears of it. */
  look(): void {
    if (!this.busy) this.#worker?.postMessage({ kind: 'revision' } satisfies ToWorker);
  }

  /** Loads what a printed paper needs while nothing else is asked. */
  readyPaper(): void {
    this.#worker?.postMessage({ kind: 'paper' } satisfies ToWorker);
  }

  /** Cancels the running ask and refuses the queued ones; what does not stop in time is ended, its transaction undone. */
  async close(): Promise<void> {
    this.#closed = true;
    for (const waiting of this.#queue.splice(0)) waiting.resolve(gone('The fleet was closed.'));
    const worker = this.#worker;
    if (!worker) return;
    const exited = new Promise<void>((resolve) => worker.once('exit', () => resolve()));
    if (this.#current) Atomics.store(new Int32Array(this.#current.stop), 0, 1);
    worker.postMessage({ kind: 'close' } satisfies ToWorker);
    const late = setTimeout(() => void worker.terminate(), endWithinMs);
    await exited;
    clearTimeout(late);
  }

  /** Ends the thread at once, as a crash would. */
  async kill(): Promise<void> {
    await this.#worker?.terminate();
  }

  #start(): Promise<void> {
    const worker = new Worker(join(import.meta.dirname, bundled ? 'core-worker.js' : 'core-worker.ts'), {
      workerData: this.plan,
    });
    this.#worker = worker;
    const opened = new Promise<void>((resolve, reject) => {
      let reason = 'it stopped';
      worker.on('message', (message: FromWorker) => {
        if (message.kind === 'opened') {
          this.#moved(message.revision);
          resolve();
        } else if (message.kind === 'refused') {
          reject(new Refusal(message.problem));
          void worker.terminate();
        } else this.#hear(message);
      });
      worker.on('error', (error) => {
        reason = (error as Error).message;
      });
      worker.on('exit', () => {
        reject(refuse('fault', `The fleet could not be opened: ${reason}.`));
        if (this.#worker === worker) this.#died(reason);
      });
    });
    // Whoever waits hears of a failure; a thread that is only loading has nobody waiting yet.
    opened.catch(() => {});
    return opened;
  }

  #hear(message: Exclude<FromWorker, { kind: 'opened' | 'refused' }>): void {
    if (message.kind === 'slow') this.#events.onSlow?.(message.name, message.ms);
    else if (message.kind === 'revision') this.#moved(message.revision);
    else if (message.id !== this.#current?.id) return;
    else if (message.kind === 'progress') this.#current.options.onProgress?.(message.progress);
    else {
      const { resolve } = this.#current;
      this.#current = undefined;
      this.#moved(message.revision);
      resolve(message.reply);
      void this.#advance();
    }
  }

  #moved(revision: number | null): void {
    const before = this.#revision;
    this.#revision = revision;
    if (before !== null && revision !== null && revision !== before) this.#events.onRevision?.(revision);
  }

  #cancel(waiting: Waiting): void {
    Atomics.store(new Int32Array(waiting.stop), 0, 1);
    const at = this.#queue.indexOf(waiting);
    if (at < 0) return;
    this.#queue.splice(at, 1);
    waiting.resolve(cancelled);
  }

  async #advance(): Promise<void> {
    if (this.#current || this.#queue.length === 0) return;
    const waiting = this.#queue.shift()!;
    this.#current = { ...waiting, id: this.#next++ };
    const { id } = this.#current;
    try {
      await this.open();
      const { name, input, stop } = waiting;
      this.#worker!.postMessage({ kind: 'ask', id, name, input, stop } satisfies ToWorker);
    } catch (error) {
      this.#current = undefined;
      waiting.resolve({ ok: false, problem: notCarried(error) });
      void this.#advance();
    }
  }

  #died(reason: string): void {
    this.#worker = undefined;
    const running = this.#current;
    this.#current = undefined;
    const now = performance.now();
    this.#deaths = [...this.#deaths.filter((at) => now - at < 60_000), now];
    const again = !this.#closed && this.#deaths.length <= restartsPerMinute;
    if (again) {
      this.#loaded = undefined;
      this.#opening = undefined;
    } else
      this.#loaded = this.#opening = Promise.reject(
        refuse('fault', `The part that works on the fleet keeps failing: ${reason}.`),
      );
    this.#opening?.catch(() => {});
    running?.resolve(
      gone(`The part that works on the fleet failed (${reason}); it was started again. Nothing half done was kept.`),
    );
    void this.#advance();
  }
}

/** Why an ask never reached the thread: the fleet did not open, or the input is nothing that can be handed over. */
function notCarried(error: unknown): Problem {
  if (error instanceof Refusal) return error.problem;
  const reason = (error as Error).message;
  return refuse('bad-input', `The input cannot be handed over: it is nested too deeply, or no plain data (${reason}).`)
    .problem;
}

const gone = (message: string): Reply<never> => ({ ok: false, problem: { code: 'fault', message } });

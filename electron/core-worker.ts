import { enableCompileCache } from 'node:module';
import { parentPort, workerData } from 'node:worker_threads';
import { type Problem, Refusal } from '../core/contract/problem.ts';
import type { Core } from '../core/index.ts';
import { dayHere } from './clock.ts';
import type { FromWorker, ToWorker, WorkerPlan } from './core-thread.ts';

// One core in a thread of its own: whatever it computes, the window and the host stay awake.
const plan = workerData as WorkerPlan;
const port = parentPort!;
const say = (message: FromWorker) => port.postMessage(message);

/** Progress in between is dropped: nobody reads faster. */
const progressEveryMs = 60;

if (plan.compileCache !== null) enableCompileCache(plan.compileCache);
const loading = Promise.all([import('../core/index.ts'), import('../migrations/index.ts')]);
let core: Core | undefined;

async function open(): Promise<void> {
  try {
    const [{ openCore }, { migrations }] = await loading;
    core = await openCore(plan.file, {
      migrations,
      now: () => new Date().toISOString(),
      day: () => dayHere(new Date()),
      who: plan.who,
      readOnly: plan.readOnly,
      create: plan.create,
      showsBefore: plan.showsBefore ?? false,
      onSlow: (name, ms) => say({ kind: 'slow', name, ms }),
    });
    say({ kind: 'opened', revision: core.revision() });
  } catch (error) {
    say({ kind: 'refused', problem: problemOf(error) });
  }
}

/** Work that was put off begins when nothing was asked for so long, and rests between its parts, ms. */
const idleAfterMs = 500;
const idleRestMs = 2;
let idling: NodeJS.Timeout | undefined;

/** Goes on with what was put off, unless it is asked something first. */
function idleIn(ms: number): void {
  idling = setTimeout(() => {
    if (core?.idle()) idleIn(idleRestMs);
  }, ms);
}

let running: Promise<void> | undefined;

port.on('message', (message: ToWorker) => {
  if (message.kind === 'open') void open();
  else if (message.kind === 'close') void close();
  else if (message.kind === 'revision') say({ kind: 'revision', revision: core?.revision() ?? null });
  else if (message.kind === 'paper') void core?.readyPaper();
  else running = perform(core!, message);
});

async function close(): Promise<void> {
  await running;
  clearTimeout(idling);
  core?.close();
  port.close();
}

async function perform(open: Core, { id, name, input, stop }: Extract<ToWorker, { kind: 'ask' }>): Promise<void> {
  const flag = new Int32Array(stop);
  let saidAt = 0;
  clearTimeout(idling);
  const reply = await open.send(name as never, input as never, {
    stopped: () => Atomics.load(flag, 0) !== 0,
    onProgress(done, total, words) {
      const at = performance.now();
      if (at - saidAt < progressEveryMs && done < total) return;
      saidAt = at;
      say({ kind: 'progress', id, progress: { done, total, words } });
    },
  });
  say({ kind: 'reply', id, reply, revision: open.revision() });
  clearTimeout(idling);
  idleIn(idleAfterMs);
}

function problemOf(error: unknown): Problem {
  if (error instanceof Refusal) return error.problem;
  return { code: 'fault', message: `The fleet could not be opened: ${(error as Error).message}` };
}

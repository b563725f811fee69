import type { Migration } from 'kysely/migration';
import { type AskName, asks, type InputOf, type OutputOf } from './contract/asks/index.ts';
import { type Problem, Refusal, type Reply, refuse } from './contract/problem.ts';
import { readyPdf } from './report/pdf.ts';
import { ledgerHead } from './store/ledger.ts';
import { asProblem, closeFleet, openFleet } from './store/open.ts';
import type { Fleet } from './store/sql.ts';
import type { Desk } from './tasks/desk.ts';
import { tasks } from './tasks/index.ts';
import { plainTexts } from './tasks/plain-text.ts';

export interface CoreOptions {
  readonly migrations: Readonly<Record<string, Migration>>;
  /** ISO 8601 UTC of this moment. Only hosts read the clock. */
  readonly now: () => string;
  /** The calendar day where the person is, ISO 8601; that of `now` where not given. */
  readonly day?: () => string;
  /** Who asks: the name that the ledger shows. */
  readonly who: string;
  readonly readOnly?: boolean;
  readonly create?: boolean;
  /** For a window that says so: answers of the ranking from before the last changes while new ones are being made. */
  readonly showsBefore?: boolean;
  /** Told of asks slower than `slowMs`. */
  readonly onSlow?: (name: AskName, ms: number) => void;
  readonly slowMs?: number;
}

export interface SendOptions {
  readonly onProgress?: (done: number, total: number, words: string) => void;
  /** True once the person has cancelled. */
  readonly stopped?: () => boolean;
}

export interface Core {
  /** Checks the input, does the task, shapes the error. Never throws. */
  send<N extends AskName>(name: N, input: InputOf<N>, options?: SendOptions): Promise<Reply<OutputOf<N>>>;
  /** Revision of the fleet: the last line of its ledger, 0 where nothing was written; null without a fleet. */
  revision(): number | null;
  /** Does a little of the work that tasks put off; false where none is left. */
  idle(): boolean;
  /** Loads what the first printed paper needs, so that whoever prints next does not wait for it. Never throws. */
  readyPaper(): Promise<void>;
  close(): void;
}

/** What is done at a time of the work that was put off: an ask that comes meanwhile waits for it, and for the step under way, ms. */
const idleMs = 8;

/** Opens a fleet file for asks; null where no fleet is needed (reading a trace, verifying a file by its path). */
export async function openCore(file: string | null, options: CoreOptions): Promise<Core> {
  const fleet = file === null ? null : await openFleet(file, options);
  const putOff = new Map<string, Iterator<void>>();
  return {
    async send(name, input, sendOptions = {}) {
      const started = performance.now();
      try {
        const value = await perform(name, input, deskFor(fleet, options, sendOptions, putOff));
        return { ok: true, value: value as never };
      } catch (error) {
        return { ok: false, problem: problemOf(asProblem(error, file ?? '')) };
      } finally {
        const ms = performance.now() - started;
        if (ms > (options.slowMs ?? 40)) options.onSlow?.(name, ms);
      }
    },
    revision: () => (fleet === null ? null : (ledgerHead(fleet)?.seq ?? 0)),
    idle() {
      const until = performance.now() + idleMs;
      for (const [name, work] of putOff)
        while (performance.now() < until)
          if (work.next().done) {
            putOff.delete(name);
            break;
          }
      return putOff.size > 0;
    },
    // What goes wrong is said to whoever prints.
    readyPaper: () => readyPdf().catch(() => {}),
    close() {
      putOff.clear();
      if (fleet) closeFleet(fleet);
    },
  };
}

function deskFor(
  fleet: Fleet | null,
  options: CoreOptions,
  sendOptions: SendOptions,
  putOff: Map<string, Iterator<void>>,
): Desk {
  return {
    get fleet() {
      if (!fleet) throw refuse('bad-input', 'This needs a fleet: name one with --fleet.');
      return fleet;
    },
    file: fleet?.file ?? null,
    now: options.now,
    day: options.day ?? (() => options.now().slice(0, 10)),
    who: options.who,
    showsBefore: options.showsBefore,
    blankFleet: () => openFleet(':memory:', { migrations: options.migrations, create: true }),
    progress: sendOptions.onProgress ?? (() => {}),
    whenIdle: (name, work) => putOff.set(name, work),
    checkStop() {
      if (sendOptions.stopped?.()) throw refuse('cancelled', 'Cancelled; nothing was changed.');
    },
  };
}

async function perform(name: string, input: unknown, desk: Desk): Promise<unknown> {
  if (!Object.hasOwn(asks, name)) throw refuse('bad-input', `There is no ask '${name}'.`);
  const known = name as AskName;
  const parsed = asks[known].input.safeParse(input);
  if (!parsed.success) {
    const issues = parsed.error.issues.map(({ path, message }) => {
      const words = message.endsWith('received undefined')
        ? 'is missing'
        : message.replace(/received NaN$/, 'received what is no number');
      return `${path.join('.') || 'input'}: ${words}`;
    });
    throw refuse('bad-input', issues[0] ?? 'The input is not right.', {
      where: parsed.error.issues[0]?.path.join('.') || name,
      details: issues,
    });
  }
  return tasks[known](desk, plainTexts(parsed.data, asks[known].kind === 'write') as never);
}

function problemOf(error: unknown): Problem {
  if (error instanceof Refusal) return error.problem;
  const fault = error instanceof Error ? error : new Error(String(error));
  return {
    code: 'fault',
    message: `Something went wrong inside: ${fault.message}`,
    details: (fault.stack ?? '')
      .split('\n')
      .slice(1, 6)
      .map((line) => line.trim()),
  };
}

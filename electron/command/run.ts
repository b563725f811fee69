import { existsSync, rmSync } from 'node:fs';
import { resolve, sep } from 'node:path';
import { asks } from '../../core/contract/asks/index.ts';
import type { Progress } from '../../core/contract/host.ts';
import { type Problem, Refusal, type Reply, refuse } from '../../core/contract/problem.ts';
import { CoreThread, type ThreadPlan } from '../core-thread.ts';
import { type Holder, holderOf, type Lock, takeLock } from '../lock.ts';
import { mapPaths } from '../paths.ts';
import { userName } from '../places.ts';
import type { Command } from './options.ts';
import { type Out, progressLine } from './out.ts';
import type { Common, Parsed } from './parse.ts';
import { printed } from './print.ts';

/** Does a command. Gives the exit code: 0 done, 1 refused with a reason. */
export async function runCommand(
  command: Command,
  { common, input }: Parsed,
  folder: string,
  out: Out,
): Promise<0 | 1> {
  const progress = progressLine(out);
  let reply: Reply<unknown>;
  try {
    reply = await perform(command, common, input, folder, out, progress.show);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    reply = { ok: false, problem: error.problem };
  } finally {
    progress.clear();
  }
  if (!reply.ok) {
    if (common.json) out.stdout(`${JSON.stringify({ problem: reply.problem })}\n`);
    out.stderr(problemWords(reply.problem));
    return 1;
  }
  out.stdout(common.json ? `${JSON.stringify(reply.value, null, 1)}\n` : printed(reply.value, command.spec.prints));
  return heldBack(command, reply.value) ? 1 : 0;
}

async function perform(
  command: Command,
  common: Common,
  input: Record<string, unknown>,
  folder: string,
  out: Out,
  onProgress: (progress: Progress) => void,
): Promise<Reply<unknown>> {
  const typed = new Map<string, string>();
  const checked = mapPaths(asks[command.ask].input, input, (path) => {
    typed.set(resolve(folder, path), path);
    return resolve(folder, path);
  });
  const { plan, lock } = planOf(command, common, folder, out);
  const fresh = plan.file !== null && !existsSync(plan.file);
  const thread = new CoreThread(plan);
  const control = new AbortController();
  const stop = () => control.abort();
  process.once('SIGINT', stop);
  try {
    await thread.open();
    const reply = await thread.ask(command.ask, checked, { onProgress, signal: control.signal });
    return reply.ok ? { ok: true, value: asTyped(command, reply.value, typed) } : reply;
  } finally {
    process.off('SIGINT', stop);
    await thread.close();
    // A file made for work that was refused, or only tried, would be an empty fleet that nobody wanted.
    if (fresh && !thread.revision) for (const end of ['', '-wal', '-shm']) rmSync(plan.file + end, { force: true });
    lock?.release();
  }
}

/** Paths in an answer as the person wrote them. */
function asTyped(command: Command, value: unknown, typed: ReadonlyMap<string, string>): unknown {
  return mapPaths(asks[command.ask].output, value, (path) => {
    const under = [...typed.keys()].find((whole) => path === whole || path.startsWith(whole + sep));
    return under === undefined ? path : typed.get(under)! + path.slice(under.length);
  });
}

/** How to open the fleet: as its one writer, or only reading where another writes and the command changes nothing. */
function planOf(
  command: Command,
  common: Common,
  folder: string,
  out: Out,
): { plan: ThreadPlan; lock: Lock | undefined } {
  const who = common.who ?? userName();
  if (common.fleet === null) return { plan: { file: null, who, readOnly: false, create: false }, lock: undefined };
  const file = resolve(folder, common.fleet);
  const create = command.spec.opens === 'new';
  if (!create && !existsSync(file)) throw refuse('not-found', `There is no fleet file ${file}.`, { where: file });
  const writes = asks[command.ask].kind === 'write';
  if (writes && common.readOnly)
    throw refuse('read-only', `'${command.word}' changes the fleet; leave out --read-only.`);
  const held = !writes && !common.readOnly ? holderOf(file) : null;
  if (held) out.stderr(`The fleet is open for writing (${held.who}, process ${held.pid}); reading only.\n`);
  const readOnly = common.readOnly || held !== null;
  const lock = readOnly ? undefined : takeLock(file, who, new Date().toISOString());
  if (lock?.cleared) out.stderr(clearedWords(lock.cleared));
  return { plan: { file, who, readOnly, create }, lock };
}

const clearedWords = (left: Holder) =>
  `Cleared a lock left since ${left.since} (${left.who}, process ${left.pid}): that program ended without closing the fleet. What it had not finished was not kept.\n`;

/** An answer that says by its own field that the wish was not done; a list where each of its rows says so. */
function heldBack(command: Command, value: unknown): boolean {
  const field = command.spec.holds;
  const rows = (Array.isArray(value) ? value : [value]) as Record<string, unknown>[];
  return field !== undefined && rows.length > 0 && rows.every((row) => row[field] === false);
}

function problemWords({ message, where, details }: Problem): string {
  const place = where && !message.includes(where) ? ` (${where})` : '';
  const more = (details ?? []).filter((line) => line !== message).map((line) => `  ${line}\n`);
  return `${message}${place}\n${more.join('')}`;
}

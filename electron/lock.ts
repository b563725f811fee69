import { randomUUID } from 'node:crypto';
import { existsSync, linkSync, readFileSync, rmSync, statSync, unlinkSync, writeFileSync } from 'node:fs';
import { hostname } from 'node:os';
import { refuse } from '../core/contract/problem.ts';

/** Who holds a fleet for writing. */
export interface Holder {
  readonly pid: number;
  readonly host: string;
  /** When that process began, in the system's own ticks; null where the system doesn't tell. */
  readonly began: string | null;
  /** ISO 8601 UTC. */
  readonly since: string;
  readonly who: string;
}

export interface Lock {
  /** Whose lock was left behind and cleared, or null. */
  readonly cleared: Holder | null;
  release(): void;
}

/** A guard left by a process that died between two steps of taking over is ignored after this long. */
const guardMs = 10_000;

export const lockFileOf = (fleetFile: string): string => `${fleetFile}.lock`;

/**
 * Takes the one writer's place for a fleet file, or refuses 'in-use' in words that say who has it.
 * A lock whose process is gone is taken over. Only the process of the same machine can be known to be gone.
 */
export function takeLock(fleetFile: string, who: string, now: string): Lock {
  const file = lockFileOf(fleetFile);
  const mine: Holder = { pid: process.pid, host: hostname(), began: processBegan(process.pid), since: now, who };
  const text = `${JSON.stringify(mine)}\n`;
  const left = readHolder(file);
  if (!createOnly(file, text) && !(removeStale(file) && createOnly(file, text)))
    throw refuse('in-use', wordsOf(readHolder(file), file), { where: fleetFile });
  return {
    cleared: left,
    release() {
      // Never remove a lock that is not ours any more.
      if (existsSync(file) && readFileSync(file, 'utf8') === text) unlinkSync(file);
    },
  };
}

/** Who writes to this fleet now, or null. */
export function holderOf(fleetFile: string): Holder | null {
  const file = lockFileOf(fleetFile);
  if (!existsSync(file)) return null;
  const holder = readHolder(file);
  return holder !== null && isGone(holder) ? null : (holder ?? unknownHolder);
}

const unknownHolder: Holder = { pid: 0, host: 'unknown', began: null, since: 'unknown', who: 'unknown' };

/** Makes the file with its whole text at once; false where it is there already. */
function createOnly(file: string, text: string): boolean {
  const whole = `${file}.${process.pid}.${randomUUID()}`;
  try {
    writeFileSync(whole, text, { flag: 'wx' });
    return linkOnly(whole, file) ?? writeOnly(file, text);
  } catch (error) {
    throw refuse('not-allowed', `The lock ${file} cannot be written: ${(error as Error).message}.`, { where: file });
  } finally {
    rmSync(whole, { force: true });
  }
}

/** Gives the written file its name: nobody sees it half written. Undefined where the disk knows no second names. */
function linkOnly(whole: string, file: string): boolean | undefined {
  try {
    linkSync(whole, file);
    return true;
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? '';
    if (code === 'EEXIST') return false;
    if (['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS', 'EINVAL', 'EMLINK'].includes(code)) return undefined;
    throw error;
  }
}

function writeOnly(file: string, text: string): boolean {
  try {
    writeFileSync(file, text, { flag: 'wx' });
    return true;
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? '';
    if (code === 'EEXIST') return false;
    // Made, but not written: on a full disk nobody could tell later whose it was.
    if (['ENOSPC', 'EDQUOT', 'EIO'].includes(code)) rmSync(file, { force: true });
    throw error;
  }
}

/** Removes a lock whose process is gone. The guard lets only one process at a time judge and remove. */
function removeStale(file: string): boolean {
  const guard = `${file}.taking`;
  if (existsSync(guard) && Date.now() - statSync(guard).mtimeMs > guardMs) unlinkSync(guard);
  if (!createOnly(guard, '')) return false;
  try {
    const holder = readHolder(file);
    if (holder === null || !isGone(holder)) return !existsSync(file);
    unlinkSync(file);
    return true;
  } finally {
    unlinkSync(guard);
  }
}

function readHolder(file: string): Holder | null {
  try {
    const holder: unknown = JSON.parse(readFileSync(file, 'utf8'));
    return typeof holder === 'object' ? (holder as Holder | null) : null;
  } catch {
    return null;
  }
}

function isGone(holder: Holder): boolean {
  if (holder.host !== hostname()) return false;
  try {
    process.kill(holder.pid, 0);
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'ESRCH';
  }
  // Alive, but perhaps another process that was given the same number since.
  const began = processBegan(holder.pid);
  return holder.began !== null && began !== null && began !== holder.began;
}

/** Field 22 of /proc/PID/stat, ticks since boot (proc_pid_stat(5)); the name in field 2 may hold spaces. */
function processBegan(pid: number): string | null {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, 'utf8');
    return stat.slice(stat.lastIndexOf(')') + 2).split(' ')[19] ?? null;
  } catch {
    return null;
  }
}

function wordsOf(holder: Holder | null, file: string): string {
  if (holder === null)
    return `The fleet is locked by ${file}, which cannot be read. If nobody has the fleet open, delete that file.`;
  const place = holder.host === hostname() ? 'on this computer' : `on ${holder.host}`;
  const base = `The fleet is open for writing ${place} (${holder.who}, process ${holder.pid}, since ${holder.since}). Close it there, or open it read-only.`;
  return holder.host === hostname() ? base : `${base} If that computer is gone for good, delete ${file}.`;
}

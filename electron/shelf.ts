import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import type { HostEvent, HostState, Progress, RecentFleet } from '../core/contract/host.ts';
import { Refusal } from '../core/contract/problem.ts';
import { openPool, type Pool } from './pool.ts';
import { version } from './version.ts';

export interface ShelfOptions {
  readonly kind: HostState['kind'];
  readonly who: string;
  /** Folder for the list of recent fleets. */
  readonly stateFolder: string;
  /** Folder for fleets that are made without a dialog. */
  readonly fleetsFolder: string;
  readonly onEvent: (event: HostEvent) => void;
  readonly onSlow?: (name: string, ms: number) => void;
}

const recentKept = 12;
export const fleetEnding = '.fleet';

/** Which fleet a host has open, and which it had. One at a time. */
export class Shelf {
  readonly options: ShelfOptions;
  #pool: Pool | undefined;
  #because: string | null = null;
  /** Opening and closing go one after another. */
  #turn: Promise<unknown> = Promise.resolve();

  constructor(options: ShelfOptions) {
    this.options = options;
  }

  /** The open fleet's pool; one without a fleet where none is open. */
  async pool(): Promise<Pool> {
    await this.#turn;
    return this.#pool ?? this.#inTurn(async () => (this.#pool ??= await this.#start(null)));
  }

  state(): HostState {
    const pool = this.#pool;
    const fleet =
      pool === undefined || pool.file === null
        ? null
        : { file: pool.file, name: nameOf(pool.file), readOnly: pool.readOnly, because: this.#because };
    return { kind: this.options.kind, version, fleet, recent: this.recent() };
  }

  /** Opens a fleet and closes the one before. A fleet that another has for writing opens read-only and says so. */
  open(file: string, how: { readOnly?: boolean; create?: boolean } = {}): Promise<HostState> {
    return this.#inTurn(async () => {
      const whole = resolve(file);
      const before = this.#pool;
      // The same file again, perhaps now read-only: its lock must be given back first.
      if (before?.file === whole) await this.#shut();
      const { pool, because } = await this.#openOrRead(whole, how);
      await this.#shut();
      this.#pool = pool;
      this.#because = because;
      this.#remember(whole);
      return this.#told();
    });
  }

  close(): Promise<HostState> {
    return this.#inTurn(async () => {
      await this.#shut();
      return this.#told();
    });
  }

  recent(): RecentFleet[] {
    try {
      const list = JSON.parse(readFileSync(this.#recentFile(), 'utf8')) as RecentFleet[];
      return list.filter((fleet) => existsSync(fleet.file));
    } catch {
      return [];
    }
  }

  forget(file: string): HostState {
    this.#writeRecent(this.recent().filter((fleet) => fleet.file !== file));
    return this.state();
  }

  /** A file for a new fleet of this name that is not there yet. */
  freeFile(name: string): string {
    mkdirSync(this.options.fleetsFolder, { recursive: true });
    for (let n = 1; ; n++) {
      const file = join(this.options.fleetsFolder, `${name}${n === 1 ? '' : ` ${n}`}${fleetEnding}`);
      if (!existsSync(file)) return file;
    }
  }

  async #openOrRead(file: string, { readOnly = false, create = false }: { readOnly?: boolean; create?: boolean }) {
    try {
      return { pool: await this.#start(file, readOnly, create), because: null };
    } catch (error) {
      if (!(error instanceof Refusal) || !['in-use', 'not-allowed'].includes(error.problem.code)) throw error;
      return { pool: await this.#start(file, true), because: error.problem.message };
    }
  }

  #start(file: string | null, readOnly = false, create = false): Promise<Pool> {
    const { who, onEvent, onSlow } = this.options;
    return openPool(file, {
      who,
      readOnly,
      create,
      onChanged: (revision) => onEvent({ kind: 'changed', revision }),
      ...(onSlow ? { onSlow } : {}),
    });
  }

  async #shut(): Promise<void> {
    const pool = this.#pool;
    this.#pool = undefined;
    this.#because = null;
    await pool?.close();
  }

  #told(): HostState {
    const state = this.state();
    this.options.onEvent({ kind: 'fleet', state });
    return state;
  }

  #inTurn<T>(step: () => Promise<T>): Promise<T> {
    const next = this.#turn.then(step);
    this.#turn = next.catch(() => {});
    return next;
  }

  #recentFile = () => join(this.options.stateFolder, 'recent-fleets.json');

  #remember(file: string): void {
    const others = this.recent().filter((fleet) => fleet.file !== file);
    const fleet = { file, name: nameOf(file), openedAt: new Date().toISOString() };
    try {
      this.#writeRecent([fleet, ...others].slice(0, recentKept));
    } catch {
      // The list is a convenience: a full disk must not keep a fleet from opening.
    }
  }

  #writeRecent(list: readonly RecentFleet[]): void {
    const file = this.#recentFile();
    mkdirSync(dirname(file), { recursive: true });
    writeFileSync(`${file}.new`, JSON.stringify(list, null, 1));
    renameSync(`${file}.new`, file);
  }
}

export const nameOf = (file: string): string => basename(file).replace(/\.fleet$/i, '');

/** Makes the invented utility in a new file, ranks it and opens it. Throws a Refusal. */
export async function openDemo(
  shelf: Shelf,
  segments: number,
  onProgress: (progress: Progress) => void,
): Promise<HostState> {
  await shelf.open(shelf.freeFile('Harrow Vale'), { create: true });
  const pool = await shelf.pool();
  for (const reply of [
    await pool.send('demo.write', { segments }, { onProgress }),
    await pool.send('ranking.make', {}, { onProgress }),
  ])
    if (!reply.ok) throw new Refusal(reply.problem);
  return shelf.state();
}

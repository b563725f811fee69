import type { z } from 'zod';
import { type AskName, asks } from '../core/contract/asks/index.ts';
import {
  type HostAskName,
  type HostOutputOf,
  type HostParsedInputOf,
  hostAsks,
  type Progress,
} from '../core/contract/host.ts';
import { Refusal, type Reply, refuse } from '../core/contract/problem.ts';
import { mapPaths, type OnPath } from './paths.ts';
import type { Shelf } from './shelf.ts';

export interface HostDesk {
  readonly onProgress: (progress: Progress) => void;
}

/** What a host does itself: one function a host ask. */
export type HostTasks = {
  readonly [N in HostAskName]: (
    input: HostParsedInputOf<N>,
    desk: HostDesk,
  ) => HostOutputOf<N> | Promise<HostOutputOf<N>>;
};

export interface CarrierOptions {
  readonly shelf: Shelf;
  readonly hostTasks: HostTasks;
  /** Lets a path of an input pass, made real, or refuses it. */
  readonly onPath: OnPath;
}

/** Takes asks from a page that is not trusted: knows the names, checks paths, cancels by id. */
export class Carrier {
  readonly #options: CarrierOptions;
  readonly #running = new Map<string, AbortController>();

  constructor(options: CarrierOptions) {
    this.#options = options;
  }

  /** Never throws. */
  async send(
    name: string,
    input: unknown,
    id: string,
    onProgress: (progress: Progress) => void,
  ): Promise<Reply<unknown>> {
    try {
      if (this.#running.has(id)) throw refuse('bad-input', `The ask ${id} is running already.`);
      if (Object.hasOwn(hostAsks, name)) return await this.#host(name as HostAskName, input, onProgress);
      if (!Object.hasOwn(asks, name)) throw refuse('bad-input', `There is no ask '${name}'.`);
      return await this.#core(name as AskName, input, id, onProgress);
    } catch (error) {
      return { ok: false, problem: problemOf(error) };
    }
  }

  cancel(id: string): void {
    this.#running.get(id)?.abort();
  }

  async #core(name: AskName, input: unknown, id: string, onProgress: (progress: Progress) => void) {
    const { shelf, onPath } = this.#options;
    const checked = mapPaths(asks[name].input, input, onPath);
    const control = new AbortController();
    this.#running.set(id, control);
    try {
      const pool = await shelf.pool();
      return await pool.send(name, checked as never, { onProgress, signal: control.signal });
    } finally {
      this.#running.delete(id);
    }
  }

  async #host(name: HostAskName, input: unknown, onProgress: (progress: Progress) => void): Promise<Reply<unknown>> {
    const parsed = (hostAsks[name].input as z.ZodType).safeParse(input);
    if (!parsed.success) {
      const [issue] = parsed.error.issues;
      throw refuse('bad-input', `${issue?.path.join('.') || 'input'}: ${issue?.message}`, { where: name });
    }
    const task = this.#options.hostTasks[name] as (input: unknown, desk: HostDesk) => unknown;
    return { ok: true, value: await task(parsed.data, { onProgress }) };
  }
}

function problemOf(error: unknown) {
  if (error instanceof Refusal) return error.problem;
  return refuse('fault', `Something went wrong in the host: ${(error as Error).message}`).problem;
}

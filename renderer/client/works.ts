import type { Progress } from '../../core/contract/host.ts';
import type { Problem } from '../../core/contract/problem.ts';

/** A piece of long work, running or finished. */
export interface Work {
  readonly id: string;
  /** The ask it does, `ranking.make`. */
  readonly name: string;
  readonly words: string;
  readonly done: number;
  /** 0 where unknown. */
  readonly total: number;
  readonly state: 'running' | 'done' | 'failed' | 'cancelled';
  readonly problem: Problem | null;
  /** Milliseconds of `performance.now()` at the start and, once finished, at the end. */
  readonly startedMs: number;
  readonly endedMs: number | null;
}

/** Finished works that the list keeps. */
const keptFinished = 20;

export interface Works {
  /** Newest first; the same array until something changes. */
  list(): readonly Work[];
  subscribe(listener: () => void): () => void;
  cancel(id: string): void;
  /** Takes a finished work off the list. */
  dismiss(id: string): void;
}

/** The list of long works, with the hands that `ask` moves it by. */
export function makeWorks(cancel: (id: string) => void) {
  let works: readonly Work[] = [];
  const listeners = new Set<() => void>();
  const set = (next: readonly Work[]) => {
    works = next;
    for (const listener of listeners) listener();
  };
  const patch = (id: string, change: Partial<Work>) =>
    set(works.map((work) => (work.id === id ? { ...work, ...change } : work)));
  const trimmed = (list: readonly Work[]) => {
    let finished = 0;
    return list.filter((work) => work.state === 'running' || ++finished <= keptFinished);
  };
  const store: Works = {
    list: () => works,
    subscribe(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    cancel,
    dismiss: (id) => set(works.filter((work) => work.id !== id || work.state === 'running')),
  };
  return {
    store,
    /** Progress came: the ask is a work from now on. */
    moved(id: string, name: string, startedMs: number, progress: Progress) {
      if (works.some((work) => work.id === id)) patch(id, progress);
      else set([{ id, name, ...progress, state: 'running', problem: null, startedMs, endedMs: null }, ...works]);
    },
    ended(id: string, problem: Problem | null) {
      if (!works.some((work) => work.id === id)) return;
      const state = problem === null ? 'done' : problem.code === 'cancelled' ? 'cancelled' : 'failed';
      patch(id, { state, problem, endedMs: performance.now() });
      set(trimmed(works));
    },
  };
}

import { copyFileSync, mkdirSync, writeFileSync } from 'node:fs';
import type { Progress } from '../../core/contract/host.ts';
import type { Reply } from '../../core/contract/problem.ts';
import { openCore } from '../../core/index.ts';
import { startLoopback } from '../../electron/loopback.ts';
import { openPool } from '../../electron/pool.ts';
import { migrations } from '../../migrations/index.ts';
import type {} from '../../renderer/client/bridge.ts';
import { launchShell, noStandIn } from '../desktop/standin/launch.ts';
import { Visitor } from './browser.ts';

export interface AskedHow {
  readonly onProgress?: (progress: Progress) => void;
  /** Cancels as soon as the first progress came. */
  readonly cancelAtOnce?: boolean;
}

/** A host with a fleet open in it. */
export interface HostUnderTest {
  ask(name: string, input: unknown, how?: AskedHow): Promise<Reply<unknown>>;
  close(): Promise<void>;
}

export interface HostKind {
  readonly name: string;
  open(fleet: string, home: { file: (part: string) => string }, readOnly: boolean): Promise<HostUnderTest>;
}

/** A fleet of its own for each host, byte for byte the same. */
export function copyOf(fleet: string, folder: string): string {
  mkdirSync(folder, { recursive: true });
  const copy = `${folder}/the.fleet`;
  copyFileSync(fleet, copy);
  return copy;
}

const core: HostKind = {
  name: 'core itself',
  async open(fleet, _home, readOnly) {
    const open = await openCore(fleet, { migrations, now: () => new Date().toISOString(), who: 'x', readOnly });
    return {
      ask: (name, input, { onProgress, cancelAtOnce = false } = {}) => {
        let stopped = false;
        return open.send(name as never, input as never, {
          onProgress: (done, total, words) => {
            stopped = cancelAtOnce;
            onProgress?.({ done, total, words });
          },
          stopped: () => stopped,
        });
      },
      close: async () => open.close(),
    };
  },
};

const pool: HostKind = {
  name: 'worker threads',
  async open(fleet, _home, readOnly) {
    const open = await openPool(fleet, { who: 'x', readOnly });
    return {
      ask: (name, input, { onProgress, cancelAtOnce = false } = {}) => {
        const control = new AbortController();
        return open.send(name as never, input as never, {
          signal: control.signal,
          onProgress: (progress) => {
            if (cancelAtOnce) control.abort();
            onProgress?.(progress);
          },
        });
      },
      close: () => open.close(),
    };
  },
};

const loopback: HostKind = {
  name: 'the loopback host',
  async open(fleet, home, readOnly) {
    mkdirSync(home.file('page'), { recursive: true });
    writeFileSync(home.file('page/index.html'), '<!doctype html>');
    const host = await startLoopback({
      who: 'x',
      stateFolder: home.file('state'),
      fleetsFolder: home.file('fleets'),
      pageFolder: home.file('page'),
    });
    await host.shelf.open(fleet, { readOnly });
    const visitor = await Visitor.enter(host.link);
    return {
      ask: (name, input, { onProgress, cancelAtOnce = false } = {}) => {
        const id = crypto.randomUUID();
        return visitor.ask(name, input, {
          id,
          onProgress: (progress) => {
            if (cancelAtOnce) void visitor.send(`/cancel/${id}`, { method: 'POST' });
            onProgress?.(progress);
          },
        });
      },
      async close() {
        visitor.leave();
        await host.close();
      },
    };
  },
};

/** The real bundles of main process, preload and worker in the stand-in, asked from its page. */
const desktop: HostKind = {
  name: 'the window (stand-in)',
  async open(fleet, home, readOnly) {
    const shell = await launchShell({
      userData: home.file('user-data'),
      words: ['--fleet', fleet, ...(readOnly ? ['--read-only'] : [])],
    });
    return {
      async ask(name, input, { onProgress, cancelAtOnce = false } = {}) {
        const { reply, progress } = await shell.page.evaluate(
          async ({ name, input, cancelAtOnce }) => {
            const bridge = globalThis.yearbook!;
            const id = crypto.randomUUID();
            const progress: Progress[] = [];
            const reply = await bridge.ask(name, input, id, (each) => {
              progress.push(each);
              if (cancelAtOnce) bridge.cancel(id);
            });
            return { reply, progress };
          },
          { name, input, cancelAtOnce },
        );
        for (const each of progress) onProgress?.(each);
        return reply;
      },
      close: () => shell.close(),
    };
  },
};

export const everyHost: readonly HostKind[] = noStandIn ? [core, pool, loopback] : [core, pool, loopback, desktop];

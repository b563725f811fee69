import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { AskName, InputOf, OutputOf } from '../../core/contract/asks/index.ts';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';

export interface TestCore {
  readonly core: Core;
  readonly folder: string;
  readonly file: string;
  /** The answer, or an error with the problem's code and message. */
  ask<N extends AskName>(name: N, input: InputOf<N>): Promise<OutputOf<N>>;
  close(): void;
}

/** A core on a new fleet in a folder of its own; the clock stands still. */
export async function aCore(options: { who?: string; now?: string; file?: string } = {}): Promise<TestCore> {
  const folder = mkdtempSync(join(tmpdir(), 'yearbook-tasks-'));
  const file = options.file ?? join(folder, 'test.fleet');
  const core = await openCore(file, {
    migrations,
    now: () => options.now ?? '2026-06-30T12:00:00.000Z',
    who: options.who ?? 'Ada Thornbury',
    create: true,
  });
  return {
    core,
    folder,
    file,
    async ask(name, input) {
      const reply = await core.send(name, input);
      if (!reply.ok) throw new Error(`${reply.problem.code}: ${reply.problem.message}`);
      return reply.value;
    },
    close() {
      core.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

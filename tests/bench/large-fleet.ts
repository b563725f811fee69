import { existsSync, mkdirSync, renameSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';

export const largeSegments = 200_000;

/**
 * The large fleet for benchmarks: the one that YEARBOOK_BENCH_FLEET names, else the invented utility with 200,000
 * segments, made once (about ten minutes) into a folder of the benchmarks' own below the system's temporary one.
 */
export async function largeFleet(): Promise<string> {
  const named = process.env.YEARBOOK_BENCH_FLEET;
  if (named) {
    if (existsSync(named)) return resolve(named);
    throw new Error(`YEARBOOK_BENCH_FLEET names ${named}, which is not there.`);
  }
  const folder = join(tmpdir(), 'cable-yearbook-bench');
  const file = join(folder, `${largeSegments}.fleet`);
  if (existsSync(file)) return file;
  console.log(`making ${file}, once`);
  mkdirSync(folder, { recursive: true });
  const half = `${file}.half`;
  rmSync(half, { force: true });
  const core = await openCore(half, { migrations, now: () => new Date().toISOString(), who: 'bench', create: true });
  const reply = await core.send('demo.write', { segments: largeSegments });
  core.close();
  if (!reply.ok) throw new Error(reply.problem.message);
  renameSync(half, file);
  return file;
}

import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';

// Goal: verify takes at most 1 / 0.6 of the time of `sha256sum` and the sqlite3 shell's `PRAGMA integrity_check` together.
// Run: node tests/bench/verify.bench.ts [SEGMENTS or FLEET] (prints; decides nothing).
const self = import.meta.filename;
const now = () => new Date().toISOString();

interface Took {
  readonly seconds: number;
  readonly cpuSeconds: number;
  readonly peakMb: number;
}

/** Verifies in a process of its own, so that time and memory are its alone. */
async function inThisProcess(file: string): Promise<void> {
  const core = await openCore(null, { migrations, now, who: 'bench' });
  const before = process.cpuUsage();
  const started = performance.now();
  const reply = await core.send('evidence.verify', { path: file });
  const seconds = (performance.now() - started) / 1000;
  core.close();
  if (!reply.ok || !reply.value.intact) throw new Error(reply.ok ? reply.value.sentence : reply.problem.message);
  const { user, system } = process.cpuUsage(before);
  const took: Took = { seconds, cpuSeconds: (user + system) / 1e6, peakMb: process.resourceUsage().maxRSS / 1024 };
  console.log(JSON.stringify(took));
}

function timed(command: string, ...words: string[]): number {
  const started = performance.now();
  const child = spawnSync(command, words, { encoding: 'utf8' });
  if (child.status !== 0) throw new Error(child.stderr || `${command} is not there`);
  return (performance.now() - started) / 1000;
}

function verified(file: string): Took {
  const child = spawnSync(process.execPath, [self, '--do', file], { encoding: 'utf8' });
  if (child.status !== 0) throw new Error(child.stderr);
  return JSON.parse(child.stdout.trim().split('\n').at(-1)!) as Took;
}

async function compare(what: string): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'verify-bench-'));
  try {
    let file = what;
    if (!existsSync(what)) {
      file = join(folder, 'bench.fleet');
      const core = await openCore(file, { migrations, now, who: 'bench', create: true });
      const reply = await core.send('demo.write', { segments: Number(what), seed: 1 });
      core.close();
      if (!reply.ok) throw new Error(reply.problem.message);
    }
    console.log(`${(statSync(file).size / 1e6).toFixed(0)} MB`);
    const ratios: number[] = [];
    // Turn about, so that a busy machine slows both; the median of three counts.
    for (let round = 0; round < 3; round++) {
      const sum = timed('sha256sum', file);
      const check = timed('sqlite3', file, 'pragma integrity_check');
      const took = verified(file);
      ratios.push((sum + check) / took.seconds);
      console.log(
        `sha256sum ${sum.toFixed(2)} s + integrity_check ${check.toFixed(2)} s; verify ${took.seconds.toFixed(2)} s ` +
          `(${took.cpuSeconds.toFixed(2)} s of processors, ${took.peakMb.toFixed(0)} MB)`,
      );
    }
    const median = ratios.sort((a, b) => a - b)[1]!;
    console.log(`verify runs at ${(100 * median).toFixed(0)} % of their speed (goal: at least 60 %)`);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const [word, file] = process.argv.slice(2);
if (word === '--do') await inThisProcess(file!);
else await compare(word ?? '20000');

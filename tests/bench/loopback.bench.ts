import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { startLoopback } from '../../electron/loopback.ts';
import { Visitor } from '../hosts/browser.ts';

// Goal: search, open feeder, open segment and a page of the ranking answer within 30 ms at the 95th percentile through
// the loopback host.
// Run: node tests/bench/loopback.bench.ts [SEGMENTS or FLEET] (prints; decides nothing).
const goalMs = 30;
const rounds = 300;
const given = process.argv[2] ?? '600';

const folder = mkdtempSync(join(tmpdir(), 'yearbook-bench-'));
mkdirSync(join(folder, 'page'));
writeFileSync(join(folder, 'page/index.html'), '<!doctype html>');
const host = await startLoopback({
  who: 'bench',
  stateFolder: folder,
  fleetsFolder: folder,
  pageFolder: join(folder, 'page'),
});
const file = given.endsWith('.fleet') ? given : join(folder, 'bench.fleet');
const opening = performance.now();
await host.shelf.open(file, { create: true });
console.log(`open: ${Math.round(performance.now() - opening)} ms`);
const visitor = await Visitor.enter(host.link);

async function value<T>(name: string, input: unknown): Promise<T> {
  const reply = await visitor.ask(name, input);
  if (!reply.ok) throw new Error(`${name}: ${reply.problem.message}`);
  return reply.value as T;
}

if (file.startsWith(folder)) await value('demo.write', { segments: Number(given) });
const ranking = performance.now();
await value('ranking.make', {});
console.log(`ranking.make: ${((performance.now() - ranking) / 1000).toFixed(1)} s`);

interface Nodes {
  readonly nodes: readonly { readonly kind: string; readonly id: string; readonly name: string }[];
}
const childrenOf = async (nodes: Nodes['nodes']) => {
  const lists = await Promise.all(
    nodes.map(({ kind, id }) => value<Nodes>('fleet.tree', { under: { kind, id } }).then((answer) => answer.nodes)),
  );
  return lists.flat();
};
const { nodes: substations } = await value<Nodes>('fleet.tree', { under: null });
const feeders = await childrenOf(substations.slice(0, 5));
const segments = await childrenOf(feeders.slice(0, 12));
const { total } = await value<{ total: number }>('ranking.page', {});

const pick = <T>(list: readonly T[], i: number): T => list[(i * 7919) % list.length]!;
const questions: Record<string, (i: number) => [string, unknown]> = {
  'nothing but the way': () => ['host.state', {}],
  search: (i) => ['fleet.find', { text: pick(segments, i).name.slice(0, 2 + (i % 5)) }],
  'open feeder': (i) => ['fleet.tree', { under: { kind: 'feeder', id: pick(feeders, i).id } }],
  'open segment': (i) => ['segment.page', { segmentId: pick(segments, i).id }],
  'page of the ranking': (i) => ['ranking.page', { from: (i * 7919) % Math.max(1, total - 100) }],
  'page of the ranking, other orders': (i) => [
    'ranking.page',
    { order: pick(['level', 'name', 'length', 'crossing'], i), from: (i * 101) % Math.max(1, total - 100) },
  ],
};
for (const [words, question] of Object.entries(questions)) {
  const took: number[] = [];
  for (let i = 0; i < rounds; i++) {
    const [name, input] = question(i);
    const started = performance.now();
    await value(name, input);
    took.push(performance.now() - started);
  }
  took.sort((a, b) => a - b);
  const at = (share: number) => took[Math.min(rounds - 1, Math.floor(share * rounds))]!;
  console.log(
    `${words}: median ${at(0.5).toFixed(1)} ms, p95 ${at(0.95).toFixed(1)} ms (${(at(0.95) / goalMs).toFixed(2)} of the goal), slowest ${at(1).toFixed(0)} ms`,
  );
}
visitor.leave();
await host.close();
rmSync(folder, { recursive: true });

import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Progress } from '../../core/contract/host.ts';
import { copyOf, everyHost, type HostUnderTest } from './every-host.ts';
import { makeSmallFleet, temporaryFolder } from './small-fleet.ts';

// The hosts only carry: the same asks get the same answers and the same problems whichever way they came.
const home = temporaryFolder('hosts');
let fleet: string;
beforeAll(async () => {
  fleet = await makeSmallFleet(home.file('original.fleet'), home.file('folder'));
});
afterAll(home.clear);

/** Answers of core itself, that the others are held against. */
const first = new Map<string, unknown>();

/** What may differ: where the file lies, and how long it took. */
function same(value: unknown): unknown {
  return JSON.parse(JSON.stringify(value, (key, each) => (['file', 'seconds'].includes(key) ? null : each)));
}

function held(question: string, answer: unknown): void {
  if (!first.has(question)) first.set(question, same(answer));
  expect(same(answer)).toEqual(first.get(question));
}

describe.each(everyHost)('$name', (kind) => {
  let host: HostUnderTest;
  beforeAll(async () => {
    const folder = home.file(kind.name);
    host = await kind.open(copyOf(fleet, folder), { file: (part) => `${folder}/${part}` }, false);
  });
  afterAll(() => host?.close());

  // First of all: what the tree shows depends on it.
  test('long work says how far it is, can be cancelled, and then be done', async () => {
    const said: Progress[] = [];
    // A day of its own: the window's page may have made today's ranking already.
    const wish = { asOf: '2024-12-31' };
    const stopped = await host.ask('ranking.make', wish, { cancelAtOnce: true, onProgress: (each) => said.push(each) });
    expect(said.length).toBeGreaterThan(0);
    expect(said[0]).toMatchObject({ words: expect.any(String), total: expect.any(Number) });
    // Small work may be over before the cancel arrives; then it must have been done whole.
    if (!stopped.ok) expect(stopped.problem.code).toBe('cancelled');
    const done = await host.ask('ranking.make', {});
    expect(done).toMatchObject({ ok: true });
    held('ranking.make', done);
    const page = await host.ask('ranking.page', {});
    expect(page).toMatchObject({ ok: true });
    held('ranking.page', page);
  });

  const questions: [string, unknown][] = [
    ['fleet.info', {}],
    ['fleet.tree', { under: null }],
    ['fleet.find', { text: 'weir' }],
    ['fleet.find', { text: 'Ωµ “quoted” \u0000 \ud83d\ude00' }],
    ['ranking.choices', {}],
    ['ranking.feeders', {}],
  ];
  test.each(questions)('%s %j is answered', async (name, input) => {
    const reply = await host.ask(name, input);
    expect(reply).toMatchObject({ ok: true });
    held(`${name} ${JSON.stringify(input)}`, reply);
  });

  test('walks the tree down to a segment and opens its page', async () => {
    const value = async (name: string, input: unknown) => {
      const reply = await host.ask(name, input);
      if (!reply.ok) throw new Error(JSON.stringify(reply.problem));
      held(`${name} ${JSON.stringify(input)}`, reply);
      return reply.value as { nodes: { kind: string; id: string }[] };
    };
    let under: unknown = null;
    for (let depth = 0; depth < 3; depth++) {
      const { nodes } = await value('fleet.tree', { under });
      const [node] = nodes;
      under = { kind: node!.kind, id: node!.id };
    }
    expect(under).toMatchObject({ kind: 'segment' });
  });

  const wrong: [string, unknown, string][] = [
    ['fleet.nothing', {}, 'bad-input'],
    ['fleet.find', { text: 7 }, 'bad-input'],
    ['fleet.find', {}, 'bad-input'],
    ['fleet.find', { text: 'x', count: 0, more: 1 }, 'bad-input'],
    ['fleet.path', { segmentId: '01890000-0000-7000-8000-000000000000' }, 'not-found'],
    ['fleet.info', null, 'bad-input'],
  ];
  test.each(wrong)('%s %j is refused with one and the same problem', async (name, input, code) => {
    const reply = await host.ask(name, input);
    expect(reply).toMatchObject({ ok: false, problem: { code } });
    held(`${name} ${JSON.stringify(input)}`, reply);
  });

  test('a change is made, and read back', async () => {
    const wish = { keys: ['a finding'], verdict: 'dismissed', reason: 'seen in the field' };
    const changed = await host.ask('finding.decide', wish);
    held('finding.decide', changed);
    if (changed.ok) {
      const info = await host.ask('fleet.info', {});
      expect(info).toMatchObject({ ok: true, value: { revision: (changed.value as { revision: number }).revision } });
    }
  });
});

describe.each(everyHost)('$name, read-only', (kind) => {
  let host: HostUnderTest;
  beforeAll(async () => {
    const folder = home.file(`${kind.name} read-only`);
    host = await kind.open(copyOf(fleet, folder), { file: (part) => `${folder}/${part}` }, true);
  });
  afterAll(() => host?.close());

  test('reads, ranks, says that it is read-only, and refuses every change', async () => {
    expect(await host.ask('fleet.info', {})).toMatchObject({ ok: true, value: { readOnly: true } });
    const wish = { keys: ['a finding'], verdict: 'dismissed', reason: 'seen in the field' };
    expect(await host.ask('finding.decide', wish)).toMatchObject({ ok: false, problem: { code: 'read-only' } });
    expect(await host.ask('ranking.make', {})).toMatchObject({ ok: true });
    expect(await host.ask('ranking.page', {})).toMatchObject({ ok: true });
  });
});

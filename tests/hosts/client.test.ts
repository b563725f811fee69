import { beforeEach, describe, expect, test } from 'vitest';
import type { Bridge, HostEvent, Progress } from '../../core/contract/host.ts';
import type { Reply } from '../../core/contract/problem.ts';
import type {} from '../../renderer/client/bridge.ts';

// The window's side of a host, with a bridge that answers as a test says.
type Answer = (
  input: unknown,
  onProgress: (progress: Progress) => void,
  id: string,
) => Reply<unknown> | Promise<Reply<unknown>>;
const answers: Record<string, Answer> = {};
const asked: string[] = [];
const cancelled: string[] = [];
const listeners = new Set<(event: HostEvent) => void>();

const bridge: Bridge = {
  async ask(name, input, id, onProgress) {
    asked.push(name);
    return answers[name]!(input, onProgress!, id);
  },
  cancel: (id) => void cancelled.push(id),
  pathOf: async (file) => `/picked/${(file as File).name}`,
  onEvent(listener) {
    listeners.add(listener);
    return () => listeners.delete(listener);
  },
};
globalThis.yearbook = bridge;
const { ask, host, onChanged, ProblemError, works } = await import('../../renderer/client/index.ts');

const ok = (value: unknown): Reply<unknown> => ({ ok: true, value });
const problem = (code: 'not-ready' | 'not-found' | 'cancelled'): Reply<unknown> => ({
  ok: false,
  problem: { code, message: code },
});

beforeEach(() => {
  asked.length = 0;
  cancelled.length = 0;
});

describe('ask', () => {
  test('gives the value, or throws the problem as it came', async () => {
    answers['fleet.find'] = () => ok({ hits: [] });
    expect(await ask('fleet.find', { text: 'x' })).toEqual({ hits: [] });
    answers['fleet.find'] = () => problem('not-found');
    const thrown = await ask('fleet.find', { text: 'x' }).catch((error: unknown) => error);
    expect(thrown).toBeInstanceOf(ProblemError);
    expect(thrown).toMatchObject({ code: 'not-found', message: 'not-found' });
  });

  test('makes the ranking where it is not there yet, once for all who wait, and then asks again', async () => {
    let made = false;
    answers['ranking.page'] = () => (made ? ok('page') : problem('not-ready'));
    answers['ranking.make'] = async () => {
      await new Promise((done) => setTimeout(done, 20));
      made = true;
      return ok('fit');
    };
    expect(await Promise.all([ask('ranking.page', {}), ask('ranking.page', { from: 100 })])).toEqual(['page', 'page']);
    expect(asked.filter((name) => name === 'ranking.make')).toHaveLength(1);
    expect(asked.filter((name) => name === 'ranking.page')).toHaveLength(4);
  });

  test('a ranking that can’t be made is the problem that is thrown, and it is tried anew the next time', async () => {
    answers['ranking.page'] = () => problem('not-ready');
    answers['ranking.make'] = () => problem('cancelled');
    for (let n = 0; n < 2; n++) await expect(ask('ranking.page', {})).rejects.toMatchObject({ code: 'cancelled' });
    expect(asked).toEqual(['ranking.page', 'ranking.make', 'ranking.page', 'ranking.make']);
  });

  test('never goes round for ever where the host says not-ready again', async () => {
    answers['ranking.page'] = () => problem('not-ready');
    answers['ranking.make'] = () => ok('fit');
    await expect(ask('ranking.page', {})).rejects.toMatchObject({ code: 'not-ready' });
    expect(asked).toEqual(['ranking.page', 'ranking.make', 'ranking.page']);
  });

  test('edits in a row are one ranking: the one being made is given up, and made again once it is quiet', async () => {
    const change = (revision: number) => {
      for (const listener of listeners) listener({ kind: 'changed', revision });
    };
    let now = 1;
    let made = 0;
    let begun = 0;
    const moments: (() => void)[] = [];
    answers['ranking.page'] = () => (made === now ? ok(`page ${made}`) : problem('not-ready'));
    answers['ranking.make'] = async (_, __, id) => {
      const of = now;
      if (++begun === 2) {
        // The first edits have come and gone: this one is let end.
        made = of;
        return ok('fit');
      }
      await new Promise<void>((done) => moments.push(done));
      return cancelled.includes(id) ? problem('cancelled') : ok('fit');
    };
    const page = ask('ranking.page', {});
    const beside = ask('ranking.page', { from: 100 });
    await expect.poll(() => moments.length).toBe(1);
    for (now = 2; now < 5; now++) change(now);
    now = 5;
    change(now);
    expect(cancelled).toHaveLength(1);
    // What is given up ends late; nobody waits for it.
    setTimeout(() => moments[0]!(), 2_500);
    expect(await Promise.all([page, beside])).toEqual(['page 5', 'page 5']);
    expect(begun).toBe(2);
  });

  test('an aborted ask cancels with the host and tells what the host said', async () => {
    const control = new AbortController();
    answers['findings.list'] = async (_input, _onProgress, id) => {
      control.abort();
      expect(cancelled).toEqual([id]);
      return problem('cancelled');
    };
    await expect(ask('findings.list', {}, { signal: control.signal })).rejects.toMatchObject({ code: 'cancelled' });
    await expect(ask('findings.list', {}, { signal: control.signal })).rejects.toMatchObject({ code: 'cancelled' });
    expect(asked).toEqual(['findings.list']);
  });
});

describe('works', () => {
  test('an ask becomes a work with its first progress, moves, and ends as it ended', async () => {
    const seen: unknown[] = [];
    const stop = works.subscribe(() =>
      seen.push(works.list().map(({ words, done, state }) => ({ words, done, state }))),
    );
    answers['findings.list'] = (_input, onProgress) => {
      onProgress({ done: 1, total: 2, words: 'reading' });
      onProgress({ done: 2, total: 2, words: 'comparing' });
      return problem('not-found');
    };
    const heard: Progress[] = [];
    await ask('findings.list', {}, { onProgress: (each) => heard.push(each) }).catch(() => undefined);
    stop();
    expect(heard.map(({ words }) => words)).toEqual(['reading', 'comparing']);
    expect(seen.slice(0, 3)).toEqual([
      [{ words: 'reading', done: 1, state: 'running' }],
      [{ words: 'comparing', done: 2, state: 'running' }],
      [{ words: 'comparing', done: 2, state: 'failed' }],
    ]);
    const [work] = works.list();
    expect(works.list()).toBe(works.list());
    works.dismiss(work!.id);
    expect(works.list()).toEqual([]);
  });

  test('a short ask is no work; a running one can’t be dismissed; finished ones are kept up to twenty', async () => {
    answers['fleet.info'] = () => ok({});
    await ask('fleet.info', {});
    expect(works.list()).toEqual([]);
    answers['findings.list'] = (_input, onProgress, id) => {
      onProgress({ done: 0, total: 0, words: 'x' });
      works.dismiss(id);
      expect(works.list().some((work) => work.id === id)).toBe(true);
      return ok({});
    };
    for (let n = 0; n < 25; n++) await ask('findings.list', {});
    expect(works.list()).toHaveLength(20);
  });
});

describe('the host', () => {
  test('tells of changes, fleets, menu words and handed-over files, each to its own listeners', () => {
    const heard: unknown[] = [];
    const stops = [
      onChanged((revision) => heard.push(revision)),
      host.onMenu((word) => heard.push(word)),
      host.onOpened((paths) => heard.push(paths)),
    ];
    for (const event of [
      { kind: 'changed', revision: 7 },
      { kind: 'menu', word: 'find' },
      { kind: 'dropped', paths: ['/a'] },
    ] as const)
      for (const listener of listeners) listener(event);
    expect(heard).toEqual([7, 'find', ['/a']]);
    for (const stop of stops) stop();
    for (const listener of listeners) listener({ kind: 'changed', revision: 8 });
    expect(heard).toHaveLength(3);
  });

  test('in the window, dropped files are paths at once and a chosen place needs no download', async () => {
    expect(host.kind).toBe('window');
    const transfer = { files: [new File(['x'], 'a.csv'), new File(['y'], 'b.csv')] } as unknown as DataTransfer;
    expect(await host.dropped(transfer)).toEqual(['/picked/a.csv', '/picked/b.csv']);
    answers['host.saveFile'] = () => ok({ path: '/chosen/x.csv' });
    const place = await host.saveFile('x.csv');
    expect(place!.path).toBe('/chosen/x.csv');
    await place!.done();
    answers['host.saveFile'] = () => ok(null);
    expect(await host.saveFile('x.csv')).toBeNull();
  });
});

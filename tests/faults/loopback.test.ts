import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  readlinkSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { connect, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { zipOf } from '../../electron/loopback/zip.ts';
import { type Loopback, startLoopback } from '../../electron/loopback.ts';
import { Visitor } from '../hosts/browser.ts';
import { makeSmallFleet, temporaryFolder } from '../hosts/small-fleet.ts';

// What no browser sends. tests/hosts tries who is let in; here it is whether the host lives on and nothing leaks out.
const home = temporaryFolder('loopback-faults');
let host: Loopback;
let visitor: Visitor;
let port: number;
const sockets = new Set<Socket>();

beforeAll(async () => {
  mkdirSync(home.file('page'));
  writeFileSync(home.file('page/index.html'), '<!doctype html><title>A page</title>');
  writeFileSync(home.file('secret.txt'), 'not for the page');
  const fleet = await makeSmallFleet(home.file('small.fleet'), home.file('folder'));
  host = await startLoopback({
    who: 'asset manager',
    stateFolder: home.file('state'),
    fleetsFolder: home.file('fleets'),
    pageFolder: home.file('page'),
    named: [fleet],
  });
  await host.shelf.open(fleet);
  port = Number(new URL(host.link).port);
  visitor = await Visitor.enter(host.link);
});
afterEach(async () => {
  for (const socket of sockets) socket.destroy();
  sockets.clear();
  expect(await visitor.ask('fleet.info', {}), 'the host must live on').toMatchObject({ ok: true });
});
afterAll(async () => {
  visitor?.leave();
  await host?.close();
  home.clear();
});

/** Bytes as they are, and what came back until the host hung up. */
function raw(bytes: string | Buffer): Promise<string> {
  return new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1');
    sockets.add(socket);
    let text = '';
    socket.on('data', (chunk) => (text += chunk));
    socket.on('error', () => {});
    socket.on('close', () => resolve(text));
    socket.end(bytes);
  });
}
const statusOf = (answer: string) => Number(/^HTTP\/1\.1 (\d{3})/.exec(answer)?.[1] ?? 0);
const head = (line: string, more: Record<string, string> = {}) =>
  [
    line,
    ...Object.entries({
      host: `127.0.0.1:${port}`,
      cookie: visitor.cookie,
      origin: visitor.origin,
      connection: 'close',
      ...more,
    }).map(([k, v]) => `${k}: ${v}`),
    '',
    '',
  ].join('\r\n');

describe('bytes that are no request', () => {
  test.each<[string, () => string | Buffer]>([
    ['noise', () => Buffer.from(Array.from({ length: 2000 }, (_, i) => (i * 7919 + 13) % 256))],
    ['a TLS greeting', () => Buffer.from('160301020001fc0303', 'hex')],
    ['a line without an end', () => 'GET / HTTP/1.1'],
    ['no HTTP version', () => 'GET /\r\n\r\n'],
    ['another version', () => head('GET / HTTP/9.9')],
    ['two lengths', () => head('POST /ask/fleet.info HTTP/1.1', { 'content-length': '2', 'Content-Length': '3' })],
    [
      'a length and chunks',
      () => head('POST /ask/fleet.info HTTP/1.1', { 'content-length': '2', 'transfer-encoding': 'chunked' }),
    ],
    ['a length below nothing', () => head('POST /ask/fleet.info HTTP/1.1', { 'content-length': '-1' })],
    ['a header folded over lines', () => head('GET / HTTP/1.1', { 'x-a': 'b\r\n c' })],
    [
      'a chunk of no size',
      () =>
        `${head('POST /ask/fleet.info HTTP/1.1', { 'content-type': 'application/json', 'transfer-encoding': 'chunked' })}zz\r\n{}\r\n`,
    ],
    ['headers of a megabyte', () => head('GET / HTTP/1.1', { 'x-a': 'a'.repeat(1 << 20) })],
    [
      'ten thousand headers',
      () => head('GET / HTTP/1.1', Object.fromEntries(Array.from({ length: 10_000 }, (_, i) => [`x-${i}`, 'a']))),
    ],
    ['a path of a megabyte', () => head(`GET /${'a/'.repeat(1 << 19)} HTTP/1.1`)],
    ['two hosts', () => head('GET / HTTP/1.1', { Host: 'elsewhere.example' })],
    ['a whole address of elsewhere', () => head('GET http://elsewhere.example/secret.txt HTTP/1.1')],
    ['a tunnel', () => head('CONNECT 127.0.0.1:22 HTTP/1.1')],
    ['an upgrade', () => head('GET /nowhere HTTP/1.1', { connection: 'Upgrade', upgrade: 'websocket' })],
  ])('%s is let down without an answer of ours', async (_, bytes) => {
    const answer = await raw(bytes());
    expect(statusOf(answer) === 0 || statusOf(answer) >= 400, answer.slice(0, 200)).toBe(true);
    expect(answer).not.toContain('not for the page');
    expect(answer).not.toContain('Harrow Vale');
  });

  test.each(['HEAD', 'PUT', 'DELETE', 'OPTIONS', 'TRACE', 'PATCH', 'PROPFIND'])(
    '%s is not understood',
    async (method) => {
      expect(statusOf(await raw(head(`${method} / HTTP/1.1`, { connection: 'close' })))).toBe(405);
    },
  );

  test.each([
    '/../secret.txt',
    '/./../secret.txt',
    '/..;/secret.txt',
    '/..%00/secret.txt',
    '/%2e%2e%2fsecret.txt',
    '/\\..\\secret.txt',
    '/index.html/../../secret.txt',
    '/made/../../secret.txt',
    '*',
    '//127.0.0.1/secret.txt',
  ])('the path %s leads nowhere', async (path) => {
    const answer = await raw(head(`GET ${path} HTTP/1.1`, { connection: 'close' }));
    expect([400, 404]).toContain(statusOf(answer));
    expect(answer).not.toContain('not for the page');
  });
});

describe('requests that stop in the middle', () => {
  const ask = { 'content-type': 'application/json', 'content-length': '1000' };

  test('fifty half asks and uploads, hung up: nothing of them stays', async () => {
    const batch = crypto.randomUUID();
    const half = (line: string) => {
      const socket = connect(port, '127.0.0.1');
      sockets.add(socket);
      socket.on('error', () => {});
      socket.write(`${head(line, ask)}{"text"`);
      return socket;
    };
    const halves = Array.from({ length: 25 }, (_, i) => [
      half('POST /ask/fleet.find HTTP/1.1'),
      half(`POST /stage/${batch}/part-${i}.csv HTTP/1.1`),
    ]).flat();
    const staged = () => (existsSync(stagedAt(batch)) ? readdirSync(stagedAt(batch)) : null);
    await expect.poll(() => staged()?.length).toBe(25);
    for (const socket of halves) socket.resetAndDestroy();
    await expect.poll(staged).toEqual([]);
    expect(await visitor.ask('fleet.import', { paths: [`staged:${batch}/part-1.csv`] })).toMatchObject({
      ok: false,
      problem: { code: 'not-allowed' },
    });
  });

  test('slow bodies hold up nobody else', async () => {
    const slow = Array.from({ length: 30 }, () => {
      const socket = connect(port, '127.0.0.1');
      sockets.add(socket);
      socket.on('error', () => {});
      socket.write(`${head('POST /ask/fleet.find HTTP/1.1', ask)}{`);
      return socket;
    });
    for (let i = 0; i < 5; i++) expect(await visitor.ask('fleet.find', { text: 'weir' })).toMatchObject({ ok: true });
    for (const socket of slow) expect(socket.destroyed).toBe(false);
  });

  test('answers that nobody waits for, twenty at once, leave the reader free', async () => {
    await Promise.all(
      Array.from({ length: 20 }, async () => {
        const stop = new AbortController();
        const asked = visitor
          .send('/ask/fleet.tree', {
            method: 'POST',
            headers: { 'content-type': 'application/json' },
            body: '{"under":null}',
            signal: stop.signal,
          })
          .catch(() => undefined);
        stop.abort();
        await asked;
      }),
    );
  });
});

test('cancels of all kinds at once: unknown, long, repeated, of others', async () => {
  const post = (path: string) => visitor.send(path, { method: 'POST' }).then((answer) => answer.status);
  const ids = ['nothing', 'x'.repeat(5000), '__proto__', 'constructor', '%00', encodeURIComponent('../x'), ''];
  const statuses = await Promise.all([...ids, ...ids].map((id) => post(`/cancel/${id}`)));
  expect(new Set(statuses)).toEqual(new Set([204]));
});

test('one id for two asks at once: the second is refused or both are answered, and either may be cancelled', async () => {
  const headers = { 'content-type': 'application/json', 'x-ask-id': 'the-same' };
  const answers = await Promise.all(
    [1, 2, 3].map(() => visitor.send('/ask/ranking.make', { method: 'POST', headers, body: '{}' })),
  );
  expect(answers.some((answer) => answer.text.includes('"ok":true'))).toBe(true);
  for (const answer of answers) expect(answer.text).toMatch(/"ok":true|running already/);
});

test('a file handed over twice under one name stays as it was first', async () => {
  const batch = crypto.randomUUID();
  const stage = (body: string) => visitor.send(`/stage/${batch}/once.csv`, { method: 'POST', body });
  expect((await stage('first')).status).toBe(204);
  expect((await stage('second')).status).toBe(400);
  expect(readFileSync(join(stagedAt(batch), 'once.csv'), 'utf8')).toBe('first');
});

test('a dropped file that is no fleet is refused and not kept among the fleets', async () => {
  const batch = crypto.randomUUID();
  await visitor.send(`/stage/${batch}/letter.fleet`, { method: 'POST', body: 'Dear Sir or Madam, '.repeat(100) });
  expect(await visitor.ask('host.openFleet', { file: `staged:${batch}/letter.fleet` })).toMatchObject({
    ok: false,
    problem: { code: 'foreign-file' },
  });
  expect(existsSync(home.file('fleets')) ? readdirSync(home.file('fleets')) : []).toEqual([]);
});

test('asks of odd JSON are answered in JSON', async () => {
  for (const body of [
    'null',
    '[]',
    '0',
    '""',
    '{"__proto__":{"text":"x"}}',
    `${'['.repeat(20_000)}${']'.repeat(20_000)}`,
    `{"text":"${'x'.repeat(1_000_000)}"}`,
  ]) {
    const answer = await visitor.send('/ask/fleet.find', {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body,
    });
    expect(answer.text).toContain('"ok":false');
    expect(answer.text).not.toContain('"fault"');
  }
});

test.runIf(process.platform === 'linux')('a download of a folder that is given up leaves no file open', async () => {
  const folder = mkdtempSync(home.file('large-'));
  const noise = Buffer.alloc(4 << 20);
  for (let i = 0; i < noise.length; i++) noise[i] = (i * i * 31 + (i >> 7)) & 255;
  writeFileSync(join(folder, 'noise.bin'), noise);
  const open = () =>
    readdirSync('/proc/self/fd').filter((fd) => {
      try {
        return readlinkSync(`/proc/self/fd/${fd}`).startsWith(folder);
      } catch {
        return false;
      }
    }).length;
  const stream = zipOf(folder);
  await expect.poll(open).toBe(1);
  stream.destroy();
  await expect.poll(open).toBe(0);
  rmSync(folder, { recursive: true });
});

/** Where the host keeps what it was handed under this name. */
function stagedAt(batch: string): string {
  const [found] = readdirSync(tmpdir()).filter((name) => existsSync(join(tmpdir(), name, 'in', batch)));
  return join(tmpdir(), found ?? 'nowhere', 'in', batch);
}

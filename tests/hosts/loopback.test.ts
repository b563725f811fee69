import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { networkInterfaces } from 'node:os';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Loopback, startLoopback } from '../../electron/loopback.ts';
import { send, Visitor } from './browser.ts';
import { makeSmallFleet, temporaryFolder, writeSmallFolder } from './small-fleet.ts';

const home = temporaryFolder('loopback');
let host: Loopback;
let visitor: Visitor;
let port: number;
const entered: string[] = [];

beforeAll(async () => {
  mkdirSync(home.file('page/assets'), { recursive: true });
  writeFileSync(home.file('page/index.html'), '<!doctype html><title>A page</title>');
  writeFileSync(home.file('page/assets/large-abc123.js'), `// ${'a sentence that repeats. '.repeat(400)}`);
  writeFileSync(home.file('secret.txt'), 'not for the page');
  const fleet = await makeSmallFleet(home.file('small.fleet'), home.file('folder'));
  host = await startLoopback({
    who: 'asset manager',
    stateFolder: home.file('state'),
    fleetsFolder: home.file('fleets'),
    pageFolder: home.file('page'),
    named: [fleet],
    onEntered: (next) => entered.push(next),
  });
  await host.shelf.open(fleet);
  port = Number(new URL(host.link).port);
  visitor = await Visitor.enter(host.link);
});

afterAll(async () => {
  visitor?.leave();
  await host?.close();
  home.clear();
});

const asJson = { 'content-type': 'application/json' };

describe('who is let in', () => {
  test('nobody without the cookie, whatever the path: 401 and no content', async () => {
    for (const path of ['/', '/index.html', '/events', '/made/x/y', '/nothing']) {
      const answer = await send(port, path, {});
      expect([path, answer.status]).toEqual([path, 401]);
      expect(answer.text).toContain('Not let in');
    }
    const asked = await send(port, '/ask/fleet.info', {
      method: 'POST',
      headers: { ...asJson, origin: visitor.origin },
      body: '{}',
    });
    expect(asked.status).toBe(401);
  });

  test('a forged cookie is no cookie', async () => {
    const [name] = visitor.cookie.split('=');
    const answer = await send(port, '/', { headers: { cookie: `${name}=${'A'.repeat(43)}` } });
    expect(answer.status).toBe(401);
  });

  test('a link works once; using it gives the next one to the host, not to the visitor', async () => {
    const again = await send(port, new URL(host.link).pathname, {});
    expect(again.status).toBe(403);
    expect(again.headers['set-cookie']).toBeUndefined();
    expect(entered).toHaveLength(1);
    const second = await Visitor.enter(entered[0]!);
    expect(second.cookie).not.toBe(visitor.cookie);
    expect((await second.send('/')).status).toBe(200);
    second.leave();
  });

  test('an invented link lets nobody in', async () => {
    const answer = await send(port, `/open/${'x'.repeat(43)}`, {});
    expect(answer.status).toBe(403);
    expect(answer.headers['set-cookie']).toBeUndefined();
  });

  test('the cookie is hidden from scripts, for this host only, and never sent from other sites', async () => {
    const answer = await send(port, new URL(host.newLink()).pathname, {});
    expect(answer.headers['set-cookie']![0]).toMatch(/^yearbook-\d+=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict$/);
    expect(answer.status).toBe(303);
    expect(answer.headers.location).toBe('/');
  });

  test('a link clicked on another site goes on by a page of ours, since a strict cookie would be held back', async () => {
    const headers = { 'sec-fetch-site': 'cross-site' };
    const answer = await send(port, new URL(host.newLink()).pathname, { headers });
    expect(answer.status).toBe(200);
    expect(answer.text).toContain('http-equiv="refresh"');
  });

  test.each(['localhost', 'yearbook.example:80', '127.0.0.1', '127.0.0.1:1'])(
    'the Host %j is refused, so that no name of another site can point here',
    async (name) => {
      const answer = await visitor.send('/', { headers: { host: name } });
      expect(answer.status).toBe(403);
    },
  );

  test('a page of another origin, another port included, is refused with the right cookie', async () => {
    for (const origin of [
      'http://elsewhere.example',
      `http://127.0.0.1:${port + 1}`,
      `https://127.0.0.1:${port}`,
      'null',
    ]) {
      const answer = await visitor.send('/ask/fleet.info', {
        method: 'POST',
        headers: { ...asJson, origin },
        body: '{}',
      });
      expect([origin, answer.status]).toEqual([origin, 403]);
      expect((await visitor.send('/', { headers: { origin } })).status).toBe(403);
    }
  });

  test('an ask that does not say its origin is refused', async () => {
    const answer = await visitor.send('/ask/fleet.info', {
      method: 'POST',
      headers: { ...asJson, origin: undefined },
      body: '{}',
    });
    expect(answer.status).toBe(403);
  });

  test('what a page of another site or port asks for is refused by the browser’s own word', async () => {
    for (const site of ['cross-site', 'same-site'])
      expect((await visitor.send('/', { headers: { 'sec-fetch-site': site } })).status).toBe(403);
    expect((await visitor.send('/', { headers: { 'sec-fetch-site': 'same-origin' } })).status).toBe(200);
  });

  test('no other interface of this computer answers', async () => {
    const others = Object.values(networkInterfaces())
      .flatMap((list) => list ?? [])
      .filter((each) => !each.internal && each.family === 'IPv4');
    if (others.length === 0) console.log('skipped in part: this computer has the loopback interface only');
    for (const { address } of [...others, { address: '127.0.0.2' }]) {
      const outcome = await new Promise<string>((resolve) => {
        const socket = connect({ host: address, port, timeout: 2_000 });
        socket.on('connect', () => resolve('connected'));
        socket.on('error', () => resolve('refused'));
        socket.on('timeout', () => resolve('refused'));
        socket.on('close', () => socket.destroy());
      });
      expect([address, outcome]).toEqual([address, 'refused']);
    }
  });
});

describe('what is served', () => {
  test('the page, with rules that allow nothing inline and nothing from elsewhere', async () => {
    const page = await visitor.send('/');
    expect(page.status).toBe(200);
    expect(page.headers['content-type']).toBe('text/html; charset=utf-8');
    const rules = String(page.headers['content-security-policy']);
    expect(rules).toContain("default-src 'none'");
    expect(rules).toContain("frame-ancestors 'none'");
    expect(rules).not.toContain('unsafe');
    expect(page.headers['x-content-type-options']).toBe('nosniff');
    expect(page.headers['cache-control']).toBe('no-store');
  });

  test('large files packed where the browser takes it, kept long where their name holds their hash', async () => {
    const packed = await visitor.send('/assets/large-abc123.js', { headers: { 'accept-encoding': 'br, gzip' } });
    expect(packed.headers['content-encoding']).toBe('gzip');
    expect(packed.bytes.length).toBeLessThan(400);
    expect(packed.headers['cache-control']).toContain('immutable');
    const plain = await visitor.send('/assets/large-abc123.js');
    expect(plain.headers['content-encoding']).toBeUndefined();
    expect(plain.text).toContain('a sentence that repeats');
  });

  test.each([
    '/../secret.txt',
    '/..%2fsecret.txt',
    '/%2e%2e/secret.txt',
    '/assets/../../secret.txt',
    '/assets/..%5c..%5csecret.txt',
    '//secret.txt',
    '/%00',
    '/%E0%A4%A',
    '/made/..%2f..%2f/secret.txt',
    '/made/%2e%2e/%2e%2e',
  ])('%s leads nowhere', async (path) => {
    const answer = await visitor.send(path);
    expect(answer.status).toBe(404);
    expect(answer.text).not.toContain('not for the page');
  });

  test('the page as it was at the start, also when it is built anew meanwhile', async () => {
    writeFileSync(home.file('page/index.html'), '<!doctype html><title>Another page</title>');
    expect((await visitor.send('/')).text).toContain('A page');
  });

  test('other methods are not understood', async () => {
    expect((await visitor.send('/', { method: 'PUT', headers: { origin: visitor.origin } })).status).toBe(405);
  });
});

describe('asks', () => {
  test('are answered by core', async () => {
    const reply = await visitor.ask('fleet.info', {});
    expect(reply).toMatchObject({ ok: true, value: { utilityName: 'Harrow Vale Municipal Power', readOnly: false } });
  });

  test('must be JSON and say so', async () => {
    const wish = { method: 'POST', body: '{}' };
    expect((await visitor.send('/ask/fleet.info', wish)).status).toBe(415);
    expect((await visitor.send('/ask/fleet.info', { ...wish, headers: { 'content-type': 'text/plain' } })).status).toBe(
      415,
    );
    expect((await visitor.send('/ask/fleet.info', { method: 'POST', headers: asJson, body: '{' })).status).toBe(400);
  });

  test('of unknown names are refused by name, inherited ones too', async () => {
    for (const name of ['fleet.nothing', 'toString', '__proto__', 'constructor'])
      expect(await visitor.ask(name, {})).toMatchObject({ ok: false, problem: { code: 'bad-input' } });
  });

  test('larger than 4 MiB are refused, with or without a stated length', async () => {
    const body = Buffer.alloc(4 * 1024 * 1024 + 1, 32);
    const stated = await visitor.send('/ask/fleet.info', { method: 'POST', headers: asJson, body });
    expect(stated.status).toBe(413);
    const unstated = await visitor
      .send('/ask/fleet.info', { method: 'POST', headers: { ...asJson, 'transfer-encoding': 'chunked' }, body })
      .then((answer) => answer.status)
      .catch(() => 413); // the host may hang up before all of it was sent
    expect(unstated).toBe(413);
  });

  test('may not name a file of the disk that was not handed over', async () => {
    for (const path of [
      '/etc/passwd',
      home.file('folder'),
      'staged:00000000-0000-0000-0000-000000000000/x',
      'staged:../x',
      'made:x',
    ])
      expect(await visitor.ask('fleet.import', { paths: [path] })).toMatchObject({
        ok: false,
        problem: { code: 'not-allowed' },
      });
    for (const path of [home.file('out.csv'), 'made:1/out.csv', 'staged:1/out.csv'])
      expect(await visitor.ask('fleet.export', { out: path })).toMatchObject({
        ok: false,
        problem: { code: 'not-allowed' },
      });
  });

  test('may open a fleet only from the recent ones or the one named at the start', async () => {
    const reply = await visitor.ask('host.openFleet', { file: home.file('other.fleet') });
    expect(reply).toMatchObject({ ok: false, problem: { code: 'not-allowed' } });
  });
});

describe('files', () => {
  const batch = () => crypto.randomUUID();
  const stage = (id: string, path: string, body: string | Buffer) =>
    visitor.send(`/stage/${id}/${path}`, { method: 'POST', body });

  test('a folder that was handed over is imported; a second import of it changes nothing', async () => {
    const id = batch();
    writeSmallFolder(home.file('again'));
    for (const name of ['substations.csv', 'feeders.csv', 'segments.csv', 'tests.csv'])
      expect((await stage(id, `again/${name}`, readFileSync(home.file(`again/${name}`)))).status).toBe(204);
    const reply = await visitor.ask('fleet.import', { paths: [`staged:${id}/again`] });
    expect(reply).toMatchObject({ ok: true, value: { changes: 0 } });
  });

  test('what went wrong in a staged file is told by the name the person knows, not by a path of the host', async () => {
    const id = batch();
    await stage(
      id,
      'broken/segments.csv',
      'segment_id,feeder_id,name,length,length_unit,insulation,phases\nX1,F9,Nowhere,-5,m,XLPE,ABC\n',
    );
    const answer = await visitor.send('/ask/fleet.import', {
      method: 'POST',
      headers: asJson,
      body: JSON.stringify({ paths: [`staged:${id}/broken`] }),
    });
    expect(answer.text).toContain('segments.csv');
    expect(answer.text).not.toContain('cable-yearbook-');
  });

  test.each(['..%2fx.csv', '%2e%2e/x.csv', 'a%5cb.csv', 'a%00b.csv', ''])(
    'a file cannot be put at %j',
    async (path) => {
      expect((await stage(batch(), path, 'x')).status).toBe(400);
    },
  );

  test('a batch is a name of its own kind, and a file is never overwritten', async () => {
    expect((await stage('..', 'x.csv', 'x')).status).toBe(400);
    const id = batch();
    expect((await stage(id, 'x.csv', 'first')).status).toBe(204);
    expect((await stage(id, 'x.csv', 'second')).status).toBe(400);
  });

  test('what an ask writes is downloaded by the name it was given; a folder as a ZIP', async () => {
    const place = (await visitor.ask('host.saveFile', { name: 'my fleet', as: 'folder' })) as {
      ok: true;
      value: { path: string };
    };
    expect(await visitor.ask('fleet.export', { out: place.value.path })).toMatchObject({ ok: true });
    const path = place.value.path.replace('made:', '').split('/').map(encodeURIComponent).join('/');
    const zip = await visitor.send(`/made/${path}`);
    expect(zip.headers['content-disposition']).toBe("attachment; filename*=UTF-8''my%20fleet.zip");
    const { unzipSync, strFromU8 } = await import('fflate');
    const files = unzipSync(new Uint8Array(zip.bytes));
    expect(strFromU8(files['segments.csv']!)).toContain('Mill Lane to Weir');
  });

  test('a place is for one name and only after something was written', async () => {
    const place = (await visitor.ask('host.saveFile', { name: 'a.csv' })) as { ok: true; value: { path: string } };
    const id = place.value.path.split(':')[1]!.split('/')[0]!;
    expect((await visitor.send(`/made/${id}/a.csv`)).status).toBe(404);
    expect((await visitor.send(`/made/${id}/b.csv`)).status).toBe(404);
    for (const name of ['a/b', '..', 'a\\b', ''])
      expect(await visitor.ask('host.saveFile', { name })).toMatchObject({ ok: false, problem: { code: 'bad-input' } });
  });
});

test('the stream tells of another fleet', async () => {
  const stop = new AbortController();
  const heard: string[] = [];
  const stream = visitor
    .send('/events', { onLine: (line) => heard.push(line), signal: stop.signal })
    .catch(() => undefined);
  const state = await visitor.ask('host.newFleet', { name: 'Fresh' });
  expect(state).toMatchObject({ ok: true, value: { fleet: { name: 'Fresh', readOnly: false, because: null } } });
  await expect.poll(() => heard.some((line) => line.includes('"kind":"fleet"') && line.includes('Fresh'))).toBe(true);
  expect(await visitor.ask('host.openFleet', { file: home.file('small.fleet') })).toMatchObject({
    ok: true,
    value: { fleet: { name: 'small' } },
  });
  stop.abort();
  await stream;
});

test('a taken port is refused in words', async () => {
  const options = {
    who: 'x',
    stateFolder: home.file('state2'),
    fleetsFolder: home.file('f2'),
    pageFolder: home.file('page'),
  };
  await expect(startLoopback({ ...options, port })).rejects.toThrow(`Port ${port} is taken`);
});

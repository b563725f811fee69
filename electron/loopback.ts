import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { HostEvent } from '../core/contract/host.ts';
import { Refusal, refuse } from '../core/contract/problem.ts';
import { Carrier } from './carry.ts';
import { answerAsk, takeFile } from './loopback/answer.ts';
import { Gate } from './loopback/gate.ts';
import { loopbackTasks } from './loopback/host-tasks.ts';
import { sendMade, sendPage, sendWords } from './loopback/send.ts';
import { Staging } from './loopback/staging.ts';
import { PageFiles } from './page-files.ts';
import { Shelf, type ShelfOptions } from './shelf.ts';

export interface LoopbackOptions extends Omit<ShelfOptions, 'kind' | 'onEvent'> {
  /** The built page. */
  readonly pageFolder: string;
  /** 0 or absent: any free port. */
  readonly port?: number;
  /** Fleet files that the page may open besides the recent ones. */
  readonly named?: readonly string[];
  /** Told when a link was used, with the next one. */
  readonly onEntered?: (nextLink: string) => void;
}

export interface Loopback {
  /** Lets one browser in, once. */
  readonly link: string;
  readonly origin: string;
  readonly shelf: Shelf;
  newLink(): string;
  close(): Promise<void>;
}

/** Keeps an event stream from being taken for dead. */
const beatMs = 25_000;

/** Serves the page and carries its asks, on 127.0.0.1 only. Throws a Refusal where the port is taken. */
export async function startLoopback(options: LoopbackOptions): Promise<Loopback> {
  const streams = new Set<ServerResponse>();
  const onEvent = (event: HostEvent) => {
    for (const stream of streams) stream.write(`data: ${JSON.stringify(event)}\n\n`);
  };
  const shelf = new Shelf({ ...options, kind: 'browser', onEvent });
  const staging = new Staging();
  const hostTasks = loopbackTasks(shelf, staging, options.named ?? []);
  const carrier = new Carrier({ shelf, hostTasks, onPath: staging.real });
  const pages = new PageFiles(options.pageFolder);
  const server = createServer({ keepAliveTimeout: 60_000, requestTimeout: 600_000 });
  const port = await listen(server, options.port ?? 0);
  const gate = new Gate(port);

  server.on('request', (request: IncomingMessage, response: ServerResponse) => {
    void handle(request, response).catch(() => response.destroy());
  });

  async function handle(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const [path = '/'] = (request.url ?? '/').split('?');
    const [room = '', ...rest] = segmentsOf(path);
    const entering = room === 'open' && request.method === 'GET';
    const turned = gate.judgeSource(request, entering) ?? (entering ? undefined : gate.judgeCookie(request));
    if (turned) return sendWords(response, turned.status, turned.words);
    if (entering) return enter(request, response, rest[0] ?? '');
    if (request.method === 'GET') {
      if (room === 'events') return follow(response);
      if (room === 'made') return sendMade(response, staging, rest);
      return sendPage(request, response, pages, path);
    }
    if (request.method !== 'POST') return sendWords(response, 405, 'Only GET and POST are understood.');
    if (room === 'ask') return answerAsk(request, response, carrier, staging, rest.join('/'));
    if (room === 'stage') return takeFile(request, response, staging, rest);
    if (room !== 'cancel') return sendWords(response, 404, 'There is nothing here.');
    carrier.cancel(rest[0] ?? '');
    response.writeHead(204).end();
  }

  function enter(request: IncomingMessage, response: ServerResponse, token: string): void {
    const cookie = gate.enter(token);
    if (cookie === undefined) {
      sendWords(response, 403, 'This address was used already, or is not one of this host. Each works once.');
      return;
    }
    options.onEntered?.(gate.newLink());
    // A strict cookie is not sent along a redirect that another site began; a page that goes on by itself is ours.
    const site = request.headers['sec-fetch-site'];
    const straight = site === undefined || site === 'none' || site === 'same-origin';
    response.writeHead(straight ? 303 : 200, {
      'set-cookie': cookie,
      'cache-control': 'no-store',
      'referrer-policy': 'no-referrer',
      ...(straight ? { location: '/' } : { 'content-type': 'text/html; charset=utf-8' }),
    });
    response.end(
      straight ? '' : '<!doctype html><meta http-equiv="refresh" content="0;url=/"><title>Cable Yearbook</title>',
    );
  }

  function follow(response: ServerResponse): void {
    response.writeHead(200, { 'content-type': 'text/event-stream', 'cache-control': 'no-store' });
    response.write(': open\n\n');
    streams.add(response);
    const beat = setInterval(() => response.write(': here\n\n'), beatMs);
    response.on('close', () => {
      clearInterval(beat);
      streams.delete(response);
    });
  }

  return {
    link: gate.newLink(),
    origin: gate.origin,
    shelf,
    newLink: () => gate.newLink(),
    async close() {
      for (const stream of streams) stream.end();
      server.closeAllConnections();
      await new Promise((resolve) => server.close(resolve));
      await shelf.close();
      staging.clear();
    },
  };
}

/** The parts of a URL path; none where it is not well formed, which then leads nowhere. */
function segmentsOf(path: string): string[] {
  try {
    return path.split('/').slice(1).map(decodeURIComponent);
  } catch {
    return [];
  }
}

function listen(server: ReturnType<typeof createServer>, port: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => {
      reject(
        error.code === 'EADDRINUSE'
          ? refuse('in-use', `Port ${port} is taken by another program; choose another with --port, or none.`)
          : new Refusal({ code: 'fault', message: `The host cannot listen: ${error.message}` }),
      );
    });
    server.listen(port, '127.0.0.1', () => resolve((server.address() as AddressInfo).port));
  });
}

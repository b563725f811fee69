import { Agent, type IncomingHttpHeaders, request } from 'node:http';
import type { AnswerLine, Progress } from '../../core/contract/host.ts';
import type { Reply } from '../../core/contract/problem.ts';

export interface Answer {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly text: string;
  readonly bytes: Buffer;
}

export interface Wish {
  readonly method?: string;
  readonly headers?: Readonly<Record<string, string | undefined>>;
  readonly body?: string | Buffer;
  readonly onLine?: (line: string) => void;
  readonly signal?: AbortSignal;
}

/** Plain HTTP, so that a test can send any Host, Origin, cookie and path; nothing is tidied on the way. */
export function send(
  port: number,
  path: string,
  { method = 'GET', headers = {}, body, onLine, signal }: Wish,
  agent?: Agent,
) {
  return new Promise<Answer>((resolve, reject) => {
    const sent = request(
      {
        host: '127.0.0.1',
        port,
        path,
        method,
        headers: Object.fromEntries(Object.entries(headers).filter(([, value]) => value !== undefined)) as Record<
          string,
          string
        >,
        ...(agent ? { agent } : {}),
        ...(signal ? { signal } : {}),
      },
      (response) => {
        const chunks: Buffer[] = [];
        let rest = '';
        response.on('data', (chunk: Buffer) => {
          chunks.push(chunk);
          const lines = (rest + chunk.toString()).split('\n');
          rest = lines.pop() ?? '';
          for (const line of lines) onLine?.(line);
        });
        response.on('error', reject);
        response.on('end', () => {
          const bytes = Buffer.concat(chunks);
          resolve({ status: response.statusCode!, headers: response.headers, text: bytes.toString(), bytes });
        });
      },
    );
    sent.on('error', reject);
    sent.end(body);
  });
}

/** A browser that came in by a link: keeps the cookie, says its origin. */
export class Visitor {
  readonly port: number;
  readonly origin: string;
  readonly cookie: string;
  readonly #agent = new Agent({ keepAlive: true });

  constructor(port: number, cookie: string) {
    this.port = port;
    this.origin = `http://127.0.0.1:${port}`;
    this.cookie = cookie;
  }

  static async enter(link: string): Promise<Visitor> {
    const { port, pathname } = new URL(link);
    const answer = await send(Number(port), pathname, {});
    const [cookie] = answer.headers['set-cookie'] ?? [];
    if (!cookie) throw new Error(`not let in: ${answer.status} ${answer.text}`);
    return new Visitor(Number(port), cookie.split(';')[0]!);
  }

  send(path: string, wish: Wish = {}): Promise<Answer> {
    const headers = {
      cookie: this.cookie,
      ...(wish.method === 'POST' ? { origin: this.origin } : {}),
      ...wish.headers,
    };
    return send(this.port, path, { ...wish, headers }, this.#agent);
  }

  async ask(name: string, input: unknown, options: { id?: string; onProgress?: (progress: Progress) => void } = {}) {
    let reply: Reply<unknown> | undefined;
    const answer = await this.send(`/ask/${name}`, {
      method: 'POST',
      headers: { 'content-type': 'application/json', ...(options.id ? { 'x-ask-id': options.id } : {}) },
      body: JSON.stringify(input),
      onLine(line) {
        const said = JSON.parse(line) as AnswerLine;
        if ('reply' in said) reply = said.reply;
        else options.onProgress?.(said.progress);
      },
    });
    if (!reply) throw new Error(`no reply: ${answer.status} ${answer.text}`);
    return reply;
  }

  leave(): void {
    this.#agent.destroy();
  }
}

import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';
import type { IncomingMessage } from 'node:http';

/** Why a request is not let in: the status and a sentence. */
export interface Turned {
  readonly status: 401 | 403;
  readonly words: string;
}

const digest = (text: string) => createHash('sha256').update(text).digest();
const secret = () => randomBytes(32).toString('base64url');

/**
 * Lets in only the browser that came by a link this process printed, and only for pages of this very address.
 * Cookies are shared by all ports of 127.0.0.1 and 'same site' ignores the port: Host, Origin and Sec-Fetch-Site are checked too.
 */
export class Gate {
  readonly #authority: string;
  readonly origin: string;
  readonly #cookieName: string;
  readonly #links: Buffer[] = [];
  readonly #sessions: Buffer[] = [];

  constructor(port: number) {
    this.#authority = `127.0.0.1:${port}`;
    this.origin = `http://${this.#authority}`;
    this.#cookieName = `yearbook-${port}`;
  }

  /** A new address that lets one browser in, once. */
  newLink(): string {
    const token = secret();
    this.#links.push(digest(token));
    return `${this.origin}/open/${token}`;
  }

  /** Uses up a link; gives the cookie to set, or undefined for a link that is unknown or used. */
  enter(token: string): string | undefined {
    const at = find(this.#links, token);
    if (at < 0) return undefined;
    this.#links.splice(at, 1);
    const session = secret();
    this.#sessions.push(digest(session));
    return `${this.#cookieName}=${session}; Path=/; HttpOnly; SameSite=Strict`;
  }

  /** Was the request meant for this address, by a page of this address or by the person? */
  judgeSource(request: IncomingMessage, entering: boolean): Turned | undefined {
    const { origin, 'sec-fetch-site': site } = request.headers;
    const [host, ...others] = request.headersDistinct.host ?? [];
    if (host !== this.#authority || others.length > 0)
      return { status: 403, words: 'This address is not served here.' };
    if (origin !== undefined && origin !== this.origin)
      return { status: 403, words: 'Pages of other origins are not answered.' };
    if (request.method === 'POST' && origin === undefined)
      return { status: 403, words: 'A request that asks must say its origin.' };
    if (!entering && site !== undefined && site !== 'same-origin' && site !== 'none')
      return { status: 403, words: 'Pages of other sites are not answered.' };
    return undefined;
  }

  judgeCookie(request: IncomingMessage): Turned | undefined {
    for (const part of (request.headers.cookie ?? '').split(';')) {
      const [name, value] = part.trim().split('=');
      if (name === this.#cookieName && value && find(this.#sessions, value) >= 0) return undefined;
    }
    return {
      status: 401,
      words: 'Not let in. Open the address that Cable Yearbook printed when it started; each address works once.',
    };
  }
}

/** Place of a secret in a list of digests; every entry is compared, in constant time. */
function find(list: readonly Buffer[], text: string): number {
  const wanted = digest(text);
  return list.reduce((found, each, i) => (timingSafeEqual(each, wanted) ? i : found), -1);
}

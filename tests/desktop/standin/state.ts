import type { Browser } from 'playwright-core';

/** What the program asked of the runtime, for tests to read. */
export const log: { kind: string; detail: unknown }[] = [];

/** Schemes the program registered, and what answers them. */
export const standardSchemes = new Set<string>();
export const handlers = new Map<string, (request: Request) => Response | Promise<Response>>();

/** The browser behind the windows; undefined until the program is ready. */
export const run: { browser: Browser | undefined; started: boolean } = { browser: undefined, started: false };

// Chromium knows no app:// scheme, so app://host/x is shown to it as https://host.app.standin/x and turned back for the program.
export function toWeb(url: string): string {
  const u = new URL(url);
  const scheme = u.protocol.slice(0, -1);
  const known = handlers.has(scheme) || standardSchemes.has(scheme);
  return known ? `https://${u.host}.${scheme}.standin${u.pathname}${u.search}${u.hash}` : url;
}
export const toApp = (url: string): string =>
  url.replace(/^(blob:)?https:\/\/([^/]*)\.([a-z]+)\.standin(?=[/?#]|$)/, '$1$3://$2');

/** Whatever is not written here throws by its name, so that a test can't pass on a silent no-op. */
export function strict<T extends object>(name: string, target: T): T {
  return new Proxy(target, {
    get(t, k) {
      if (typeof k === 'symbol' || k in t || k === 'then' || k === 'toJSON') {
        const v: unknown = Reflect.get(t, k, t); // the target itself: a private field can't be read through a Proxy
        return typeof v === 'function' ? v.bind(t) : v;
      }
      throw new Error(`stand-in has no ${name}.${String(k)}`);
    },
  });
}

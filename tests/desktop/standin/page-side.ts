import type { makeCodec } from './clone.ts';

/** Runs in the page's own world before any page script: makes what contextBridge exposes. */
export function mainWorld(codec: ReturnType<typeof makeCodec>, key: string): void {
  const waiting = new Map<number, { resolve: (v: unknown) => void; reject: (e: Error) => void }>();
  const callbacks: ((...a: unknown[]) => unknown)[] = [];
  const seen = new Map<unknown, number>();
  let next = 1;
  const say = (type: string, data: unknown): void => {
    document.dispatchEvent(new CustomEvent(`${key}${type}`, { detail: JSON.stringify(data) }));
  };
  let reply: { mode: string; v: string } | undefined;
  const invoke = (path: string, args: unknown[]): unknown => {
    const id = next++;
    reply = undefined;
    say('call', {
      id,
      path,
      args: args.map((a) =>
        typeof a === 'function'
          ? { f: fn(a as () => unknown) }
          : a instanceof File
            ? { v: codec.encode({ standinFile: a.name }) }
            : { v: codec.encode(a) },
      ),
    });
    const r = reply as { mode: string; v: string } | undefined;
    if (!r) throw new Error('preload world gone');
    if (r.mode === 'promise') return new Promise((resolve, reject) => waiting.set(id, { resolve, reject }));
    if (r.mode === 'throw') throw codec.decode(r.v);
    if (r.mode === 'function') return (...a: unknown[]) => invoke(r.v, a);
    return codec.decode(r.v);
  };
  const fn = (f: () => unknown): number => {
    let n = seen.get(f);
    if (n === undefined) {
      n = callbacks.push(f) - 1;
      seen.set(f, n);
    }
    return n;
  };
  const on = (type: string, f: (d: never) => void): void =>
    document.addEventListener(`${key}${type}`, (e) => f(JSON.parse((e as CustomEvent<string>).detail) as never));
  on('reply', (d: { mode: string; v: string }) => {
    reply = d;
  });
  on('settle', (d: { id: number; ok: boolean; v: string }) => {
    const w = waiting.get(d.id);
    waiting.delete(d.id);
    if (d.ok) w?.resolve(codec.decode(d.v));
    else w?.reject(codec.decode(d.v) as Error);
  });
  on('callback', (d: { n: number; args: string[] }) => {
    callbacks[d.n]?.(...d.args.map(codec.decode));
  });
  on('expose', (d: { name: string; shape: never }) => {
    const build = (s: Record<string, { f?: string; o?: never; v?: string }>): object => {
      const o: Record<string, unknown> = {};
      for (const [k, x] of Object.entries(s))
        o[k] = x.f ? (...a: unknown[]) => invoke(x.f!, a) : x.o ? build(x.o) : codec.decode(x.v!);
      return Object.freeze(o);
    };
    if (Object.hasOwn(globalThis, d.name))
      throw new Error(`Cannot bind an API on top of an existing property on the window object`);
    Object.defineProperty(globalThis, d.name, { value: build(d.shape), enumerable: true });
  });
}

/** Runs in the isolated world: gives the preload its require('electron'), as a sandboxed preload has it. */
export function isolatedWorld(
  codec: ReturnType<typeof makeCodec>,
  key: string,
  bundle: (require: unknown, process: unknown, module: unknown, exports: unknown) => void,
): void {
  const g = globalThis as never as Record<string, (s: string) => void> & { __deliver: unknown };
  const toNode = g.__standin!;
  const waiting = new Map<number, { resolve: (v: unknown) => void; reject: (e: Error) => void }>();
  const listeners = new Map<string, Set<(...a: unknown[]) => void>>();
  /** What the test said are the places of its files; a file without a place has none, as in Electron. */
  const paths: Record<string, string> = {};
  let next = 1;
  g.__deliver = (kind: string, a: string | number, b: string): void => {
    if (kind === 'event')
      for (const f of [...(listeners.get(a as string) ?? [])]) f({ senderId: 0 }, ...(codec.decode(b) as unknown[]));
    else if (kind === 'paths') Object.assign(paths, JSON.parse(b));
    else {
      const w = waiting.get(a as number);
      waiting.delete(a as number);
      if (kind === 'ok') w?.resolve(codec.decode(b));
      else w?.reject(new Error(b));
    }
  };
  const say = (type: string, data: unknown): void => {
    document.dispatchEvent(new CustomEvent(`${key}${type}`, { detail: JSON.stringify(data) }));
  };
  const exposed = new Map<string, (...a: unknown[]) => unknown>();
  let count = 0;
  const keep = (f: (...a: unknown[]) => unknown): string => {
    const p = String(count++);
    exposed.set(p, f);
    return p;
  };
  const shape = (o: object): unknown =>
    Object.fromEntries(
      Object.entries(o).map(([k, v]: [string, unknown]) => [
        k,
        typeof v === 'function'
          ? { f: keep(v as never) }
          : v !== null && typeof v === 'object' && Object.getPrototypeOf(v) === Object.prototype
            ? { o: shape(v) }
            : { v: codec.encode(v) },
      ]),
    );
  document.addEventListener(`${key}call`, (e) => {
    const d = JSON.parse((e as CustomEvent<string>).detail) as {
      id: number;
      path: string;
      args: { f?: number; v?: string }[];
    };
    try {
      const r = exposed.get(d.path)!(
        ...d.args.map((a) =>
          a.f === undefined
            ? codec.decode(a.v!)
            : (...x: unknown[]) => say('callback', { n: a.f, args: x.map(codec.encode) }),
        ),
      );
      if (r instanceof Promise) {
        say('reply', { mode: 'promise' });
        r.then((v) => say('settle', { id: d.id, ok: true, v: codec.encode(v) })).catch((x: Error) =>
          say('settle', { id: d.id, ok: false, v: codec.encode(x) }),
        );
      } else if (typeof r === 'function') say('reply', { mode: 'function', v: keep(r as never) });
      else say('reply', { mode: 'value', v: codec.encode(r) });
    } catch (x) {
      say('reply', { mode: 'throw', v: codec.encode(x) });
    }
  });
  const ipcRenderer = {
    invoke: (channel: string, ...args: unknown[]) =>
      new Promise((resolve, reject) => {
        const id = next++;
        const body = codec.encode(args);
        waiting.set(id, { resolve, reject });
        toNode(JSON.stringify({ kind: 'invoke', id, channel, body }));
      }),
    send: (channel: string, ...args: unknown[]) =>
      toNode(JSON.stringify({ kind: 'send', channel, body: codec.encode(args) })),
    on: (c: string, f: never) => {
      if (!listeners.has(c)) listeners.set(c, new Set());
      listeners.get(c)!.add(f);
      return ipcRenderer;
    },
    off: (c: string, f: never) => {
      listeners.get(c)?.delete(f);
      return ipcRenderer;
    },
    removeListener: (c: string, f: never) => ipcRenderer.off(c, f),
  };
  const electron = {
    contextBridge: { exposeInMainWorld: (name: string, api: object) => say('expose', { name, shape: shape(api) }) },
    ipcRenderer,
    webUtils: { getPathForFile: (file: { standinFile?: string }) => paths[file.standinFile ?? ''] ?? '' },
  };
  const require = (name: string): unknown => {
    if (name === 'electron' || name === 'electron/renderer') return electron;
    throw new Error(`module not found: ${name}`); // what a sandboxed preload says for anything else
  };
  const module = { exports: {} };
  bundle(
    require,
    { versions: { chrome: 'debian' }, platform: 'linux', sandboxed: true, contextIsolated: true, env: {} },
    module,
    module.exports,
  );
}

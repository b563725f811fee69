import { EventEmitter } from 'node:events';
import { readFileSync } from 'node:fs';
import type { CDPSession, Frame, Page, Route } from 'playwright-core';
import { app } from './app.ts';
import { makeCodec } from './clone.ts';
import { defaultSession, type IpcEvent, invokers, ipcMain } from './ipc.ts';
import { isolatedWorld, mainWorld } from './page-side.ts';
import { handlers, log, run, strict, toApp, toWeb } from './state.ts';

const codec = makeCodec();
const codecText = `(${makeCodec.toString()})()`;

class WebContents extends EventEmitter {
  page!: Page;
  cdp!: CDPSession;
  isolated: number | undefined;
  programUrl = '';
  #zoom = 0;
  windowOpen: (d: { url: string; frameName: string; disposition: string }) => { action: 'allow' | 'deny' } = () => ({
    action: 'allow',
  });
  setWindowOpenHandler(f: WebContents['windowOpen']): void {
    this.windowOpen = f;
  }
  getURL(): string {
    return toApp(this.page.url());
  }
  getZoomLevel(): number {
    return this.#zoom;
  }
  setZoomLevel(level: number): void {
    this.#zoom = level;
  }
  print(): void {
    log.push({ kind: 'print', detail: true });
  }
  reload(): void {
    void this.page.reload();
  }
  send(channel: string, ...args: unknown[]): void {
    void this.deliver('event', channel, codec.encode(args));
  }
  async deliver(kind: string, a: string | number, b: string): Promise<void> {
    if (this.isolated === undefined) return;
    const expression = `__deliver(${JSON.stringify(kind)},${JSON.stringify(a)},${JSON.stringify(b)})`;
    await this.cdp.send('Runtime.evaluate', { contextId: this.isolated, expression }).catch((error: Error) => {
      // A page that was closed or is being loaded anew has no such world any more, as in Electron.
      if (!/closed|Cannot find context/.test(error.message)) throw error;
    });
  }
}

interface Options {
  x?: number;
  y?: number;
  width?: number;
  height?: number;
  title?: string;
  webPreferences?: Record<string, unknown>;
}

/** Preferences that must have this value, and what they are when left out (Electron's defaults since 20). */
const wanted: Record<string, { must: boolean; byDefault: boolean }> = {
  sandbox: { must: true, byDefault: true },
  contextIsolation: { must: true, byDefault: true },
  webSecurity: { must: true, byDefault: true },
  nodeIntegration: { must: false, byDefault: false },
  nodeIntegrationInWorker: { must: false, byDefault: false },
  nodeIntegrationInSubFrames: { must: false, byDefault: false },
  webviewTag: { must: false, byDefault: false },
  allowRunningInsecureContent: { must: false, byDefault: false },
  experimentalFeatures: { must: false, byDefault: false },
};

const windows = new Set<BrowserWindow>();
export class BrowserWindow extends EventEmitter {
  static getAllWindows(): BrowserWindow[] {
    return [...windows];
  }
  readonly webContents = strict('webContents', new WebContents());
  readonly options: Options;
  title: string;
  visible = false;
  destroyed = false;
  focused = 0;
  #maximized = false;
  constructor(options: Options = {}) {
    super();
    if (!run.browser) throw new Error('Cannot create BrowserWindow before app is ready');
    this.options = options;
    this.title = options.title ?? '';
    const preferences = options.webPreferences ?? {};
    // The stand-in can only be a sandboxed, isolated page; anything weaker must not pass here.
    for (const [name, { must, byDefault }] of Object.entries(wanted))
      if ((preferences[name] ?? byDefault) !== must) throw new Error(`stand-in refuses webPreferences.${name}`);
    if (preferences.enableBlinkFeatures !== undefined) throw new Error('stand-in refuses enableBlinkFeatures');
    windows.add(this);
    app.emit('web-contents-created', {}, this.webContents);
    app.emit('browser-window-created', {}, this);
  }
  show(): void {
    this.visible = true;
    this.emit('show');
  }
  focus(): void {
    this.focused++;
  }
  isVisible(): boolean {
    return this.visible;
  }
  isDestroyed(): boolean {
    return this.destroyed;
  }
  isMinimized(): boolean {
    return false;
  }
  maximize(): void {
    this.#maximized = true;
  }
  isMaximized(): boolean {
    return this.#maximized;
  }
  getNormalBounds(): object {
    const { x = 10, y = 10, width = 800, height = 600 } = this.options;
    return { x, y, width, height };
  }
  setTitle(title: string): void {
    // As the real one answers once its window is gone.
    if (this.destroyed) throw new TypeError('Object has been destroyed');
    this.title = title;
  }
  getTitle(): string {
    return this.title;
  }
  close(): void {
    let prevented = false;
    this.emit('close', { preventDefault: () => (prevented = true) });
    if (!prevented) void this.webContents.page.close();
  }
  async loadURL(url: string): Promise<void> {
    const wc = this.webContents;
    if (!wc.page) await this.#open();
    wc.programUrl = toWeb(url);
    await wc.page.goto(wc.programUrl, { waitUntil: 'load' });
    this.emit('ready-to-show');
  }
  async #open(): Promise<void> {
    const wc = this.webContents;
    const context = await run.browser!.newContext({
      viewport: { width: this.options.width ?? 800, height: this.options.height ?? 600 },
      ignoreHTTPSErrors: true,
    });
    await context.route('**/*', (route) => this.#request(route));
    wc.page = await context.newPage();
    wc.cdp = await context.newCDPSession(wc.page);
    context.on('page', (popup) => {
      if (popup !== wc.page) void this.#popup(popup);
    });
    wc.page.on('close', () => {
      windows.delete(this);
      this.destroyed = true;
      this.emit('closed');
      if (windows.size === 0) app.emit('window-all-closed');
    });
    wc.page.on('crash', () => wc.emit('render-process-gone', {}, { reason: 'crashed' }));
    wc.page.on('load', () => wc.emit('did-finish-load'));
    wc.page.on('download', (download) => {
      let prevented = false;
      const url = toApp(download.url());
      defaultSession.emit('will-download', { preventDefault: () => (prevented = true) }, { getURL: () => url });
      log.push({ kind: 'download', detail: { url, prevented } });
      if (prevented) void download.cancel();
    });
    const world = 'electron-preload';
    wc.cdp.on('Runtime.executionContextCreated', ({ context: c }) => {
      if (c.name === world) wc.isolated = c.id;
    });
    wc.cdp.on('Runtime.bindingCalled', ({ name, payload }) => {
      if (name === '__standin') void this.#message(payload);
    });
    await wc.cdp.send('Runtime.enable');
    await wc.cdp.send('Page.enable');
    await wc.cdp.send('Runtime.addBinding', { name: '__standin', executionContextName: world });
    const preload = this.options.webPreferences?.preload as string | undefined;
    if (!preload) return;
    const key = JSON.stringify(`standin-${crypto.randomUUID()}-`);
    await wc.cdp.send('Page.addScriptToEvaluateOnNewDocument', {
      source: `if (self === top) (${mainWorld.toString()})(${codecText}, ${key})`,
    });
    await wc.cdp.send('Page.addScriptToEvaluateOnNewDocument', {
      worldName: world,
      source: `if (self === top) (${isolatedWorld.toString()})(${codecText}, ${key}, function (require, process, module, exports) {${readFileSync(preload, 'utf8')}\n})`,
    });
  }
  #asked: 'allow' | 'deny' | undefined;
  #askOpen(url: string): 'allow' | 'deny' {
    const { action } = this.webContents.windowOpen({ url: toApp(url), frameName: '', disposition: 'foreground-tab' });
    log.push({ kind: 'window-open', detail: { url: toApp(url), action } });
    return action;
  }
  async #popup(popup: Page): Promise<void> {
    const action = this.#asked ?? this.#askOpen(popup.url());
    this.#asked = undefined;
    if (action === 'deny') await popup.close();
  }
  async #message(payload: string): Promise<void> {
    const wc = this.webContents;
    const m = JSON.parse(payload) as { kind: string; id: number; channel: string; body: string };
    const event: IpcEvent = { sender: wc, senderFrame: { url: wc.getURL(), parent: null } };
    const args = codec.decode(m.body) as unknown[];
    if (m.kind === 'send') {
      ipcMain.emit(m.channel, event, ...args);
      return;
    }
    try {
      await wc.deliver('ok', m.id, codec.encode(await invokeAs(event, m.channel, args)));
    } catch (e) {
      await wc.deliver('fail', m.id, `Error invoking remote method '${m.channel}': ${String(e)}`);
    }
  }
  async #request(route: Route): Promise<void> {
    const wc = this.webContents;
    const request = route.request();
    const url = toApp(request.url());
    let frame: Frame;
    try {
      frame = request.frame();
    } catch {
      // the first request of a new page: Playwright has no frame for it yet
      this.#asked = this.#askOpen(request.url());
      return route.abort('aborted');
    }
    if (request.isNavigationRequest() && request.url() !== wc.programUrl) {
      const isMainFrame = frame === wc.page?.mainFrame();
      if (this.#refusesNavigation(url, isMainFrame)) return route.abort('aborted');
    }
    const handler = handlers.get(new URL(url).protocol.slice(0, -1));
    if (!handler) {
      log.push({ kind: 'blocked', detail: url });
      return route.abort('internetdisconnected');
    }
    const body = request.postDataBuffer();
    const headers = Object.entries(await request.allHeaders()).filter(([name]) => !name.startsWith(':'));
    const response = await handler(
      new Request(url, { method: request.method(), headers, ...(body ? { body: new Uint8Array(body) } : {}) }),
    );
    await route.fulfill({
      status: response.status,
      headers: Object.fromEntries(response.headers),
      body: Buffer.from(await response.arrayBuffer()),
    });
  }
  #refusesNavigation(url: string, isMainFrame: boolean): boolean {
    let prevented = false;
    const details = { url, isMainFrame, preventDefault: () => (prevented = true) };
    this.webContents.emit('will-frame-navigate', details);
    if (isMainFrame) this.webContents.emit('will-navigate', details, url);
    log.push({ kind: 'will-navigate', detail: { url, isMainFrame, prevented } });
    return prevented;
  }
}

/** Calls a handler of the program as if this event had come; tests forge senders with it. */
export async function invokeAs(event: IpcEvent, channel: string, args: unknown[]): Promise<unknown> {
  const f = invokers.get(channel);
  if (!f) throw new Error(`No handler registered for '${channel}'`);
  return f(event, ...args);
}

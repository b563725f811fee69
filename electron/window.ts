import { join } from 'node:path';
import { app, BrowserWindow, session } from 'electron';
import type { HostState } from '../core/contract/host.ts';
import { isOurPage, pageUrl } from './our-page.ts';
import { keepWindowState, lastWindowState } from './window-state.ts';

/** Rules for every page this program ever shows: it stays where it is, opens nothing, and may use no device. */
export function guardContents(): void {
  app.on('web-contents-created', (_event, contents) => {
    const stay = (details: { url: string; preventDefault(): void }) => {
      if (!isOurPage(details.url)) details.preventDefault();
    };
    contents.on('will-navigate', stay);
    contents.on('will-frame-navigate', stay);
    contents.on('will-redirect', stay);
    contents.on('will-attach-webview', (event) => event.preventDefault());
    contents.setWindowOpenHandler(() => ({ action: 'deny' }));
  });
}

export function guardSession(): void {
  const { defaultSession } = session;
  defaultSession.setPermissionRequestHandler((_contents, _permission, decide) => decide(false));
  defaultSession.setPermissionCheckHandler(() => false);
  defaultSession.setDevicePermissionHandler(() => false);
  // The page keeps charts by a blob of its own; nothing else is downloaded.
  defaultSession.on('will-download', (event, item) => {
    if (!item.getURL().startsWith(`blob:${pageUrl.slice(0, -1)}/`)) event.preventDefault();
  });
}

/** A page that crashed is loaded again at most this often. */
const reloadEveryMs = 30_000;

export function makeWindow(stateFolder: string): BrowserWindow {
  const { zoomLevel, maximized, ...bounds } = lastWindowState(stateFolder);
  const window = new BrowserWindow({
    ...bounds,
    minWidth: 1024,
    minHeight: 700,
    show: false,
    title: 'Cable Yearbook',
    backgroundColor: '#f6f2ea',
    webPreferences: {
      preload: join(import.meta.dirname, 'preload.cjs'),
      sandbox: true,
      contextIsolation: true,
      nodeIntegration: false,
      nodeIntegrationInWorker: false,
      nodeIntegrationInSubFrames: false,
      webSecurity: true,
      webviewTag: false,
      allowRunningInsecureContent: false,
      navigateOnDragDrop: false,
      spellcheck: false,
    },
  });
  keepWindowState(window, stateFolder);
  window.once('ready-to-show', () => {
    if (maximized) window.maximize();
    window.webContents.setZoomLevel(zoomLevel);
    window.show();
  });
  // The title tells which fleet is open, whatever the page calls itself.
  window.on('page-title-updated', (event) => event.preventDefault());
  let reloadedAt = Number.NEGATIVE_INFINITY;
  window.webContents.on('render-process-gone', (_event, { reason }) => {
    const now = performance.now();
    // A page that fails again at once would fail for ever.
    if (reason === 'clean-exit' || now - reloadedAt < reloadEveryMs) return;
    reloadedAt = now;
    window.webContents.reload();
  });
  return window;
}

export function titleWindow(window: BrowserWindow, { fleet }: HostState): void {
  const name = fleet === null ? '' : `${fleet.name}${fleet.readOnly ? ' (read-only)' : ''} – `;
  window.setTitle(`${name}Cable Yearbook`);
}

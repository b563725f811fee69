import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { app, type BrowserWindow, type IpcMainEvent, type IpcMainInvokeEvent, ipcMain, protocol } from 'electron';
import type { HostEvent } from '../core/contract/host.ts';
import { Refusal } from '../core/contract/problem.ts';
import { Carrier } from './carry.ts';
import { setMenu } from './menu.ts';
import { answerPage, isOurPage, pageScheme, pageUrl } from './our-page.ts';
import { PageFiles } from './page-files.ts';
import { Grants } from './paths.ts';
import { pageFolder, userName } from './places.ts';
import { openDemo, Shelf } from './shelf.ts';
import { slowLog } from './slow-log.ts';
import { guardContents, guardSession, makeWindow, titleWindow } from './window.ts';
import { windowTasks } from './window-tasks.ts';

// Before the program is ready, and without waiting: later is too late for these.
app.enableSandbox();
protocol.registerSchemesAsPrivileged([
  { scheme: pageScheme, privileges: { standard: true, secure: true, supportFetchAPI: true } },
]);
guardContents();
const fromFinder: string[] = [];
app.on('open-file', (event, file) => {
  event.preventDefault();
  if (app.isReady()) void openGiven(file);
  else fromFinder.push(file);
});

let window: BrowserWindow;
let shelf: Shelf;
const grants = new Grants();

if (app.requestSingleInstanceLock()) void app.whenReady().then(run);
else app.quit();

async function run(): Promise<void> {
  guardSession();
  const pages = new PageFiles(pageFolder);
  protocol.handle(pageScheme, (request) => answerPage(request, pages));
  const stateFolder = app.getPath('userData');
  shelf = new Shelf({
    kind: 'window',
    who: userName(),
    stateFolder,
    fleetsFolder: join(stateFolder, 'demo'),
    onEvent: hear,
    onSlow: slowLog(stateFolder),
  });
  window = makeWindow(stateFolder);
  window.on('closed', () => void shelf.close().then(() => app.quit()));
  const carrier = new Carrier({ shelf, hostTasks: windowTasks(shelf, grants, () => window), onPath: grants.check });
  listen(carrier);
  app.on('second-instance', (_event, words, folder) => {
    if (window.isMinimized()) window.restore();
    window.focus();
    const { file } = wishOf(words.slice(1));
    if (file !== undefined) void openGiven(resolve(folder, file));
  });
  refreshMenu();
  await openFirst();
  await window.loadURL(pageUrl);
}

/** What the command line asks for: a fleet, or the demo. Switches of the runtime itself are passed over. */
function wishOf(words: readonly string[]) {
  const { values, positionals } = parseArgs({
    args: [...words],
    options: {
      fleet: { type: 'string' },
      demo: { type: 'boolean' },
      segments: { type: 'string' },
      'read-only': { type: 'boolean' },
    },
    strict: false,
    allowPositionals: true,
  });
  const file = typeof values.fleet === 'string' ? values.fleet : positionals.find((word) => word.endsWith('.fleet'));
  return {
    file,
    demo: values.demo === true,
    segments: typeof values.segments === 'string' ? Number(values.segments) : 600,
    readOnly: values['read-only'] === true,
  };
}

async function openFirst(): Promise<void> {
  const wish = wishOf(process.argv.slice(app.isPackaged ? 1 : 2));
  const file = wish.file ?? fromFinder.pop();
  try {
    if (file !== undefined) await shelf.open(resolve(file), { readOnly: wish.readOnly });
    else if (wish.demo) {
      // The page need not wait until it is filled: it hears of the change.
      void openDemo(shelf, wish.segments, () => {}).catch((error: Error) => console.error(error.message));
      await shelf.pool();
    }
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    console.error(error.message);
  }
}

/** A file handed over by the system: a fleet is opened, anything else is the page's to import. */
async function openGiven(file: string, readOnly = false): Promise<void> {
  grants.grant(file, 'in');
  if (file.endsWith('.fleet'))
    await shelf.open(file, { readOnly }).catch((error: Error) => console.error(error.message));
  else hear({ kind: 'dropped', paths: [file] });
}

function hear(event: HostEvent): void {
  // The fleet is closed after its window: nobody is left to be told, and a window that is gone answers by throwing.
  if (window.isDestroyed()) return;
  if (event.kind === 'fleet') {
    titleWindow(window, event.state);
    if (event.state.fleet) app.addRecentDocument(event.state.fleet.file);
    refreshMenu();
  }
  window.webContents.send('event', event);
}

function refreshMenu(): void {
  setMenu({
    recent: shelf.recent(),
    say: (word) => hear({ kind: 'menu', word }),
    open: (file, readOnly) => void openGiven(file, readOnly),
    print: () => window.webContents.print(),
  });
}

/** The three words a page may send, from our own top frame only. */
function listen(carrier: Carrier): void {
  const isOurs = ({ sender, senderFrame: frame }: IpcMainEvent | IpcMainInvokeEvent) =>
    sender === window.webContents && frame !== null && frame.parent === null && isOurPage(frame.url);
  const refused = () => new Error('refused: not our page');
  ipcMain.handle('ask', (event, name: unknown, input: unknown, id: unknown) => {
    if (!isOurs(event)) throw refused();
    return carrier.send(String(name), input, String(id), (progress) => {
      if (!window.isDestroyed()) window.webContents.send('progress', id, progress);
    });
  });
  ipcMain.handle('given', (event, path: unknown) => {
    if (!isOurs(event)) throw refused();
    if (typeof path !== 'string' || path === '') throw new Error('This is not a file of the disk.');
    return grants.grant(path, 'in');
  });
  ipcMain.on('cancel', (event, id: unknown) => {
    if (isOurs(event)) carrier.cancel(String(id));
  });
}

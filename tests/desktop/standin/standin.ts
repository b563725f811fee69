// Stand-in for the main-process side of 'electron', for tests only. It drives Chromium with playwright-core and runs the
// program's real bundles. Whatever is not written here throws, so that a test can't pass on a silent no-op.
import { app } from './app.ts';
import { decisionOn, ipcMain, protocol, session } from './ipc.ts';
import { chooseMenu, dialogAnswers, menu } from './natives.ts';
import { log } from './state.ts';
import { BrowserWindow, invokeAs } from './window.ts';

export { app } from './app.ts';
export { ipcMain, protocol, session } from './ipc.ts';
export { dialog, Menu, screen, shell } from './natives.ts';
export { BrowserWindow } from './window.ts';

/** Paths of files by name, which the preload's webUtils then knows. */
const setPaths = async (paths: Record<string, string>) => {
  for (const window of BrowserWindow.getAllWindows())
    await window.webContents.deliver('paths', '', JSON.stringify(paths));
};

const hands = {
  app,
  BrowserWindow,
  ipcMain,
  session,
  protocol,
  log,
  menu,
  chooseMenu,
  dialogAnswers,
  decisionOn,
  invokeAs,
  setPaths,
};
export type Hands = typeof hands;

process.on('message', (m: { id: number; code: string; given: unknown }) => {
  void (async () => {
    try {
      // biome-ignore lint/security/noGlobalEval: a test sends a function's own text, as Playwright's evaluate does
      const f = (0, eval)(`(${m.code})`) as (hands: Hands, given: unknown) => unknown;
      process.send!({ id: m.id, ok: (await f(hands, m.given)) ?? null });
    } catch (e) {
      process.send!({ id: m.id, error: String(e) });
    }
  })();
});
export default {};

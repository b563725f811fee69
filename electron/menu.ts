import { Menu, type MenuItemConstructorOptions } from 'electron';
import type { MenuWord, RecentFleet } from '../core/contract/host.ts';

export interface MenuHands {
  readonly recent: readonly RecentFleet[];
  readonly say: (word: MenuWord) => void;
  readonly open: (file: string, readOnly: boolean) => void;
  readonly print: () => void;
}

const places = ['Fleet', 'Ranking', 'Plan', 'Retests', 'Evidence', 'Import'];

/** The native menu. What the page does itself is said to it by a word. */
export function setMenu({ recent, say, open, print }: MenuHands): void {
  const item = (label: string, word: MenuWord, accelerator?: string): MenuItemConstructorOptions => ({
    label,
    click: () => say(word),
    ...(accelerator ? { accelerator } : {}),
  });
  // Undo and redo of text belong to the field with the cursor: the keys go to the page, which knows.
  const ofPage = (label: string, word: MenuWord, accelerator: string): MenuItemConstructorOptions => ({
    ...item(label, word, accelerator),
    registerAccelerator: false,
  });
  const recentFleets = (label: string, readOnly: boolean): MenuItemConstructorOptions => ({
    label,
    enabled: recent.length > 0,
    submenu: recent.map(({ name, file }) => ({ label: name, sublabel: file, click: () => open(file, readOnly) })),
  });
  const line: MenuItemConstructorOptions = { type: 'separator' };
  const mac: MenuItemConstructorOptions[] = process.platform === 'darwin' ? [{ role: 'appMenu' }] : [];
  const template: MenuItemConstructorOptions[] = [
    ...mac,
    {
      label: '&File',
      submenu: [
        item('New fleet…', 'new', 'CmdOrCtrl+N'),
        item('Open fleet…', 'open', 'CmdOrCtrl+O'),
        item('Open fleet read-only…', 'open-read-only'),
        recentFleets('Recent fleets', false),
        recentFleets('Recent fleets, read-only', true),
        item('Open the invented utility', 'demo'),
        line,
        item('Import…', 'import', 'CmdOrCtrl+I'),
        { label: 'Print…', accelerator: 'CmdOrCtrl+P', click: print },
        line,
        { role: process.platform === 'darwin' ? 'close' : 'quit' },
      ],
    },
    {
      label: '&Edit',
      submenu: [
        ofPage('Undo', 'undo', 'CmdOrCtrl+Z'),
        ofPage('Redo', 'redo', 'CmdOrCtrl+Shift+Z'),
        line,
        { role: 'cut' },
        { role: 'copy' },
        { role: 'paste' },
        { role: 'selectAll' },
        line,
        item('Find a segment…', 'find', 'CmdOrCtrl+K'),
      ],
    },
    {
      label: '&View',
      submenu: [
        ...places.map((place, i) => item(place, `place:${place}`, `CmdOrCtrl+${i + 1}`)),
        line,
        { role: 'resetZoom' },
        { role: 'zoomIn' },
        { role: 'zoomOut' },
        { role: 'togglefullscreen' },
      ],
    },
    { label: '&Help', submenu: [item('Keyboard shortcuts', 'shortcuts')] },
  ];
  Menu.setApplicationMenu(Menu.buildFromTemplate(template));
}

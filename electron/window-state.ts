import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { type BrowserWindow, screen } from 'electron';

interface WindowState {
  readonly x?: number;
  readonly y?: number;
  readonly width: number;
  readonly height: number;
  readonly maximized: boolean;
  readonly zoomLevel: number;
}

const usual: WindowState = { width: 1440, height: 900, maximized: false, zoomLevel: 0 };
const smallest = { width: 1024, height: 700 };

const fileIn = (folder: string) => join(folder, 'window.json');

/** Where the window was when it was last closed; its usual place where that is not on a screen any more. */
export function lastWindowState(folder: string): WindowState {
  try {
    const kept = { ...usual, ...(JSON.parse(readFileSync(fileIn(folder), 'utf8')) as Partial<WindowState>) };
    const size = { width: Math.max(kept.width, smallest.width), height: Math.max(kept.height, smallest.height) };
    const { x, y, ...rest } = { ...kept, ...size };
    return x !== undefined && y !== undefined && isOnAScreen(x, y) ? { ...rest, x, y } : rest;
  } catch {
    return usual;
  }
}

const isOnAScreen = (x: number, y: number) =>
  screen.getAllDisplays().some(({ workArea: area }) => {
    const inX = x >= area.x - 50 && x < area.x + area.width - 50;
    return inX && y >= area.y - 10 && y < area.y + area.height - 50;
  });

export function keepWindowState(window: BrowserWindow, folder: string): void {
  window.on('close', () => {
    const state = {
      ...window.getNormalBounds(),
      maximized: window.isMaximized(),
      zoomLevel: window.webContents.getZoomLevel(),
    };
    writeFileSync(fileIn(folder), JSON.stringify(state));
  });
}

import { EventEmitter } from 'node:events';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { log, run, strict } from './state.ts';

export class App extends EventEmitter {
  #ready: Promise<void> | undefined;
  readonly #userData = process.env.STANDIN_USER_DATA ?? mkdtempSync(join(tmpdir(), 'standin-'));
  readonly isPackaged = false;
  enableSandbox(): void {
    if (run.started) throw new Error('app.enableSandbox() can only be called before app is ready');
    log.push({ kind: 'enableSandbox', detail: true });
  }
  /** A test says by STANDIN_SECOND that another instance runs already. */
  requestSingleInstanceLock(): boolean {
    return process.env.STANDIN_SECOND === undefined;
  }
  isReady(): boolean {
    return run.started;
  }
  getPath(name: string): string {
    return name === 'userData' ? this.#userData : join(this.#userData, name);
  }
  addRecentDocument(file: string): void {
    log.push({ kind: 'recent-document', detail: file });
  }
  whenReady(): Promise<void> {
    this.#ready ??= start().then(() => {
      this.emit('ready');
    });
    return this.#ready;
  }
  quit(): void {
    this.emit('will-quit');
    void (run.browser?.close() ?? Promise.resolve()).finally(() => process.exit(0));
  }
}
export const app = strict('app', new App());

async function start(): Promise<void> {
  run.started = true;
  run.browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      ...(process.env.STANDIN_PORT ? [`--remote-debugging-port=${process.env.STANDIN_PORT}`] : []),
    ],
  });
}

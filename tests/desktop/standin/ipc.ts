import { EventEmitter } from 'node:events';
import { handlers, log, run, standardSchemes, strict } from './state.ts';

export interface IpcEvent {
  sender: unknown;
  senderFrame: { url: string; parent: unknown } | null;
  returnValue?: unknown;
}

export const invokers = new Map<string, (event: IpcEvent, ...args: unknown[]) => unknown>();

class IpcMain extends EventEmitter {
  handle(channel: string, f: (event: IpcEvent, ...args: unknown[]) => unknown): void {
    if (invokers.has(channel)) throw new Error(`Attempted to register a second handler for '${channel}'`);
    invokers.set(channel, f);
  }
  removeHandler(channel: string): void {
    invokers.delete(channel);
  }
}
export const ipcMain = strict('ipcMain', new IpcMain());

export const protocol = strict('protocol', {
  registerSchemesAsPrivileged(list: { scheme: string; privileges: Record<string, boolean> }[]): void {
    if (run.started) throw new Error('protocol.registerSchemesAsPrivileged should be called before app is ready');
    for (const { scheme, privileges } of list) {
      standardSchemes.add(scheme);
      log.push({ kind: 'scheme', detail: { scheme, privileges } });
    }
  },
  handle(scheme: string, f: (request: Request) => Response | Promise<Response>): void {
    if (!run.started) throw new Error('protocol.handle is for after app is ready');
    handlers.set(scheme, f);
  },
});

type Decide = (ok: boolean) => void;
class Session extends EventEmitter {
  request: ((contents: unknown, permission: string, decide: Decide, details: object) => void) | undefined;
  check: ((contents: unknown, permission: string, origin: string, details: object) => boolean) | undefined;
  device: ((details: object) => boolean) | undefined;
  setPermissionRequestHandler(f: Session['request']): void {
    this.request = f;
  }
  setPermissionCheckHandler(f: Session['check']): void {
    this.check = f;
  }
  setDevicePermissionHandler(f: Session['device']): void {
    this.device = f;
  }
}
export const defaultSession = strict('session.defaultSession', new Session());
export const session = strict('session', { defaultSession });

/** What the program's own handlers say to a permission; Electron allows where there is no handler. */
export function decisionOn(permission: string): { request: boolean; check: boolean; device: boolean } {
  let request = true;
  defaultSession.request?.(null, permission, (ok) => (request = ok), {});
  const check = defaultSession.check?.(null, permission, 'app://fleet', {}) ?? true;
  return { request, check, device: defaultSession.device?.({ deviceType: 'usb' }) ?? true };
}

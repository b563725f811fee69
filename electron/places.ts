import { mkdtempSync } from 'node:fs';
import { homedir, tmpdir, userInfo } from 'node:os';
import { join } from 'node:path';

/** The built page, beside the sources and in the packed application alike. */
export const pageFolder = join(
  import.meta.dirname,
  import.meta.filename.endsWith('.ts') ? '../dist/renderer' : '../renderer',
);

/** Where the loopback host keeps its list of recent fleets (XDG Base Directory Specification, else by system). */
export function stateFolder(env: NodeJS.ProcessEnv = process.env): string {
  if (env.YEARBOOK_STATE) return env.YEARBOOK_STATE;
  if (process.platform === 'win32') return join(env.LOCALAPPDATA ?? homedir(), 'Cable Yearbook');
  if (process.platform === 'darwin') return join(homedir(), 'Library/Application Support/Cable Yearbook');
  return join(env.XDG_STATE_HOME ?? join(homedir(), '.local/state'), 'cable-yearbook');
}

/** Where compiled code is kept between starts. */
export function cacheFolder(env: NodeJS.ProcessEnv = process.env): string {
  if (process.platform === 'win32') return join(env.LOCALAPPDATA ?? homedir(), 'Cable Yearbook/cache');
  if (process.platform === 'darwin') return join(homedir(), 'Library/Caches/Cable Yearbook');
  return join(env.XDG_CACHE_HOME ?? join(homedir(), '.cache'), 'cable-yearbook');
}

/** Where fleets are made that nobody chose a place for; a demo's is temporary. */
export function fleetsFolder(temporary: boolean): string {
  return temporary ? mkdtempSync(join(tmpdir(), 'cable-yearbook-demo-')) : join(homedir(), 'Cable Yearbook');
}

/** The name of the account; a system without a list of accounts tells it by its environment, or not at all. */
export function userName(env: NodeJS.ProcessEnv = process.env): string {
  try {
    return userInfo().username;
  } catch {
    return env.USER || env.LOGNAME || env.USERNAME || 'unknown';
  }
}

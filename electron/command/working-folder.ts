import { join } from 'node:path';

const projectFolder = join(import.meta.dirname, '../..');

/**
 * The folder in which the person typed. npm runs scripts in the project's folder and says in INIT_CWD where it was called;
 * a process that only inherited INIT_CWD from an outer npm runs elsewhere, or under another script.
 */
export function workingFolder(env: NodeJS.ProcessEnv = process.env, cwd = process.cwd()): string {
  const byNpm = ['yearbook', 'start'].includes(env.npm_lifecycle_event ?? '') && cwd === projectFolder;
  return (byNpm && env.INIT_CWD) || cwd;
}

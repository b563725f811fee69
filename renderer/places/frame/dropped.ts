/** Files that were dropped or handed to the application and wait for the place Import to look at them. */
let waiting: Promise<readonly string[]> | null = null;
const listeners = new Set<() => void>();

export function leave(paths: Promise<readonly string[]>): void {
  waiting = paths;
  for (const listener of listeners) listener();
}

export function take(): Promise<readonly string[]> | null {
  const taken = waiting;
  waiting = null;
  return taken;
}

export function onLeft(listener: () => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

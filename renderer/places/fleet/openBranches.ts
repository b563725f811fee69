/** Which branches of the tree stand open, kept while the window lives. */
let open: ReadonlySet<string> = new Set();
const listeners = new Set<() => void>();

function set(next: ReadonlySet<string>): void {
  open = next;
  for (const listener of listeners) listener();
}

export const openBranches = {
  now: (): ReadonlySet<string> => open,
  subscribe: (listener: () => void): (() => void) => {
    listeners.add(listener);
    return () => listeners.delete(listener);
  },
};

export function toggleBranch(id: string, to: boolean): void {
  if (open.has(id) === to) return;
  const next = new Set(open);
  if (to) next.add(id);
  else next.delete(id);
  set(next);
}

/** Opens the tree down to a feeder. */
export const revealFeeder = (substationId: string, feederId: string): void =>
  set(new Set([...open, substationId, feederId]));

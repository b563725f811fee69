/** Which branches of the tree stand open, kept while the window lives. */
export interface Branches {
  readonly open: ReadonlySet<string>;
  /** Closed by hand where a filter leaves so little that all else stands open. */
  readonly shut: ReadonlySet<string>;
}

let branches: Branches = { open: new Set(), shut: new Set() };
const listeners = new Set<() => void>();

function set(next: Branches): void {
  branches = next;
  for (const listener of listeners) listener();
}

export const openBranches = {
  now: (): Branches => branches,
  subscribe: (listener: () => void): (() => void) => {
    listeners.add(listener);
    return () => listeners.delete(listener);
  },
};

const moved = (ids: ReadonlySet<string>, id: string, into: boolean): ReadonlySet<string> => {
  const next = new Set(ids);
  if (into) next.add(id);
  else next.delete(id);
  return next;
};

export const toggleBranch = (id: string, to: boolean): void =>
  set({ open: moved(branches.open, id, to), shut: moved(branches.shut, id, !to) });

/** Whether the tree stands open down to a feeder. */
export const isRevealed = (substationId: string, feederId: string): boolean =>
  branches.open.has(substationId) && branches.open.has(feederId);

/** Opens the tree down to a feeder. */
export function revealFeeder(substationId: string, feederId: string): void {
  if (isRevealed(substationId, feederId)) return;
  set({ ...branches, open: new Set([...branches.open, substationId, feederId]) });
}

/** Another filter: nothing is closed by hand in what it leaves. */
export const forgetShut = (): void => {
  if (branches.shut.size > 0) set({ ...branches, shut: new Set() });
};

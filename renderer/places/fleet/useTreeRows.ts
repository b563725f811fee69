import { useEffect, useMemo, useRef, useSyncExternalStore } from 'react';
import type { TreeNode } from '../../../core/contract/asks/fleet.ts';
import type { InputOf } from '../../../core/contract/asks/index.ts';
import type { TreeFilter } from '../../../core/contract/shapes/tree-filter.ts';
import type { TreeRow } from '../../parts/Tree.tsx';
import { treeSpoken } from '../../words/tree.ts';
import { narrows } from '../../words/treeFilter.ts';
import type { UnitSystem } from '../../words/units.ts';
import { asking, queries, useAsk } from '../asking.ts';
import { useAsks } from '../useAsks.ts';
import { forgetShut, openBranches, revealFeeder } from './openBranches.ts';

export interface FleetRow extends TreeRow {
  readonly node: TreeNode;
}

export interface TreeSetting {
  readonly order: 'name' | 'growth';
  readonly units: UnitSystem;
  readonly filter: TreeFilter;
}

type Under = InputOf<'fleet.tree'>['under'];

/** Where a filter leaves no more than this, every branch stands open. */
const allOpen = 60;

/**
 * The rows of the tree as it stands open; the children of a branch are asked for when it first opens. `overtaken`: they
 * are those of the filter or order before, while the new ones are counted.
 */
export function useTreeRows({ order, units, filter }: TreeSetting) {
  const branches = useSyncExternalStore(openBranches.subscribe, openBranches.now);
  const top = useAsk('fleet.tree', { under: null, order, filter }, { keep: true });
  const counted = top.data ?? null;
  const narrow = narrows(filter);
  const few = narrow && counted !== null && counted.passing <= allOpen;
  const isOpen = (id: string): boolean => (few ? !branches.shut.has(id) : branches.open.has(id));
  const asked = JSON.stringify(filter);
  // biome-ignore lint/correctness/useExhaustiveDependencies: with every other filter, what was closed in the former is open
  useEffect(forgetShut, [asked]);
  const branch = (kind: 'substation' | 'feeder', id: string) => ({ under: { kind, id } as Under, order, filter });
  const substations = openIds(top.data?.nodes, isOpen);
  const feeders = useAsks(
    'fleet.tree',
    substations.map((id) => branch('substation', id)),
  );
  const openFeeders = feeders.flatMap((asked) => openIds(asked?.data?.nodes, isOpen));
  const segments = useAsks(
    'fleet.tree',
    openFeeders.map((id) => branch('feeder', id)),
  );
  const below = new Map<string, readonly TreeNode[]>();
  for (const [ids, answers] of [
    [substations, feeders],
    [openFeeders, segments],
  ] as const)
    ids.forEach((id, at) => {
      const nodes = answers[at]?.data?.nodes;
      if (nodes) below.set(id, nodes);
    });
  const stamp = [top, ...feeders, ...segments].map((each) => each?.dataUpdatedAt ?? 0).join();
  const former = useRef<Former>({ words: '', rows: new Map() });
  // biome-ignore lint/correctness/useExhaustiveDependencies: what is open and below follows from the stamp and the branches
  const rows = useMemo(() => {
    const words = `${narrow} ${units}`;
    const before = former.current.words === words ? former.current.rows : new Map<string, FleetRow>();
    const made = flatten(top.data?.nodes ?? [], isOpen, below, (node) => treeSpoken(node, narrow, units), before);
    former.current = { words, rows: new Map(made.map((row) => [row.id, row])) };
    return made;
  }, [stamp, branches, few, order, asked, units]);
  const error = [top, ...feeders, ...segments].find((each) => each?.error)?.error ?? null;
  return { rows, counted, error, overtaken: top.isPlaceholderData };
}

/**
 * Opens the tree down to a feeder once what stands below is here, so that it moves once; not where another page has been
 * opened meanwhile.
 */
export async function openTo(
  { order, filter }: TreeSetting,
  substationId: string,
  feederId: string,
  isOver: () => boolean,
): Promise<void> {
  const under = (kind: 'substation' | 'feeder', id: string) =>
    queries.ensureQueryData(asking('fleet.tree', { under: { kind, id } as Under, order, filter }));
  // What goes wrong is said by the tree itself, which asks again.
  await Promise.allSettled([under('substation', substationId), under('feeder', feederId)]);
  if (!isOver()) revealFeeder(substationId, feederId);
}

const openIds = (nodes: readonly TreeNode[] | undefined, isOpen: (id: string) => boolean): readonly string[] =>
  (nodes ?? []).filter((node) => isOpen(node.id)).map((node) => node.id);

/** Rows as they were, so that those that have not changed stay the same objects. */
interface Former {
  readonly words: string;
  readonly rows: ReadonlyMap<string, FleetRow>;
}

function flatten(
  nodes: readonly TreeNode[],
  isOpen: (id: string) => boolean,
  below: ReadonlyMap<string, readonly TreeNode[]>,
  spoken: (node: TreeNode) => string,
  former: ReadonlyMap<string, FleetRow>,
): FleetRow[] {
  const rows: FleetRow[] = [];
  const walk = (list: readonly TreeNode[], level: number, parentId: string | null): void => {
    list.forEach((node, at) => {
      const open = node.kind === 'segment' ? null : isOpen(node.id);
      const place = { level, pos: at + 1, size: list.length, parentId, open, node };
      const before = former.get(node.id);
      rows.push(before && isSame(before, place) ? before : rowOf(place, spoken));
      const children = open ? below.get(node.id) : undefined;
      if (children) walk(children, level + 1, node.id);
    });
  };
  walk(nodes, 1, null);
  return rows;
}

type Placed = Pick<FleetRow, 'level' | 'pos' | 'size' | 'parentId' | 'open' | 'node'>;

const isSame = (row: FleetRow, place: Placed): boolean =>
  row.node === place.node &&
  row.open === place.open &&
  row.pos === place.pos &&
  row.size === place.size &&
  row.level === place.level &&
  row.parentId === place.parentId;

const rowOf = (place: Placed, spoken: (node: TreeNode) => string): FleetRow => ({
  ...place,
  id: place.node.id,
  name: place.node.name,
  // Said of the rows in sight alone: a fleet has hundreds of branches.
  get spoken() {
    return spoken(place.node);
  },
});

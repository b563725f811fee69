import { useQueries } from '@tanstack/react-query';
import { useMemo, useSyncExternalStore } from 'react';
import type { TreeNode } from '../../../core/contract/asks/fleet.ts';
import type { InputOf } from '../../../core/contract/asks/index.ts';
import type { TreeRow } from '../../parts/Tree.tsx';
import { treeSpoken } from '../../words/tree.ts';
import type { UnitSystem } from '../../words/units.ts';
import { asking, useAsk } from '../asking.ts';
import { openBranches } from './openBranches.ts';

export interface FleetRow extends TreeRow {
  readonly node: TreeNode;
}

type Under = InputOf<'fleet.tree'>['under'];

/** The rows of the tree as it stands open; the children of a branch are asked for when it first opens. */
export function useTreeRows(order: 'name' | 'growth', units: UnitSystem) {
  const open = useSyncExternalStore(openBranches.subscribe, openBranches.now);
  const top = useAsk('fleet.tree', { under: null, order });
  const substations = (top.data?.nodes ?? []).filter((node) => open.has(node.id));
  const feeders = useQueries({
    queries: substations.map((node) => branch('substation', node.id, order)),
  });
  const openFeeders = feeders.flatMap((query) => (query.data?.nodes ?? []).filter((node) => open.has(node.id)));
  const segments = useQueries({ queries: openFeeders.map((node) => branch('feeder', node.id, order)) });
  const below = new Map<string, readonly TreeNode[]>();
  substations.forEach((node, at) => {
    const nodes = feeders[at]?.data?.nodes;
    if (nodes) below.set(node.id, nodes);
  });
  openFeeders.forEach((node, at) => {
    const nodes = segments[at]?.data?.nodes;
    if (nodes) below.set(node.id, nodes);
  });
  const stamp = [
    top.dataUpdatedAt,
    ...feeders.map((q) => q.dataUpdatedAt),
    ...segments.map((q) => q.dataUpdatedAt),
  ].join();
  // biome-ignore lint/correctness/useExhaustiveDependencies: `below` follows from what the stamp and the open set name
  const rows = useMemo(() => flatten(top.data?.nodes ?? [], open, below, units), [stamp, open, order, units]);
  const error = [top, ...feeders, ...segments].find((query) => query.error)?.error ?? null;
  return { rows, ranked: top.data?.ranked ?? false, ready: top.data !== undefined, error };
}

const branch = (kind: 'substation' | 'feeder', id: string, order: 'name' | 'growth') =>
  asking('fleet.tree', { under: { kind, id } as Under, order });

function flatten(
  nodes: readonly TreeNode[],
  open: ReadonlySet<string>,
  below: ReadonlyMap<string, readonly TreeNode[]>,
  units: UnitSystem,
): FleetRow[] {
  const rows: FleetRow[] = [];
  const walk = (list: readonly TreeNode[], level: number, parent: number): void => {
    list.forEach((node, at) => {
      const index = rows.length;
      const isOpen = node.kind === 'segment' ? null : open.has(node.id);
      rows.push({
        id: node.id,
        level,
        pos: at + 1,
        size: list.length,
        parent,
        open: isOpen,
        name: node.name,
        spoken: treeSpoken(node, units),
        node,
      });
      const children = isOpen ? below.get(node.id) : undefined;
      if (children) walk(children, level + 1, index);
    });
  };
  walk(nodes, 1, -1);
  return rows;
}

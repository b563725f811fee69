import { useQueries } from '@tanstack/react-query';
import { useEffect, useMemo, useSyncExternalStore } from 'react';
import type { TreeNode } from '../../../core/contract/asks/fleet.ts';
import type { InputOf } from '../../../core/contract/asks/index.ts';
import type { TreeFilter } from '../../../core/contract/shapes/tree-filter.ts';
import type { TreeRow } from '../../parts/Tree.tsx';
import { treeSpoken } from '../../words/tree.ts';
import { narrows } from '../../words/treeFilter.ts';
import type { UnitSystem } from '../../words/units.ts';
import { asking, useAsk } from '../asking.ts';
import { forgetShut, openBranches } from './openBranches.ts';

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
  const branch = (kind: 'substation' | 'feeder', id: string) =>
    asking('fleet.tree', { under: { kind, id } as Under, order, filter });
  const substations = (top.data?.nodes ?? []).filter((node) => isOpen(node.id));
  const feeders = useQueries({ queries: substations.map((node) => branch('substation', node.id)) });
  const openFeeders = feeders.flatMap((query) => (query.data?.nodes ?? []).filter((node) => isOpen(node.id)));
  const segments = useQueries({ queries: openFeeders.map((node) => branch('feeder', node.id)) });
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
  // biome-ignore lint/correctness/useExhaustiveDependencies: what is open and below follows from the stamp and the branches
  const rows = useMemo(
    () => flatten(top.data?.nodes ?? [], isOpen, below, (node) => treeSpoken(node, narrow, units)),
    [stamp, branches, few, order, asked, units],
  );
  const error = [top, ...feeders, ...segments].find((query) => query.error)?.error ?? null;
  return { rows, counted, error, overtaken: top.isPlaceholderData };
}

function flatten(
  nodes: readonly TreeNode[],
  isOpen: (id: string) => boolean,
  below: ReadonlyMap<string, readonly TreeNode[]>,
  spoken: (node: TreeNode) => string,
): FleetRow[] {
  const rows: FleetRow[] = [];
  const walk = (list: readonly TreeNode[], level: number, parent: number): void => {
    list.forEach((node, at) => {
      const index = rows.length;
      const open = node.kind === 'segment' ? null : isOpen(node.id);
      rows.push({
        id: node.id,
        level,
        pos: at + 1,
        size: list.length,
        parent,
        open,
        name: node.name,
        // Said of the rows in sight alone: a fleet has hundreds of branches.
        get spoken() {
          return spoken(node);
        },
        node,
      });
      const children = open ? below.get(node.id) : undefined;
      if (children) walk(children, level + 1, index);
    });
  };
  walk(nodes, 1, -1);
  return rows;
}

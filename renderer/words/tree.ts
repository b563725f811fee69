import type { TreeNode } from '../../core/contract/asks/fleet.ts';
import { count, percent, whole } from './numbers.ts';
import { routeLength, type UnitSystem } from './units.ts';

/** The small words beside a branch: '11 feeders', '9'. */
export function treeAside(node: TreeNode): string {
  if (node.kind === 'substation') return count(node.children, 'feeder');
  if (node.kind === 'feeder') return whole(node.segments);
  return node.retired ? 'retired' : '';
}

/** A row of the tree, spoken. */
export function treeSpoken(node: TreeNode, units: UnitSystem): string {
  const growth = node.worstGrowthPctPerYr === null ? [] : [`growth ${percent(node.worstGrowthPctPerYr)} a year`];
  if (node.kind === 'segment') return [node.name, ...growth, ...(node.retired ? ['retired'] : [])].join(', ');
  const worst = growth.map((words) => `fastest ${words}`);
  const below = node.kind === 'feeder' ? count(node.segments, 'segment') : treeAside(node);
  return [node.name, below, routeLength(node.lengthKm, units), ...worst].join(', ');
}

/** The same roll-up for the pointer. */
export function treeTitle(node: TreeNode, units: UnitSystem): string {
  const growth =
    node.worstGrowthPctPerYr === null
      ? 'not ranked'
      : `${node.kind === 'segment' ? 'growth' : 'fastest growth'} ${percent(node.worstGrowthPctPerYr)} a year`;
  const size = node.kind === 'segment' ? '' : `${count(node.segments, 'segment')}, `;
  return `${node.name}: ${size}${routeLength(node.lengthKm, units)}, ${count(node.tests, 'test')}, ${growth}`;
}

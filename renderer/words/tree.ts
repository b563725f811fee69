import type { TreeNode } from '../../core/contract/asks/fleet.ts';
import { count, percent, whole } from './numbers.ts';
import { routeLength, type UnitSystem } from './units.ts';

/** The small words beside a branch: '11 feeders', '9'; narrowed, '3 of 9'. */
export function treeAside(node: TreeNode, narrowed: boolean): string {
  if (node.kind === 'segment') return node.retired ? 'retired' : '';
  if (narrowed) return `${whole(node.segments)} of ${whole(node.of)}`;
  return node.kind === 'substation' ? count(node.children, 'feeder') : whole(node.segments);
}

const segmentsBelow = ({ segments, of }: TreeNode, narrowed: boolean): string =>
  !narrowed ? count(segments, 'segment') : `${whole(segments)} of ${count(of, 'segment')}`;

/** A row of the tree, spoken: what is seen of it first. */
export function treeSpoken(node: TreeNode, narrowed: boolean, units: UnitSystem): string {
  const growth = node.worstGrowthPctPerYr === null ? [] : [`growth ${percent(node.worstGrowthPctPerYr)} a year`];
  if (node.kind === 'segment') return [node.name, ...(node.retired ? ['retired'] : []), ...growth].join(', ');
  const worst = growth.map((words) => `fastest ${words}`);
  const feeders = node.kind === 'substation' ? [count(node.children, 'feeder')] : [];
  const segments = [segmentsBelow(node, narrowed)];
  const below = narrowed ? [...segments, ...feeders] : [...feeders, ...segments];
  return [node.name, ...below, routeLength(node.lengthKm, units), ...worst].join(', ');
}

/** The same roll-up for the pointer. */
export function treeTitle(node: TreeNode, narrowed: boolean, units: UnitSystem): string {
  const growth =
    node.worstGrowthPctPerYr === null
      ? 'not ranked'
      : `${node.kind === 'segment' ? 'growth' : 'fastest growth'} ${percent(node.worstGrowthPctPerYr)} a year`;
  const size = node.kind === 'segment' ? '' : `${segmentsBelow(node, narrowed)}, `;
  return `${node.name}: ${size}${routeLength(node.lengthKm, units)}, ${count(node.tests, 'test')}, ${growth}`;
}

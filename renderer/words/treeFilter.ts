import type { TreeFilter } from '../../core/contract/shapes/tree-filter.ts';
import { asSet, count, list, nb, whole } from './numbers.ts';
import { routeLength, type UnitSystem } from './units.ts';

export const insulations = ['PILC', 'HMWPE', 'XLPE', 'TR-XLPE', 'EPR', 'PVC', 'other'] as const;

/** Words that stand or do not; the label is what is said where it stands. */
export const filterTicks = [
  { word: 'overdue', label: 'overdue', title: 'A test is due by the rule in force and not done' },
  { word: 'growing', label: 'growing for sure', title: 'The 90 % interval of growth lies above no growth' },
  { word: 'aboveLimit', label: 'above the limit', title: 'The level at its best estimate stands above the limit' },
  { word: 'retired', label: 'retired ones too', title: 'Segments out of service are shown as well' },
] as const;

export const testedWords = (tested: boolean | undefined): string =>
  tested === undefined ? 'tested or not' : tested ? 'tested' : 'never tested';

export const insulationWords = (filter: TreeFilter): string =>
  filter.insulation?.length ? list(filter.insulation) : 'every insulation';

export const classWords = (filter: TreeFilter): string =>
  filter.ratedKv?.length ? list(filter.ratedKv.map((kv) => `${asSet(kv)}${nb}kV`)) : 'every rated class';

/** Whether a filter leaves segments in service out: retired ones may be shown beside all the others. */
export const narrows = ({ retired: _, ...filter }: TreeFilter): boolean => filterWords(filter).length > 0;

/** What the tree is narrowed to, a piece a word: 'PILC', '15 kV', 'in service since 1970 to 1985', 'overdue'. */
export function filterWords(filter: TreeFilter): string[] {
  const { text, energisedFrom: from, energisedTo: to, tested } = filter;
  const words: string[] = [];
  if (text) words.push(`“${text.trim()}”`);
  if (filter.insulation?.length) words.push(insulationWords(filter));
  if (filter.ratedKv?.length) words.push(classWords(filter));
  if (from !== undefined && to !== undefined) words.push(`energised ${from} to ${to}`);
  else if (from !== undefined) words.push(`energised from ${from} on`);
  else if (to !== undefined) words.push(`energised up to ${to}`);
  if (tested !== undefined) words.push(testedWords(tested));
  for (const { word, label } of filterTicks) if (filter[word]) words.push(label);
  return words;
}

interface Counted {
  readonly passing: number;
  readonly of: number;
  readonly lengthKm: number;
}

/** '612 segments · 141 km'; narrowed, '87 of 612 segments · 21 km'. */
export function countedWords({ passing, of, lengthKm }: Counted, units: UnitSystem): string {
  const segments = passing === of ? count(of, 'segment') : `${whole(passing)} of ${count(of, 'segment')}`;
  return `${segments} · ${routeLength(lengthKm, units)}`;
}

import type { TreeFilter } from '../../../core/contract/shapes/tree-filter.ts';
import { insulations } from '../../words/treeFilter.ts';

/** The words of the address, in the order they are written. */
const names = {
  text: 'name',
  insulation: 'insulation',
  ratedKv: 'kv',
  energisedFrom: 'since',
  energisedTo: 'until',
  tested: 'tested',
  overdue: 'overdue',
  growing: 'growing',
  aboveLimit: 'above-limit',
  retired: 'retired',
} as const satisfies Record<keyof TreeFilter, string>;

/** The tree's filter as the address carries it; words that mean nothing are passed over. */
export function filterOf(query: string): TreeFilter {
  const said = new URLSearchParams(query);
  const list = (name: string): string[] => (said.get(name) ?? '').split(',').filter((word) => word !== '');
  const year = (name: string): number | undefined => {
    const value = said.get(name) ?? '';
    return isYear(value) ? Number(value) : undefined;
  };
  const yes = (name: string): true | undefined => (said.get(name) === 'yes' ? true : undefined);
  const chosen = list(names.insulation);
  const tested = said.get(names.tested);
  return tidy({
    text: said.get(names.text)?.slice(0, 200),
    insulation: insulations.filter((each) => chosen.includes(each)),
    ratedKv: list(names.ratedKv).map(Number).filter(Number.isFinite),
    energisedFrom: year(names.energisedFrom),
    energisedTo: year(names.energisedTo),
    tested: tested === 'yes' ? true : tested === 'no' ? false : undefined,
    overdue: yes(names.overdue),
    growing: yes(names.growing),
    aboveLimit: yes(names.aboveLimit),
    retired: yes(names.retired),
  });
}

/** The address's words for a filter; '' for none. */
export function queryOf(filter: TreeFilter): string {
  const said = new URLSearchParams();
  for (const [key, name] of Object.entries(names)) {
    const value = tidy(filter)[key as keyof TreeFilter];
    if (value === undefined) continue;
    said.set(name, typeof value === 'boolean' ? (value ? 'yes' : 'no') : String(value));
  }
  return said.toString().replaceAll('%2C', ',');
}

export const isYear = (text: string): boolean => /^(18[5-9]\d|19\d\d|2[01]\d\d)$/.test(text);

type Loose = { readonly [K in keyof TreeFilter]: TreeFilter[K] | undefined };

/** Without the words that narrow nothing. */
export const tidy = (filter: Loose): TreeFilter =>
  Object.fromEntries(
    Object.entries(filter).filter(
      ([, value]) =>
        value !== undefined && !((Array.isArray(value) || typeof value === 'string') && value.length === 0),
    ),
  );

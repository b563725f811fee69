import type { OutputOf } from '../../core/contract/asks/index.ts';
import type { RankingFilter } from '../../core/contract/asks/ranking.ts';
import type { HighPhase, RankingRow } from '../../core/contract/shapes/standing.ts';
import { asSet, count, list, nb, whole } from './numbers.ts';
import { specificLeakage } from './units.ts';

export const orderNames = {
  growth: 'growth',
  level: 'level',
  pExceed5y: 'chance in 5 years',
  crossing: 'crossing year',
  name: 'name',
  tests: 'tests',
  energised: 'year in service',
  length: 'length',
} as const;

/**
 * What `descending` must be for the head of the list to be what a person looks for: the worst, the soonest, the
 * oldest, A. Core counts a sooner crossing and an earlier letter as higher.
 */
export const headFirst = {
  growth: true,
  level: true,
  pExceed5y: true,
  crossing: true,
  name: true,
  tests: true,
  energised: false,
  length: true,
} as const;

/** Orders whose descending list rises as it is read. */
export const risesAsRead: ReadonlySet<string> = new Set(['name', 'crossing']);

type Named = readonly { readonly id: string; readonly name: string }[];

export const substationWords = (filter: RankingFilter, substations: Named): string =>
  substations.find((each) => each.id === filter.substationId)?.name ?? 'every substation';

export const feederWords = (filter: RankingFilter, feeders: Named): string =>
  feeders.find((each) => each.id === filter.feederId)?.name ?? 'every feeder';

export const insulationWords = (filter: RankingFilter): string =>
  filter.insulation && filter.insulation.length > 0 ? list(filter.insulation) : 'every insulation';

export const classWords = (filter: RankingFilter): string =>
  filter.ratedKv && filter.ratedKv.length > 0
    ? list(filter.ratedKv.map((kv) => `${asSet(kv)}${nb}kV`))
    : 'every rated class';

/** '612 segments, as of 2025-11-25'. */
export function headWords(page: OutputOf<'ranking.page'>): string {
  const without = page.unranked === 0 ? '' : `, ${whole(page.unranked)} of them without a rank`;
  return `${count(page.total, 'segment')}${without}, as of ${page.asOf}`;
}

/** 'phase C surely stands above the mean, at 38.1 nS/km, above the limit'. */
export const highPhaseTitle = ({ phase, levelNsPerKm, aboveLimit }: HighPhase): string =>
  `phase ${phase} surely stands above the mean, at ${specificLeakage(levelNsPerKm)}${aboveLimit ? ', above the limit' : ''}`;

export const widerWords = 'in a wider window';

/** What the columns speak of, at the foot of the table. */
export const columnsNote = ({ lo, hi }: { readonly lo: number; readonly hi: number }): string =>
  `Growth, level, limit and chances speak of the mean of a segment’s phases; a phase that surely stands a quarter above it is named below the level. Intervals stand on one scale, from ${whole(lo)} to ${whole(hi)}${nb}% a year; an arrow at its edge says that one goes on beyond. Growth lies midway between the mean and the median of what is known, so close to zero its sign may differ from what is likelier. Space, or a click with Ctrl, marks rows, two of them to compare.`;

const onlyWords = { growing: 'surely growing', exceeding: 'likely past the limit in five years' } as const;
type Only = keyof typeof onlyWords;

export const onlyChoices = (Object.keys(onlyWords) as Only[]).map((id) => ({ id, name: onlyWords[id] }));
export const onlyFilterWords = (only: Only | undefined): string => (only ? onlyWords[only] : 'every growth');

/** How the rank moved in a year: 'up 2', 'down 1', '–', 'new'. */
export function moved(row: RankingRow): string {
  if (row.rank === null) return '';
  if (row.rankLastYear === null) return 'new';
  const by = row.rankLastYear - row.rank;
  if (by === 0) return '–';
  return by > 0 ? `up ${by}` : `down ${-by}`;
}

export const paperChoices = ['A4', 'Letter'] as const;

/** What the printed ranking holds, as core says it did. */
export const printedWords = ({ printed, total }: { readonly printed: number; readonly total: number }): string =>
  printed < total
    ? `The first ${whole(printed)} of ${whole(total)} segments are printed, as this view orders and filters them; narrow the filter for others, or save all of them as CSV.`
    : `${count(total, 'segment')} printed, as this view orders and filters them.`;

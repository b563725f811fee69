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

/** What a filter says that leaves nothing out. */
export const everyWords = {
  substation: 'every substation',
  feeder: 'every feeder',
  insulation: 'every insulation',
  class: 'every rated class',
} as const;

export const substationWords = (filter: RankingFilter, substations: Named): string =>
  substations.find((each) => each.id === filter.substationId)?.name ?? everyWords.substation;

export const feederWords = (filter: RankingFilter, feeders: Named): string =>
  feeders.find((each) => each.id === filter.feederId)?.name ?? everyWords.feeder;

export const insulationWords = (filter: RankingFilter): string =>
  filter.insulation && filter.insulation.length > 0 ? list(filter.insulation) : everyWords.insulation;

export const classWords = (filter: RankingFilter): string =>
  filter.ratedKv && filter.ratedKv.length > 0
    ? list(filter.ratedKv.map((kv) => `${asSet(kv)}${nb}kV`))
    : everyWords.class;

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
  return by > 0 ? `up ${whole(by)}` : `down ${whole(-by)}`;
}

export const paperChoices = ['A4', 'Letter'] as const;

/** What the printed ranking holds, as core says it did. */
export const printedWords = ({ printed, total }: { readonly printed: number; readonly total: number }): string =>
  printed < total
    ? `The first ${whole(printed)} of ${whole(total)} segments are printed, as this view orders and filters them; narrow the filter for others, or save all of them as CSV.`
    : `${count(total, 'segment')} printed, as this view orders and filters them.`;

/** Names of the filters, for whoever hears them. */
export const filterNames = {
  substation: 'Substation',
  feeder: 'Feeder',
  insulation: 'Insulation',
  class: 'Rated class',
  growth: 'Growth',
} as const;

export const classChoice = (kv: number): string => `${asSet(kv)}${nb}kV`;

/** Heads of the columns. */
export const columnHeads = {
  rank: 'Rank',
  moved: 'Last year',
  name: 'Segment',
  insulation: 'Insulation, since',
  interval: `Growth, % a year, 90${nb}% interval`,
  growth: 'Growth, % a year',
  level: 'Level, nS/km',
  crossing: 'Crosses the limit',
  p5: 'in 5 years',
  tests: 'Tests',
  strip: 'Years',
} as const;

/** Columns that may be left out, as they are chosen. */
export const columnNames = {
  moved: columnHeads.moved,
  insulation: columnHeads.insulation,
  level: 'Level, with a phase above it',
  crossing: columnHeads.crossing,
  p5: 'Chance to pass it in 5 years',
  tests: columnHeads.tests,
  strip: columnHeads.strip,
} as const;

export const rankingWords = {
  title: 'Growth of leakage',
  waiting: 'Fitting growth and forecast…',
  notRanked: 'not ranked',
  noneFits: 'No segment fits these words',
  showEvery: 'Show every segment',
  nothing: 'Nothing to rank yet',
  needs: `The ranking orders segments by how fast their leakage grows, each with a 90${nb}% interval. It needs segments and tests:`,
  importThem: 'import them',
  back: 'Back to the ranking',
  sideBySide: 'Side by side',
} as const;

/** What can be done with the view that is shown. */
export const actWords = {
  orderBy: 'order by',
  order: 'Order',
  columns: 'Columns',
  columnsWord: 'columns',
  changed: 'what changed',
  trust: 'how far to trust it',
  print: 'Print',
  printWord: 'print',
  csv: 'CSV',
  csvWritten: 'The whole ranking is written as CSV.',
} as const;

export const paperName = (paper: string): string => `PDF, ${paper}`;

/** Views that are kept under a name. */
export const viewWords = {
  label: 'Kept views',
  none: 'views',
  keep: 'Keep this view…',
  title: 'Keep this view',
  submit: 'Keep it',
  name: 'Name',
  kept: 'Kept:',
  takeOff: 'take off',
} as const;

export const takeOffLabel = (name: string): string => `Take “${name}” off`;
export const takenOff = (name: string): string => `“${name}” is taken off.`;

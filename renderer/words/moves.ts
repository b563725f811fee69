import type { OutputOf } from '../../core/contract/asks/index.ts';
import type { RankMove } from '../../core/contract/shapes/rank-move.ts';
import { fixed, nb, percent, whole } from './numbers.ts';

type Changes = OutputOf<'ranking.moves'>;

const reasons: Readonly<Record<RankMove['reason'], string>> = {
  test: 'a test of its own',
  work: 'work on the cable',
  correction: 'a correction',
  reread: 'an older reading taken otherwise',
  clock: 'the clock alone',
  fleet: 'the fleet’s estimates',
  others: 'others that moved',
  new: 'new in the ranking',
  gone: 'gone from it',
};

export const reasonWords = (reason: RankMove['reason'] | undefined): string =>
  reason === undefined ? 'every reason' : reasons[reason];

/** Reasons to choose from, with how many moves each has. */
export const reasonChoices = ({ counts }: Changes): { id: string; name: string }[] =>
  counts.map(({ reason, moves }) => ({ id: reason, name: `${reasons[reason]} (${whole(moves)})` }));

export const moveOrders = { rank: 'rank', places: 'places moved' } as const;

/** '309 → 2', 'new → 14', '7 → gone'. */
export function ranksWords({ rankThen, rank }: RankMove): string {
  return `${rankThen === null ? 'new' : whole(rankThen)} → ${rank === null ? 'gone' : whole(rank)}`;
}

/** The same for ears. */
export function ranksSpoken({ rankThen, rank }: RankMove): string {
  return `${rankThen === null ? 'without a rank then' : `rank ${whole(rankThen)} then`}, ${rank === null ? 'none now' : `${whole(rank)} now`}`;
}

/** '3.1 → 33.7'. */
export function growthsWords({ growthThen, growthPctPerYr }: RankMove): string {
  const one = (growth: RankMove['growthThen']) => (growth === null ? '–' : fixed(growth.value, 1));
  return `${one(growthThen)} → ${one(growthPctPerYr)}`;
}

/** Cohorts that lend another growth now than then, by a tenth of a per cent at least. */
export const cohortsMoved = ({ cohorts }: Changes) =>
  cohorts.filter((each) => fixed(each.growthThen, 1) !== fixed(each.growthNow, 1));

export const cohortWords = (each: Changes['cohorts'][number]): string =>
  `${each.cohort}: ${percent(each.growthNow)} a year, ${percent(each.growthThen)} then`;

export const shownWords = (shown: number, total: number): string =>
  `The first ${whole(shown)} of ${whole(total)}${nb}moves are shown.`;

/** A sentence of core as the window sets it: a per cent stays with its number. */
export const typeset = (line: string): string => line.replaceAll(' %', `${nb}%`);

export const changedWords = {
  title: 'What changed',
  yearAgo: 'Compare with a year ago',
  waiting: 'Fitting the ranking of the earlier day…',
  since: 'since',
  day: 'Compared with the day',
  ayearAgo: 'a year ago',
  movedBy: 'moved by',
  reason: 'Reason',
  inOrder: 'in order of',
  order: 'Order',
  print: 'print',
  csv: 'CSV',
  more: 'Show more',
  cohorts: 'Cohorts',
  cohortsHead: 'What the cohorts lend',
  rank: 'Rank',
  segment: 'Segment',
  growth: `Growth then (grey) and now, 90${nb}% interval`,
  aYear: '% a year',
  why: 'Why',
  written: 'Every move is written as CSV.',
} as const;

export const planOfDay = (day: string): string => `the last approved plan, ${day}`;

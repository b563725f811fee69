import type { Backtest } from '../../core/contract/asks/method.ts';
import { fixed, measured, nb, percent, whole } from './numbers.ts';

export const methodWords = {
  title: 'How far to trust it',
  waiting: 'Telling every last test from the earlier ones…',
  intervals: 'Intervals',
  where: 'Where',
  tests: 'Tests',
  inside90: `Inside the 90${nb}% interval`,
  byChance: 'By chance alone',
  inside50: `Inside the 50${nb}%`,
  byChanceNote: `By chance alone: between what so many tests would lie inside in 19 fleets of 20, were the interval right.`,
  chances: 'Chances',
  chancesHead: 'Chances to exceed the limit',
  foretoldBetween: 'Foretold between',
  foretold: 'Foretold',
  happened: 'Happened',
} as const;

type Row = Backtest['coverage'][number];
type Bin = Backtest['calibration'][number];

export const share = (pct: number | null): string => (pct === null ? '–' : percent(pct));

/** '87 to 92 %'. */
export const chanceAlone = (range: Row['chanceAlonePct']): string =>
  range === null ? '–' : `${plain(range.lo)} to ${plain(range.hi)}${nb}%`;

const plain = (pct: number): string => fixed(pct, Number.isInteger(pct) ? 0 : 1);

/** '20 and 40 %'. */
export const binWords = ({ fromPct, toPct }: Bin): string => `${fixed(fromPct, 0)} and ${percent(toPct, 0)}`;

/** What the chances came to, summed over all last tests. */
export const foretoldWords = ({ expected, observed, brier, brierOfAverage, correction }: Backtest): string =>
  `${measured(expected)} were expected above the limit, ${whole(observed)} were. Brier score ${measured(brier)}, against ${measured(brierOfAverage)} for telling everyone the average. ${correction}`;

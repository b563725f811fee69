import { csvText } from './csv.ts';

/** A move in the ranking as plain figures. */
export interface MoveFigures {
  readonly ownerId: string;
  readonly name: string;
  readonly rankThen: number | null;
  readonly rank: number | null;
  readonly growthThen: { readonly value: number; readonly lo: number; readonly hi: number } | null;
  readonly growthPctPerYr: { readonly value: number; readonly lo: number; readonly hi: number } | null;
  readonly reason: string;
  readonly parts: {
    readonly correction: number;
    readonly own: number;
    readonly clock: number;
    readonly fleet: number;
  } | null;
  readonly because: readonly string[];
}

const places = 5;
const rounded = (x: number | undefined): string => (x === undefined ? '' : String(Number(x.toFixed(places))));

/** Moves as CSV: ranks and growths of both days, what each cause did to the growth (% points a year), and the reasons. */
export const movesCsv = (moves: readonly MoveFigures[]): string =>
  csvText([
    [
      'segment_id',
      'name',
      'rank_then',
      'rank',
      'growth_then',
      'growth_then_lo',
      'growth_then_hi',
      'growth_pct_per_yr',
      'growth_lo',
      'growth_hi',
      'reason',
      'by_correction',
      'by_own_tests',
      'by_clock',
      'by_fleet',
      'because',
    ],
    ...moves.map((move) => [
      move.ownerId,
      move.name,
      String(move.rankThen ?? ''),
      String(move.rank ?? ''),
      rounded(move.growthThen?.value),
      rounded(move.growthThen?.lo),
      rounded(move.growthThen?.hi),
      rounded(move.growthPctPerYr?.value),
      rounded(move.growthPctPerYr?.lo),
      rounded(move.growthPctPerYr?.hi),
      move.reason,
      rounded(move.parts?.correction),
      rounded(move.parts?.own),
      rounded(move.parts?.clock),
      rounded(move.parts?.fleet),
      move.because.join(' '),
    ]),
  ]);

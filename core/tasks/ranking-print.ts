import type { ParsedInputOf } from '../contract/asks/index.ts';
import type { RankingColumn } from '../contract/asks/ranking.ts';
import { forecastCaution } from '../forecast/failure/caution.ts';
import { counted } from '../report/counted.ts';
import { rankingPdf } from '../report/ranking-pdf.ts';
import { fleetRow } from '../store/browse.ts';
import { ledgerHead } from '../store/ledger.ts';
import { crossingWords } from './crossing-words.ts';
import { type Desk, today } from './desk.ts';
import { type Frame, frameOf } from './frame.ts';
import { writeOut } from './out-file.ts';
import { type ListAsked, listFor } from './ranking-lists.ts';
import { rankingRow, scaleOf } from './ranking-rows.ts';
import { ranksLastYear, standingsAsOf } from './standings.ts';

/** What is printed: a list, how much of it, and on what. */
export interface PrintAsked extends ListAsked {
  readonly pdf: string;
  readonly paper: 'A4' | 'Letter';
  readonly first: number;
  readonly without: readonly RankingColumn[];
  readonly asOf?: string | undefined;
}

const orderWords: Readonly<Record<ParsedInputOf<'ranking.page'>['order'], readonly [string, string]>> = {
  growth: ['the fastest growth first', 'the slowest growth first'],
  level: ['the highest level first', 'the lowest level first'],
  pExceed5y: ['the likeliest to pass the limit within five years first', 'the least likely to pass the limit first'],
  crossing: ['the soonest to cross the limit first', 'the last to cross the limit first'],
  name: ['by name', 'by name, backwards'],
  tests: ['the most tested first', 'the least tested first'],
  energised: ['the youngest first', 'the oldest first'],
  length: ['the longest first', 'the shortest first'],
};

/** What the filter keeps, in words; '' where it keeps everything. */
function filterWords(frame: Frame, filter: ListAsked['filter']): string {
  const words: string[] = [];
  const of = (ordinals: readonly number[] | undefined) =>
    ordinals?.[0] === undefined ? undefined : frame.rows[ordinals[0]];
  if (filter.feederId) words.push(`feeder ${of(frame.byFeeder.get(filter.feederId))?.feederName ?? filter.feederId}`);
  else if (filter.substationId)
    words.push(`substation ${of(frame.bySubstation.get(filter.substationId))?.substationName ?? filter.substationId}`);
  if (filter.insulation?.length) words.push(`insulation ${filter.insulation.join(', ')}`);
  if (filter.ratedKv?.length) words.push(`rated ${filter.ratedKv.join(', ')} kV`);
  if (filter.only === 'growing') words.push('surely growing');
  if (filter.only === 'exceeding') words.push('likely past the limit within five years');
  if (filter.text?.trim()) words.push(`names with “${filter.text.trim()}”`);
  return words.join('; ');
}

/** Where the rows are that a long list leaves out. */
const restWords =
  'narrow the filter and print again, or write the whole ranking as a table with the command rank and its option --csv.';

/** Prints a view of the ranking as it stands on the screen, the head of it where it is long. Returns how many rows of how many. */
export async function printRanking(desk: Desk, asked: PrintAsked): Promise<{ printed: number; total: number }> {
  const asOf = asked.asOf ?? today(desk);
  const standings = standingsAsOf(desk, asOf);
  const before = ranksLastYear(desk, asOf);
  const frame = frameOf(desk.fleet);
  const { ordinals } = listFor(asked, standings, frame);
  const shown = [...ordinals.subarray(0, asked.first)];
  const filter = filterWords(frame, asked.filter);
  const head = ledgerHead(desk.fleet);
  const all = shown.length === ordinals.length;
  desk.progress(0, 0, 'setting the pages');
  const pdf = await rankingPdf(
    {
      utility: fleetRow(desk.fleet)?.utilityName ?? 'unnamed utility',
      sentence: `${all ? `${counted(ordinals.length)} segments` : `The first ${counted(shown.length)} of ${counted(ordinals.length)} segments`}${filter ? ` (${filter})` : ''}, as of ${asOf}, ${orderWords[asked.order][asked.descending ? 0 : 1]}. Revision ${head?.seq ?? 0} of the fleet.`,
      notes: [
        ...(all ? [] : [`The other ${ordinals.length - shown.length} are not printed: ${restWords}`]),
        'Growth is the rate of change of specific leakage at 20 °C, of the mean of a segment’s phases; a hollow dot means that the 90 % interval includes no growth, a small arrow that it goes on beyond the scale. Level, crossing and the chance to exceed speak of that mean too; a phase that surely stands a quarter above it is named beside the level.',
        'Years: tall are tested, thin between tests, struck are forecast; stronger is nearer the limit; a notch is work done, a cross a failure.',
      ],
      rows: shown.map((i) => {
        const row = rankingRow(desk.fleet, frame, standings, before, i);
        return { ...row, crosses: row.crossing ? crossingWords(row.crossing, standings.year) : 'no limit set' };
      }),
      scale: scaleOf(standings),
      without: asked.without,
      paper: asked.paper === 'A4' ? 'A4' : 'LETTER',
    },
    {
      createdAt: head?.at ?? `${asOf}T00:00:00Z`,
      footer: {
        ledgerHead: head ? Buffer.from(head.hash).toString('hex') : null,
        ledgerSeq: head?.seq ?? null,
        caution: forecastCaution,
      },
    },
  );
  desk.checkStop();
  writeOut(desk.fleet, asked.pdf, pdf);
  return { printed: shown.length, total: ordinals.length };
}

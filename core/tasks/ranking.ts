import type { OutputOf, ParsedInputOf } from '../contract/asks/index.ts';
import { printedRows } from '../contract/asks/ranking.ts';
import type { FeederId, SubstationId } from '../contract/ids.ts';
import { refuse } from '../contract/problem.ts';
import type { Interval90 } from '../contract/shapes/known.ts';
import type { HighPhase } from '../contract/shapes/standing.ts';
import { counted } from '../report/counted.ts';
import { movesCsv } from '../report/moves-csv.ts';
import { feederNames, substationNames } from '../store/browse.ts';
import { lastApprovalBefore } from '../store/moves.ts';
import { crossingOf, crossingWords } from './crossing-words.ts';
import { type Desk, today } from './desk.ts';
import { keepDuties } from './duties.ts';
import { keepSums } from './fleet-sums.ts';
import { forecastList } from './forecast.ts';
import { frameOf, keepFrame } from './frame.ts';
import { frameColumns } from './frame-columns.ts';
import { highPhase } from './high-phase.ts';
import { writeOut } from './out-file.ts';
import { keepOverdue } from './overdue.ts';
import { type Moves, movesBetween } from './rank-moves.ts';
import { countsOf, moveRow, movesBasis, movesSentence } from './rank-moves-words.ts';
import { listFor } from './ranking-lists.ts';
import { readyOrders } from './ranking-orders.ts';
import { printRanking } from './ranking-print.ts';
import { rankingCsv, rankingRow, scaleOf } from './ranking-rows.ts';
import { makeStandings, ranksLastYear, standingsAsOf, yearBefore } from './standings.ts';
import { shownStandings } from './standings-before.ts';
import type { TasksOf } from './task.ts';
import { unrankedBecause } from './unranked.ts';

async function listed(desk: Desk, input: ParsedInputOf<'ranking.list'>): Promise<OutputOf<'ranking.list'>> {
  const asOf = input.asOf ?? today(desk);
  const frame = frameOf(desk.fleet);
  const standings = standingsAsOf(desk, asOf);
  const written: string[] = [];
  if (input.csv) {
    writeOut(desk.fleet, input.csv, rankingCsv(frame, standings));
    written.push(input.csv);
  }
  if (input.pdf) {
    const { pdf, paper } = input;
    await printRanking(desk, {
      pdf,
      paper,
      asOf,
      order: 'growth',
      descending: true,
      filter: {},
      first: printedRows.usual,
      without: [],
    });
    written.push(pdf);
  }
  const moves = movesAsked(desk, input, asOf);
  if (moves && input.movesCsv) {
    writeOut(desk.fleet, input.movesCsv, movesCsv(moves.list.map((move) => moveRow(frame, moves, move))));
    written.push(input.movesCsv);
  }
  const growing = [...standings.order].filter((i) => standings.growthLo[i]! > 0).length;
  const unranked: { segment: string; because: string }[] = [];
  for (let i = 0; i < frame.rows.length; i++)
    if (standings.rank[i] === 0 && !standings.retired[i])
      unranked.push({ segment: frame.rows[i]!.ownerId, because: unrankedBecause(standings, i) });
  return {
    sentence: `${counted(standings.order.length)} segments ranked by growth of leakage as of ${asOf}; of ${counted(growing)} the 90 % interval lies above no growth.`,
    rows: [...standings.order.subarray(0, input.top)].map((i) => ({
      rank: standings.rank[i]!,
      segment: frame.rows[i]!.ownerId,
      name: frame.rows[i]!.name,
      growthPctPerYr: Number(standings.growth[i]!.toFixed(1)),
      lo: Number(standings.growthLo[i]!.toFixed(1)),
      hi: Number(standings.growthHi[i]!.toFixed(1)),
      levelNsPerKm: Number(standings.level[i]!.toPrecision(3)),
      highPhase: highPhaseText(highPhase(desk.fleet, frame, standings, i)),
      tests: standings.tests[i]!,
      pExceed5y: Number(standings.pExceed5[i]!.toFixed(3)),
      crosses: crossingWords(crossingOf(standings, i), standings.year),
    })),
    unranked,
    moves: moves && { sentence: movesSentence(moves), basis: movesBasis(moves), cohorts: cohortMoves(moves) },
    moved: (moves?.list ?? []).slice(0, input.top).map((move) => {
      const row = moveRow(frame, moves!, move);
      return {
        rankThen: row.rankThen,
        rank: row.rank,
        segment: row.ownerId,
        name: row.name,
        growthThen: growthText(row.growthThen),
        growthNow: growthText(row.growthPctPerYr),
        because: row.because.join(' '),
      };
    }),
    fit: standings.report,
    written,
  };
}

const highPhaseText = (high: HighPhase | null): string | null =>
  high && `${high.phase} ${Number(high.levelNsPerKm.toPrecision(3))}`;

const growthText = (growth: Interval90 | null): string | null =>
  growth && `${growth.value.toFixed(1)} (${growth.lo.toFixed(1)} to ${growth.hi.toFixed(1)}) % a year`;

/** The moves that the command line asked for, or null. */
function movesAsked(desk: Desk, input: ParsedInputOf<'ranking.list'>, asOf: string): Moves | null {
  if (!input.since && !input.sincePlan && !input.movesCsv) return null;
  let since = input.since ?? yearBefore(asOf);
  if (input.sincePlan) {
    const approved = lastApprovalBefore(desk.fleet, asOf);
    if (approved === null) throw refuse('bad-input', 'No plan was approved before that day.', { where: 'sincePlan' });
    since = approved;
  }
  return movesSince(desk, since, asOf);
}

function movesSince(desk: Desk, since: string, asOf: string): Moves {
  if (since >= asOf) throw refuse('bad-input', `Name a day before ${asOf} to compare with.`, { where: 'since' });
  return movesBetween(desk, since, asOf);
}

/** Cohorts of both days that lend another growth now than then. */
function cohortMoves({ then, now }: Moves): { cohort: string; growthThen: number; growthNow: number }[] {
  return now.cohorts.flatMap(({ name, growthPctPerYr }) => {
    const before = then.cohorts.find((each) => each.name === name);
    return before ? [{ cohort: name, growthThen: before.growthPctPerYr, growthNow: growthPctPerYr }] : [];
  });
}

function changed(desk: Desk, input: ParsedInputOf<'ranking.moves'>): OutputOf<'ranking.moves'> {
  const asOf = today(desk);
  const since = input.since ?? yearBefore(asOf);
  const moves = movesSince(desk, since, asOf);
  const frame = frameOf(desk.fleet);
  const asked = input.reason ? moves.list.filter((move) => move.reason === input.reason) : [...moves.list];
  const places = (move: Moves['list'][number]) =>
    move.rank > 0 && move.rankThen > 0 ? Math.abs(move.rankThen - move.rank) : 0;
  if (input.order === 'places') asked.sort((a, b) => places(b) - places(a));
  return {
    since,
    asOf,
    approvedPlanOn: lastApprovalBefore(desk.fleet, asOf),
    sentence: movesSentence(moves),
    basis: movesBasis(moves),
    counts: countsOf(moves),
    cohorts: cohortMoves(moves),
    total: asked.length,
    rows: asked.slice(0, input.count).map((move) => moveRow(frame, moves, move)),
    scale: scaleOf(moves.now),
  };
}

export const rankingTasks: TasksOf<
  | 'ranking.make'
  | 'ranking.page'
  | 'ranking.moves'
  | 'ranking.print'
  | 'ranking.choices'
  | 'ranking.feeders'
  | 'ranking.list'
  | 'forecast.list'
> = {
  'ranking.make'(desk, { asOf }) {
    // Quick beside the fit, and places that show what is due need no more.
    keepDuties(desk, today(desk));
    const { report } = makeStandings(desk, asOf ?? today(desk));
    keepOverdue(desk);
    keepSums(desk);
    keepFrame(desk);
    return report;
  },

  'ranking.page'(desk, input) {
    const asOf = today(desk);
    const standings = shownStandings(desk, asOf);
    const before = ranksLastYear(desk, asOf, standings.revision);
    const frame = frameOf(desk.fleet);
    const { ordinals, unranked } = listFor(input, standings, frame);
    readyOrders(desk, standings, frame);
    return {
      asOf,
      total: ordinals.length,
      unranked,
      rows: Array.from(ordinals.subarray(input.from, input.from + input.count), (i) =>
        rankingRow(desk.fleet, frame, standings, before, i),
      ),
      scale: scaleOf(standings),
    };
  },

  'ranking.choices'(desk) {
    const { insulations, ratedKvs } = frameColumns(frameOf(desk.fleet));
    return {
      substations: substationNames(desk.fleet).map(({ id, name }) => ({ id: id as SubstationId, name })),
      insulations: [...insulations],
      ratedKv: [...ratedKvs],
    };
  },

  'ranking.feeders'(desk, { substationId }) {
    return {
      feeders: feederNames(desk.fleet, substationId ?? null).map((feeder) => ({
        id: feeder.id as FeederId,
        substationId: feeder.substationId as SubstationId,
        name: feeder.name,
      })),
    };
  },

  'ranking.moves': changed,
  'ranking.print': printRanking,
  'ranking.list': listed,
  'forecast.list': forecastList,
};

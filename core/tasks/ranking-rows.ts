import type { SegmentId } from '../contract/ids.ts';
import type { RankingRow } from '../contract/shapes/standing.ts';
import type { Insulation } from '../contract/shapes/trade.ts';
import { csvText } from '../report/csv.ts';
import type { Fleet } from '../store/sql.ts';
import { crossingOf } from './crossing-words.ts';
import type { Frame } from './frame.ts';
import { highPhase } from './high-phase.ts';
import type { Standings } from './standings.ts';
import { segmentStrip } from './strips.ts';
import { unrankedBecause } from './unranked.ts';

export function rankingRow(
  fleet: Fleet,
  frame: Frame,
  standings: Standings,
  before: Int32Array | null,
  i: number,
): RankingRow {
  const row = frame.rows[i]!;
  const ranked = standings.rank[i]! > 0;
  const limit = standings.limit[i]!;
  return {
    id: row.id as SegmentId,
    ownerId: row.ownerId,
    name: row.name,
    feeder: row.feederName,
    substation: row.substationName,
    insulation: row.insulation as Insulation,
    energisedYear: standings.energisedYear[i]! || null,
    ratedKv: row.ratedKv,
    lengthM: row.lengthM,
    rank: ranked ? standings.rank[i]! : null,
    rankLastYear: before && before[i]! > 0 ? before[i]! : null,
    growthPctPerYr: ranked
      ? { value: standings.growth[i]!, lo: standings.growthLo[i]!, hi: standings.growthHi[i]! }
      : null,
    pGrowing: ranked ? standings.pGrowing[i]! : null,
    levelNsPerKm: ranked ? standings.level[i]! : null,
    highPhase: highPhase(fleet, frame, standings, i),
    limitNsPerKm: Number.isNaN(limit) ? null : limit,
    pExceed5y: ranked && !Number.isNaN(limit) ? standings.pExceed5[i]! : null,
    crossing: ranked && !Number.isNaN(limit) ? crossingOf(standings, i) : null,
    tests: standings.tests[i]!,
    because: ranked ? null : unrankedBecause(standings, i),
    strip: segmentStrip(standings, i, 'row'),
  };
}

const scales = new WeakMap<Standings, { lo: number; hi: number }>();

/** The common scale of the interval rows, made once. */
export function scaleOf(standings: Standings): { lo: number; hi: number } {
  let scale = scales.get(standings);
  if (!scale) {
    scale = makeScale(standings);
    scales.set(standings, scale);
  }
  return scale;
}

/**
 * The scale ends at most this many times further out than 98 of 100 intervals do, so that these keep two thirds of its
 * width; the few that go on beyond end in an arrow at its edge, and their numbers stand beside them.
 */
const mostReach = 1.5;

/**
 * Ends of the common scale of the interval rows, zero always inside: as far as the farthest interval, unless that lies
 * well beyond nearly all others.
 */
function makeScale({ order, growthLo, growthHi }: Standings): { lo: number; hi: number } {
  if (order.length === 0) return { lo: -5, hi: 20 };
  const [los, his] = [new Float64Array(order.length), new Float64Array(order.length)];
  for (let rank = 0; rank < order.length; rank++) {
    los[rank] = growthLo[order[rank]!]!;
    his[rank] = growthHi[order[rank]!]!;
  }
  los.sort();
  his.sort();
  const nearlyLo = Math.min(-2, los[Math.floor(los.length * 0.02)]!);
  const nearlyHi = Math.max(10, his[Math.floor((his.length - 1) * 0.98)]!);
  return {
    lo: Math.min(nearlyLo, Math.max(los[0]!, mostReach * nearlyLo)),
    hi: Math.max(nearlyHi, Math.min(his.at(-1)!, mostReach * nearlyHi)),
  };
}

const rounded = (x: number, digits: number) => (Number.isNaN(x) ? '' : String(Number(x.toFixed(digits))));

export function rankingCsv(frame: Frame, standings: Standings): string {
  const rows: string[][] = [
    [
      'rank',
      'segment_id',
      'growth_pct_per_yr',
      'growth_lo',
      'growth_hi',
      'p_growing',
      'level_ns_per_km',
      'tests',
      'p_exceed_5y',
      'crossing_year',
    ],
  ];
  for (const i of standings.order)
    rows.push([
      String(standings.rank[i]),
      frame.rows[i]!.ownerId,
      rounded(standings.growth[i]!, 5),
      rounded(standings.growthLo[i]!, 5),
      rounded(standings.growthHi[i]!, 5),
      rounded(standings.pGrowing[i]!, 6),
      rounded(standings.level[i]!, 6),
      String(standings.tests[i]),
      rounded(standings.pExceed5[i]!, 6),
      rounded(standings.crossingYear[i]!, 2),
    ]);
  return csvText(rows);
}

import type { OutputOf, ParsedInputOf } from '../contract/asks/index.ts';
import type { FeederId, SegmentId, SubstationId } from '../contract/ids.ts';
import type { RankingRow } from '../contract/shapes/standing.ts';
import type { Insulation } from '../contract/shapes/trade.ts';
import { csvText } from '../report/csv.ts';
import { feedersOf, substations } from '../store/browse.ts';
import { crossingOf, crossingWords } from './crossing-words.ts';
import { type Desk, today } from './desk.ts';
import { forecastList } from './forecast.ts';
import { type Frame, frameOf } from './frame.ts';
import { writeOut } from './out-file.ts';
import { lastYear, makeStandings, type Standings, standingsAsOf, standingsFor } from './standings.ts';
import { segmentStrip } from './strips.ts';
import type { TasksOf } from './task.ts';

type PageInput = ParsedInputOf<'ranking.page'>;

/** The number a segment is sorted by; segments without one come last in either direction. */
function sortKey(order: PageInput['order'], standings: Standings, frame: Frame): ((i: number) => number) | null {
  switch (order) {
    case 'growth':
      return (i) => (standings.rank[i]! > 0 ? standings.growth[i]! : Number.NaN);
    case 'level':
      return (i) => standings.level[i]!;
    case 'pExceed5y':
      return (i) => standings.pExceed5[i]!;
    case 'crossing':
      // Sooner is higher: what crosses first heads the descending list.
      return (i) => (Number.isNaN(standings.crossingYear[i]!) ? Number.NaN : -standings.crossingYear[i]!);
    case 'tests':
      return (i) => standings.tests[i]!;
    case 'energised':
      return (i) => standings.energisedYear[i]! || Number.NaN;
    case 'length':
      return (i) => frame.rows[i]!.lengthM;
    case 'name':
      return null;
  }
}

function sorted(ordinals: number[], input: PageInput, standings: Standings, frame: Frame): number[] {
  const sign = input.descending ? -1 : 1;
  const key = sortKey(input.order, standings, frame);
  if (!key) {
    const collator = new Intl.Collator('en', { numeric: true });
    return ordinals.sort((a, b) => -sign * collator.compare(frame.rows[a]!.name, frame.rows[b]!.name) || a - b);
  }
  const keys = new Float64Array(frame.rows.length);
  for (const i of ordinals) keys[i] = key(i);
  return ordinals.sort((a, b) => {
    const x = keys[a]!;
    const y = keys[b]!;
    if (Number.isNaN(x) || Number.isNaN(y)) return Number(Number.isNaN(x)) - Number(Number.isNaN(y)) || a - b;
    return sign * (x - y) || a - b;
  });
}

function filtered(frame: Frame, filter: PageInput['filter'], standings: Standings): number[] {
  const text = filter.text?.trim().toLowerCase();
  const pool = filter.feederId
    ? (frame.byFeeder.get(filter.feederId) ?? [])
    : filter.substationId
      ? (frame.bySubstation.get(filter.substationId) ?? [])
      : frame.rows.keys();
  const kept: number[] = [];
  for (const i of pool) {
    const row = frame.rows[i]!;
    if (standings.retired[i]) continue;
    if (filter.insulation?.length && !filter.insulation.includes(row.insulation as Insulation)) continue;
    if (filter.ratedKv?.length && (row.ratedKv === null || !filter.ratedKv.includes(row.ratedKv))) continue;
    if (text && !frame.searched[i]!.includes(text)) continue;
    kept.push(i);
  }
  return kept;
}

interface List {
  readonly ordinals: readonly number[];
  readonly unranked: number;
}

/** The last few sorted and filtered lists of some standings: pages of one list are asked for one after another. */
const lists = new WeakMap<Standings, Map<string, List>>();
const mostLists = 8;

function listFor(input: PageInput, standings: Standings, frame: Frame): List {
  const asked = JSON.stringify([input.order, input.descending, input.filter]);
  let kept = lists.get(standings);
  if (!kept) {
    kept = new Map();
    lists.set(standings, kept);
  }
  let list = kept.get(asked);
  if (!list) {
    const ordinals = sorted(filtered(frame, input.filter, standings), input, standings, frame);
    list = { ordinals, unranked: ordinals.reduce((n, i) => n + (standings.rank[i] === 0 ? 1 : 0), 0) };
    if (kept.size >= mostLists) kept.delete(kept.keys().next().value!);
    kept.set(asked, list);
  }
  return list;
}

export function rankingRow(frame: Frame, standings: Standings, before: Standings | null, i: number): RankingRow {
  const row = frame.rows[i]!;
  const ranked = standings.rank[i]! > 0;
  const j = before ? before.ordinalById.get(row.id) : undefined;
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
    rankLastYear: before && j !== undefined && before.rank[j]! > 0 ? before.rank[j]! : null,
    growthPctPerYr: ranked
      ? { value: standings.growth[i]!, lo: standings.growthLo[i]!, hi: standings.growthHi[i]! }
      : null,
    pGrowing: ranked ? standings.pGrowing[i]! : null,
    levelNsPerKm: ranked ? standings.level[i]! : null,
    limitNsPerKm: Number.isNaN(limit) ? null : limit,
    pExceed5y: ranked && !Number.isNaN(limit) ? standings.pExceed5[i]! : null,
    crossing: ranked && !Number.isNaN(limit) ? crossingOf(standings, i) : null,
    tests: standings.tests[i]!,
    because: ranked ? null : unrankedBecause(standings, i),
    strip: segmentStrip(standings, i, 'row'),
  };
}

export const unrankedBecause = (standings: Standings, i: number): string =>
  standings.retired[i]
    ? 'retired'
    : standings.tests[i] === 0
      ? 'no usable reading'
      : 'its readings could not be brought to a level';

const scales = new WeakMap<Standings, { lo: number; hi: number }>();

function scaleOf(standings: Standings): { lo: number; hi: number } {
  let scale = scales.get(standings);
  if (!scale) {
    scale = makeScale(standings);
    scales.set(standings, scale);
  }
  return scale;
}

/** Ends of the common scale of the interval rows: nearly all intervals fit, zero is always inside. */
function makeScale(standings: Standings): { lo: number; hi: number } {
  const his: number[] = [];
  const los: number[] = [];
  for (const i of standings.order) {
    his.push(standings.growthHi[i]!);
    los.push(standings.growthLo[i]!);
  }
  if (his.length === 0) return { lo: -5, hi: 20 };
  his.sort((a, b) => a - b);
  los.sort((a, b) => a - b);
  return {
    lo: Math.min(-2, los[Math.floor(los.length * 0.02)]!),
    hi: Math.max(10, his[Math.floor((his.length - 1) * 0.995)]!),
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

function listed(desk: Desk, input: ParsedInputOf<'ranking.list'>): OutputOf<'ranking.list'> {
  const asOf = input.asOf ?? today(desk);
  const frame = frameOf(desk.fleet);
  const standings = standingsAsOf(desk, asOf);
  const written: string[] = [];
  if (input.csv) {
    writeOut(desk.fleet, input.csv, rankingCsv(frame, standings));
    written.push(input.csv);
  }
  const growing = [...standings.order].filter((i) => standings.growthLo[i]! > 0).length;
  const unranked: { segment: string; because: string }[] = [];
  for (let i = 0; i < frame.rows.length; i++)
    if (standings.rank[i] === 0 && !standings.retired[i])
      unranked.push({ segment: frame.rows[i]!.ownerId, because: unrankedBecause(standings, i) });
  return {
    sentence: `${standings.order.length} segments ranked by growth of leakage as of ${asOf}; of ${growing} the 90 % interval lies above no growth.`,
    rows: [...standings.order.subarray(0, input.top)].map((i) => ({
      rank: standings.rank[i]!,
      segment: frame.rows[i]!.ownerId,
      name: frame.rows[i]!.name,
      growthPctPerYr: Number(standings.growth[i]!.toFixed(1)),
      lo: Number(standings.growthLo[i]!.toFixed(1)),
      hi: Number(standings.growthHi[i]!.toFixed(1)),
      levelNsPerKm: Number(standings.level[i]!.toPrecision(3)),
      tests: standings.tests[i]!,
      pExceed5y: Number(standings.pExceed5[i]!.toFixed(3)),
      crosses: crossingWords(crossingOf(standings, i)),
    })),
    unranked,
    fit: standings.report,
    written,
  };
}

export const rankingTasks: TasksOf<
  'ranking.make' | 'ranking.page' | 'ranking.choices' | 'ranking.list' | 'forecast.list'
> = {
  'ranking.make'(desk, { asOf }) {
    return makeStandings(desk, asOf ?? today(desk)).report;
  },

  'ranking.page'(desk, input) {
    const asOf = today(desk);
    const standings = standingsFor(desk, asOf);
    const before = lastYear(desk, asOf);
    const frame = frameOf(desk.fleet);
    const { ordinals, unranked } = listFor(input, standings, frame);
    return {
      asOf,
      total: ordinals.length,
      unranked,
      rows: ordinals.slice(input.from, input.from + input.count).map((i) => rankingRow(frame, standings, before, i)),
      scale: scaleOf(standings),
    };
  },

  'ranking.choices'(desk) {
    const frame = frameOf(desk.fleet);
    const places = substations(desk.fleet);
    return {
      substations: places.map(({ id, name }) => ({ id: id as SubstationId, name })),
      feeders: places.flatMap((place) =>
        feedersOf(desk.fleet, place.id).map(({ id, name }) => ({
          id: id as FeederId,
          substationId: place.id as SubstationId,
          name,
        })),
      ),
      insulations: [...new Set(frame.rows.map((row) => row.insulation as Insulation))].sort(),
      ratedKv: [...new Set(frame.rows.map((row) => row.ratedKv).filter((kv) => kv !== null))].sort((a, b) => a - b),
    };
  },

  'ranking.list': listed,
  'forecast.list': forecastList,
};

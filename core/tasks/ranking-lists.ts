import type { ParsedInputOf } from '../contract/asks/index.ts';
import type { Insulation } from '../contract/shapes/trade.ts';
import { orderOf } from '../numerics/orderOf.ts';
import type { Frame } from './frame.ts';
import { nameRanks } from './name-ranks.ts';
import type { Standings } from './standings.ts';

/** What a list of the ranking is sorted and filtered by. */
export type ListAsked = Pick<ParsedInputOf<'ranking.page'>, 'order' | 'descending' | 'filter'>;

/** The number a segment is sorted by; segments without one come last in either direction. */
function sortKey(order: ListAsked['order'], standings: Standings, frame: Frame): ((i: number) => number) | null {
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

function sorted(
  ordinals: number[],
  input: Pick<ListAsked, 'order' | 'descending'>,
  standings: Standings,
  frame: Frame,
): number[] {
  const keys = new Float64Array(frame.rows.length);
  const key = sortKey(input.order, standings, frame);
  if (key) for (const i of ordinals) keys[i] = key(i);
  // Names fall from Z to A where numbers rise.
  return key ? orderOf(ordinals, keys, input.descending) : orderOf(ordinals, nameRanks(frame), !input.descending);
}

function filtered(
  frame: Frame,
  filter: ListAsked['filter'],
  standings: Standings,
  all: Iterable<number> = frame.rows.keys(),
): number[] {
  const text = filter.text?.trim().toLowerCase();
  const pool = filter.feederId
    ? (frame.byFeeder.get(filter.feederId) ?? [])
    : filter.substationId
      ? (frame.bySubstation.get(filter.substationId) ?? [])
      : all;
  const kept: number[] = [];
  for (const i of pool) {
    const row = frame.rows[i]!;
    if (standings.retired[i]) continue;
    if (filter.insulation?.length && !filter.insulation.includes(row.insulation as Insulation)) continue;
    if (filter.ratedKv?.length && (row.ratedKv === null || !filter.ratedKv.includes(row.ratedKv))) continue;
    if (filter.only === 'growing' && !(standings.growthLo[i]! > 0)) continue;
    if (filter.only === 'exceeding' && !(standings.pExceed5[i]! > 0.5)) continue;
    if (text && !frame.searched[i]!.includes(text)) continue;
    kept.push(i);
  }
  return kept;
}

/** Ordinals in order, and how many of them have no rank. */
export interface RankingList {
  readonly ordinals: readonly number[];
  readonly unranked: number;
}

/** The whole fleet is put in order once; a filter over it leaves the order as it is, a branch of it is sorted by itself. */
function inOrder({ order, descending, filter }: ListAsked, standings: Standings, frame: Frame): number[] {
  const isBranch = filter.feederId !== undefined || filter.substationId !== undefined;
  if (isBranch || Object.keys(filter).length === 0)
    return sorted(filtered(frame, filter, standings), { order, descending }, standings, frame);
  return filtered(frame, filter, standings, listFor({ order, descending, filter: {} }, standings, frame).ordinals);
}

/** The last few sorted and filtered lists of some standings: pages of one list are asked for one after another. */
const lists = new WeakMap<Standings, Map<string, RankingList>>();
const mostLists = 8;

export function listFor({ order, descending, filter }: ListAsked, standings: Standings, frame: Frame): RankingList {
  const asked = JSON.stringify([order, descending, filter]);
  let kept = lists.get(standings);
  if (!kept) {
    kept = new Map();
    lists.set(standings, kept);
  }
  let list = kept.get(asked);
  if (!list) {
    const ordinals = inOrder({ order, descending, filter }, standings, frame);
    list = { ordinals, unranked: ordinals.reduce((n, i) => n + (standings.rank[i] === 0 ? 1 : 0), 0) };
    if (kept.size >= mostLists) kept.delete(kept.keys().next().value!);
    kept.set(asked, list);
  }
  return list;
}

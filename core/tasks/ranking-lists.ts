import type { ParsedInputOf } from '../contract/asks/index.ts';
import type { Frame } from './frame.ts';
import { frameColumns } from './frame-columns.ts';
import { inOrder, wholeOrder } from './ranking-orders.ts';
import type { Standings } from './standings.ts';

/** What a list of the ranking is sorted and filtered by. */
export type ListAsked = Pick<ParsedInputOf<'ranking.page'>, 'order' | 'descending' | 'filter'>;

/** Ordinals in order, and how many of them have no rank. */
export interface RankingList {
  readonly ordinals: Int32Array;
  readonly unranked: number;
}

/** The last few sorted and filtered lists of some standings: pages of one list are asked for one after another. */
const lists = new WeakMap<Standings, Map<string, RankingList>>();
const mostLists = 16;

export function listFor(asked: ListAsked, standings: Standings, frame: Frame): RankingList {
  const name = JSON.stringify([asked.order, asked.descending, asked.filter]);
  let kept = lists.get(standings);
  if (!kept) {
    kept = new Map();
    lists.set(standings, kept);
  }
  const list = kept.get(name) ?? makeList(asked, standings, frame);
  // Put last again: the one that was asked for longest ago makes room.
  kept.delete(name);
  if (kept.size >= mostLists) kept.delete(kept.keys().next().value!);
  kept.set(name, list);
  return list;
}

/** A filter over the whole fleet leaves its order as it is; a branch of it is sorted by itself. */
function makeList({ order, descending, filter }: ListAsked, standings: Standings, frame: Frame): RankingList {
  const by = { by: order, descending };
  const branch =
    filter.feederId !== undefined
      ? (frame.byFeeder.get(filter.feederId) ?? [])
      : filter.substationId !== undefined
        ? (frame.bySubstation.get(filter.substationId) ?? [])
        : null;
  const ordinals =
    branch !== null
      ? inOrder(passing(branch, filter, standings, frame), by, standings, frame)
      : Object.keys(filter).length === 0
        ? wholeOrder(by, standings, frame)
        : passing(wholeOrder(by, standings, frame), filter, standings, frame);
  let unranked = 0;
  for (let k = 0; k < ordinals.length; k++) if (standings.rank[ordinals[k]!] === 0) unranked++;
  return { ordinals, unranked };
}

/** Those of some ordinals that are in service and that a filter keeps, in the order given. */
function passing(
  ordinals: ArrayLike<number>,
  filter: ListAsked['filter'],
  standings: Standings,
  frame: Frame,
): Int32Array {
  const columns = frameColumns(frame);
  const text = filter.text?.trim().toLowerCase();
  const insulation = filter.insulation?.length
    ? columns.insulations.map((each) => filter.insulation!.includes(each))
    : null;
  const ratedKv = filter.ratedKv?.length
    ? [false, ...columns.ratedKvs.map((each) => filter.ratedKv!.includes(each))]
    : null;
  const found = new Int32Array(ordinals.length);
  let count = 0;
  for (let k = 0; k < ordinals.length; k++) {
    const i = ordinals[k]!;
    if (standings.retired[i]) continue;
    if (insulation && !insulation[columns.insulation[i]!]) continue;
    if (ratedKv && !ratedKv[columns.ratedKv[i]!]) continue;
    if (filter.only === 'growing' && !(standings.growthLo[i]! > 0)) continue;
    if (filter.only === 'exceeding' && !(standings.pExceed5[i]! > 0.5)) continue;
    if (text && !frame.searched[i]!.includes(text)) continue;
    found[count++] = i;
  }
  return found.slice(0, count);
}

import type { Insulation } from '../contract/shapes/trade.ts';
import type { TreeFilter } from '../contract/shapes/tree-filter.ts';
import type { Fleet } from '../store/sql.ts';
import { type Desk, today } from './desk.ts';
import { type Frame, frameOf } from './frame.ts';
import { overdueFor } from './overdue.ts';
import { type Standings, standingsFor } from './standings.ts';

/** Which segments pass a filter: one byte a segment in the frame's order. */
export interface Passing {
  readonly passes: Uint8Array;
  readonly count: number;
  readonly lengthKm: number;
  /** Segments that an empty filter would leave: all in service, or all there are where retired ones are asked for. */
  readonly of: number;
}

interface Kept {
  readonly frame: Frame;
  readonly byFilter: Map<string, { readonly asked: Asked; readonly passing: Passing }>;
}

/** The last few filters of each fleet: every branch of one tree asks for the same. */
const kept = new WeakMap<Fleet, Kept>();
const mostFilters = 8;

/** Whether a filter leaves out any segment in service. */
export const narrows = (filter: TreeFilter): boolean =>
  Object.entries(filter).some(([word, value]) => word !== 'retired' && value !== undefined && !isEmpty(value));

const isEmpty = (value: unknown): boolean => (Array.isArray(value) || typeof value === 'string') && value.length === 0;

/** The segments that pass a filter today; refuses with 'not-ready' where it asks for a ranking that is not made yet. */
export function passing(desk: Desk, filter: TreeFilter): Passing {
  const frame = frameOf(desk.fleet);
  let here = kept.get(desk.fleet);
  if (here?.frame !== frame) {
    here = { frame, byFilter: new Map() };
    kept.set(desk.fleet, here);
  }
  const name = JSON.stringify(filter);
  const asked = whatToAsk(desk, filter);
  const known = here.byFilter.get(name);
  if (known?.asked.standings === asked.standings && known.asked.overdue === asked.overdue) return known.passing;
  const found = passingOf(frame, asked);
  here.byFilter.delete(name);
  if (here.byFilter.size >= mostFilters) here.byFilter.delete(here.byFilter.keys().next().value!);
  here.byFilter.set(name, { asked, passing: found });
  return found;
}

/** A filter with the columns that it asks of. */
interface Asked {
  readonly filter: TreeFilter;
  readonly standings: Standings | null;
  readonly overdue: Uint8Array | null;
}

function whatToAsk(desk: Desk, filter: TreeFilter): Asked {
  const ranked = filter.growing || filter.aboveLimit || filter.tested !== undefined;
  return {
    filter,
    standings: ranked ? standingsFor(desk, today(desk)) : null,
    overdue: filter.overdue ? overdueFor(desk) : null,
  };
}

function passingOf(frame: Frame, { filter, standings, overdue }: Asked): Passing {
  const { rows } = frame;
  const text = filter.text?.trim().toLowerCase() ?? '';
  const insulation = filter.insulation?.length ? new Set<Insulation>(filter.insulation) : null;
  const ratedKv = filter.ratedKv?.length ? new Set(filter.ratedKv) : null;
  const from = filter.energisedFrom === undefined ? null : `${filter.energisedFrom}-01-01`;
  const to = filter.energisedTo === undefined ? null : `${filter.energisedTo}-12-31`;
  const passes = new Uint8Array(rows.length);
  let count = 0;
  let of = 0;
  let lengthM = 0;
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i]!;
    if (row.retiredOn !== null && !filter.retired) continue;
    of++;
    if (insulation && !insulation.has(row.insulation as Insulation)) continue;
    if (ratedKv && (row.ratedKv === null || !ratedKv.has(row.ratedKv))) continue;
    if (from !== null && (row.energisedOn === null || row.energisedOn < from)) continue;
    if (to !== null && (row.energisedOn === null || row.energisedOn > to)) continue;
    if (text !== '' && !frame.searched[i]!.includes(text)) continue;
    if (overdue && overdue[i] !== 1) continue;
    if (standings && !stands(standings, i, filter)) continue;
    passes[i] = 1;
    count++;
    lengthM += row.lengthM;
  }
  return { passes, count, lengthKm: lengthM / 1000, of };
}

function stands(standings: Standings, i: number, { tested, growing, aboveLimit }: TreeFilter): boolean {
  const { firstReading, rank, growthLo, level, limit } = standings;
  if (tested !== undefined && firstReading[i + 1]! > firstReading[i]! !== tested) return false;
  if (growing && !(rank[i]! > 0 && growthLo[i]! > 0)) return false;
  return !(aboveLimit && !(rank[i]! > 0 && level[i]! > limit[i]!));
}

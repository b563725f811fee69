import { fitGrowth } from '../growth/fitGrowth.ts';
import { growthWithNews } from '../growth/newsHeld.ts';
import { dayOf } from './days.ts';
import type { Desk } from './desk.ts';
import { readColumns } from './fleet-columns.ts';
import { type KeptKind, keep, keptKind, keptNow, revisionFor } from './kept-answers.ts';
import { pack, unpack } from './pack.ts';
import { besideGrowth, type Standings, standingsName } from './standings.ts';

/** Growth and rank of every segment by a fit beside the standings; NaN and 0 where unranked. */
export interface SideFit {
  readonly growth: Float64Array;
  readonly growthLo: Float64Array;
  readonly growthHi: Float64Array;
  readonly rank: Int32Array;
  /** Growth with the later records while what the fleet shares stays as this fit left it; empty where that cannot be told. */
  readonly withNews: Float64Array;
}

/**
 * `as entered`: the ranking as it could be printed on `since`, before the corrections entered later.
 * `clock only`: the records of `since` seen from `asOf`, with nothing new in them.
 */
export type SideView = 'as entered' | 'clock only';

const kindOf = (view: SideView) => keptKind({ name: `${view}, as ${standingsName}`, passesOver: besideGrowth });
const kinds: Readonly<Record<SideView, KeptKind>> = {
  'as entered': kindOf('as entered'),
  'clock only': kindOf('clock only'),
};

/** Such a fit, kept for this revision and these days as the standings are. `now` are the standings of the later day. */
export function sideFit(desk: Desk, view: SideView, since: string, now: Standings): SideFit {
  const { asOf } = now;
  const { fleet } = desk;
  const kind = kinds[view];
  const revision = revisionFor(fleet, kind);
  const asked = `${since} ${asOf}`;
  const kept = keptNow(fleet, kind, asked);
  if (kept) return unpack(kept.bytes).columns as unknown as SideFit;
  const read = readColumns(desk, since, { asEntered: view === 'as entered' });
  desk.checkStop();
  const columns = view === 'clock only' ? { ...read.columns, asOfDay: dayOf(asOf) } : read.columns;
  const fit = fitGrowth(columns, {}, (share) => {
    desk.checkStop();
    desk.progress(Math.round(share * 100), 100, view === 'clock only' ? 'seeing the old tests from today' : 'fitting');
  });
  const rank = new Int32Array(columns.segments.count);
  let place = 0;
  for (const i of fit.order) {
    const { retiredOn } = read.segments[i]!;
    if (retiredOn === null || retiredOn > since) rank[i] = ++place;
  }
  const { growthPctPerYr: growth, growthLo, growthHi } = fit.segments;
  const withNews =
    view === 'clock only' ? growthWithNews(fit, readColumns(desk, asOf).columns, now.readingFactor) : undefined;
  const made: SideFit = { growth, growthLo, growthHi, rank, withNews: withNews ?? new Float64Array(0) };
  keep(desk, kind, asked, revision, () => pack({}, { ...made }));
  return made;
}

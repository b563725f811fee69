import type { Interval90 } from '../contract/shapes/known.ts';
import type { RankMove } from '../contract/shapes/rank-move.ts';
import type { OwnNews } from '../growth/ownNews.ts';
import type { Desk } from './desk.ts';
import { type Frame, frameOf } from './frame.ts';
import { gatherNews, newsOf, recordsChangedSince, rereadSegments, type SegmentNews } from './rank-news.ts';
import { type SideFit, sideFit } from './side-fit.ts';
import { type Standings, standingsAsOf } from './standings.ts';

/** Growth and rank by any fit. */
type RankFit = Omit<SideFit, 'withNews'>;

/** A segment of which the place in the ranking changed, with what each cause did to its growth. */
export interface Move {
  readonly i: number;
  /** 0 where it had, or has, none. */
  readonly rankThen: number;
  readonly rank: number;
  readonly growthThen: Interval90 | null;
  readonly growth: Interval90 | null;
  /** % points a year, adding up to the change; null where there is nothing to compare. */
  readonly parts: RankMove['parts'];
  readonly reason: RankMove['reason'];
  readonly news: SegmentNews | null;
  readonly own: OwnNews | null;
}

/** What changed between the standings of two days. */
export interface Moves {
  readonly then: Standings;
  readonly now: Standings;
  /** Those that moved by more than noise, came in or went out; the nearest to the head of the ranking first. */
  readonly list: readonly Move[];
  /** Ranked on both days. */
  readonly compared: number;
  /** Ranked on both days and tested between them. */
  readonly tested: number;
  readonly testedStill: number;
  /** Growth moves by this much, % a year, without any news of the segment's own; what lies within is noise. */
  readonly noisePct: number;
  /** Whether corrections entered since then make the list of then differ from what today's records say of that day. */
  readonly asEntered: boolean;
}

/** Growth is printed to a tenth of a per cent; what does not show is no change. */
const leastNoisePct = 0.1;
/** Medians of absolute moves that make a move of growth more than noise: about two standard deviations. */
const noiseMedians = 3;

const made = new WeakMap<Standings, Map<string, Moves>>();

/** Compares the standings of two days; a fit or two where none is kept. Kept with the standings of the later day. */
export function movesBetween(desk: Desk, since: string, asOf: string): Moves {
  const then = standingsAsOf(desk, since);
  const now = standingsAsOf(desk, asOf);
  let kept = made.get(now);
  if (!kept) {
    kept = new Map();
    made.set(now, kept);
  }
  let moves = kept.get(since);
  if (!moves) {
    moves = compare(desk, then, now);
    kept.set(since, moves);
  }
  return moves;
}

function compare(desk: Desk, then: Standings, now: Standings): Moves {
  const frame = frameOf(desk.fleet);
  const clock = sideFit(desk, 'clock only', then.asOf, now);
  const news = gatherNews(desk, frame, then, now);
  const corrected = recordsChangedSince(desk.fleet, then.asOf);
  const before: RankFit = corrected ? sideFit(desk, 'as entered', then.asOf, now) : then;
  const reread = rereadSegments(then, now);
  const both: number[] = [];
  for (const i of now.order) if (before.rank[i]! > 0 && then.rank[i]! > 0) both.push(i);
  const untouched = both.filter((i) => !news.has(i) && !reread.has(i));
  const noisePct = noiseOf(untouched.map((i) => Math.abs(now.growth[i]! - before.growth[i]!)));
  const moved = movedOf(both, before, now, noisePct);
  const list: Move[] = [];
  for (let i = 0; i < now.rank.length; i++) {
    const common = before.rank[i]! > 0 && now.rank[i]! > 0;
    if (common ? !moved.has(i) : before.rank[i] === now.rank[i]) continue;
    list.push(moveOf(frame, { before, then, clock, now }, i, news.get(i) ?? null, reread.has(i)));
  }
  const head = (move: Move) =>
    Math.min(move.rank || Number.POSITIVE_INFINITY, move.rankThen || Number.POSITIVE_INFINITY);
  list.sort((a, b) => head(a) - head(b) || a.i - b.i);
  const tested = both.filter((i) => news.get(i)?.events.some((event) => event.kind === 'test'));
  return {
    then,
    now,
    list,
    compared: both.length,
    tested: tested.length,
    testedStill: tested.filter((i) => !moved.has(i)).length,
    noisePct,
    asEntered: corrected,
  };
}

function noiseOf(moves: number[]): number {
  if (moves.length === 0) return leastNoisePct;
  moves.sort((a, b) => a - b);
  return Math.max(leastNoisePct, noiseMedians * moves[Math.floor(moves.length / 2)]!);
}

/** Others alone must shift a segment by this share of the list before that is worth a line: who shifted it has one. */
const shiftShare = 0.05;

/**
 * Of the segments ranked on both days, those whose growth changed by more than noise and whose rank among these by more
 * places than lie within it, or that others shifted far. `both` in the order of now. Segments that came in or went out
 * shift everyone below them; counted among the others they shift nobody.
 */
function movedOf(both: readonly number[], before: RankFit, now: Standings, noisePct: number): Set<number> {
  const wasInOrder = [...both].sort((a, b) => before.rank[a]! - before.rank[b]!);
  const growths = wasInOrder.map((i) => before.growth[i]!);
  const placeNow = new Int32Array(now.rank.length);
  both.forEach((i, k) => {
    placeNow[i] = k;
  });
  const moved = new Set<number>();
  wasInOrder.forEach((i, placeThen) => {
    const up = placeThen - placeNow[i]!;
    const reach = before.growth[i]! + Math.sign(up) * noisePct;
    const noisePlaces = Math.max(1, Math.abs(placeThen - firstUnder(growths, reach)));
    const grew = Math.abs(now.growth[i]! - before.growth[i]!) > noisePct;
    const least = grew ? noisePlaces : Math.max(noisePlaces, shiftShare * both.length);
    if (Math.abs(up) > least) moved.add(i);
  });
  return moved;
}

/** The first place in a falling list whose value does not lie above `value`. */
function firstUnder(falling: readonly number[], value: number): number {
  let low = 0;
  let high = falling.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (falling[middle]! > value) low = middle + 1;
    else high = middle;
  }
  return low;
}

interface Fits {
  readonly before: RankFit;
  readonly then: Standings;
  readonly clock: SideFit;
  readonly now: Standings;
}

function moveOf(frame: Frame, fits: Fits, i: number, news: SegmentNews | null, reread: boolean): Move {
  const { before, then, now } = fits;
  const own = news ? newsOf(frame, then, i, news) : null;
  const parts = then.rank[i]! > 0 && before.rank[i]! > 0 && now.rank[i]! > 0 ? partsOf(fits, i, own) : null;
  return {
    i,
    rankThen: before.rank[i]!,
    rank: now.rank[i]!,
    growthThen: growthAt(before, i),
    growth: growthAt(now, i),
    parts,
    reason: reasonOf(parts, before.rank[i]!, now.rank[i]!, news, reread),
    news,
    own,
  };
}

const growthAt = (fit: RankFit, i: number): Interval90 | null =>
  fit.rank[i]! > 0 ? { value: fit.growth[i]!, lo: fit.growthLo[i]!, hi: fit.growthHi[i]! } : null;

/**
 * From the growth of then to the growth of now by way of the old records seen from today and of these with the segment's
 * own news. Where work of a kind never done before stands in the way, the news is taken from the old estimate forwards.
 */
function partsOf({ before, then, clock, now }: Fits, i: number, own: OwnNews | null): NonNullable<Move['parts']> {
  const held = clock.withNews.length > 0;
  const seenNow = own && !held ? then.growth[i]! : clock.growth[i]!;
  const afterOwn = !own ? seenNow : held ? clock.withNews[i]! : own.growthPctPerYr;
  return {
    correction: then.growth[i]! - before.growth[i]!,
    clock: seenNow - then.growth[i]!,
    own: afterOwn - seenNow,
    fleet: now.growth[i]! - afterOwn,
  };
}

/** A part smaller than this, % a year, moves nobody. */
const partWorthNaming = 0.05;

function reasonOf(
  parts: Move['parts'],
  rankThen: number,
  rank: number,
  news: SegmentNews | null,
  reread: boolean,
): Move['reason'] {
  if (rankThen === 0) return 'new';
  if (rank === 0) return 'gone';
  if (!parts) return 'fleet';
  const worked = news?.facts.some((fact) => fact.kind === 'work') ?? false;
  const tested = news?.events.some((event) => event.kind === 'test') ?? false;
  const sizes: [Move['reason'], number][] = [
    [tested ? 'test' : 'work', parts.own],
    ['correction', parts.correction],
    ['clock', parts.clock],
    [reread ? 'reread' : worked ? 'work' : 'fleet', parts.fleet],
  ];
  const [reason, size] = sizes.reduce((most, each) => (Math.abs(each[1]) > Math.abs(most[1]) ? each : most));
  return Math.abs(size) < partWorthNaming ? 'others' : reason;
}

import { interventionKinds } from '../growth/columns.ts';
import { flag, leftOutReasons } from '../growth/normalise.ts';
import { type NewReading, type OwnEvent, type OwnNews, ownNews } from '../growth/ownNews.ts';
import { correctedSince, happenedBetween, type PeriodReading, readingsBetween } from '../store/moves.ts';
import type { Fleet } from '../store/sql.ts';
import { type GivenVerdict, givenVerdicts } from '../store/verdicts.ts';
import { dayOf } from './days.ts';
import type { Desk } from './desk.ts';
import type { Frame } from './frame.ts';
import { phaseNames, subjectAt } from './retest-expect.ts';
import type { Standings } from './standings.ts';

/** Something that befell a segment in the period, besides the tests that count. */
export type Fact =
  | { readonly kind: 'work'; readonly on: string; readonly work: string }
  | { readonly kind: 'failure'; readonly on: string; readonly part: string | null }
  | { readonly kind: 'left out'; readonly on: string; readonly because: string }
  | { readonly kind: 'slip'; readonly on: string }
  | { readonly kind: 'corrected'; readonly on: string; readonly testedOn: string }
  | { readonly kind: 'verdict'; readonly on: string; readonly verdict: string; readonly finding: string };

/** The news of one segment. */
export interface SegmentNews {
  /** Tests that count and work, in order of their days. */
  readonly events: OwnEvent[];
  readonly facts: Fact[];
  /** Readings of the period, as the file keeps them. */
  readings: number;
}

const coldestC = -30;
const hottestC = 110;

/** What happened to each segment between the standings of two days, by its ordinal. */
export function gatherNews(desk: Desk, frame: Frame, then: Standings, now: Standings): Map<number, SegmentNews> {
  const news = new Map<number, SegmentNews>();
  const of = (i: number): SegmentNews => {
    let one = news.get(i);
    if (!one) {
      one = { events: [], facts: [], readings: 0 };
      news.set(i, one);
    }
    return one;
  };
  gatherTests(desk, frame, then, now, of);
  for (const row of happenedBetween(desk.fleet, then.asOf, now.asOf)) {
    const one = of(frame.ordinalById.get(row.segmentId)!);
    if (row.intervention === null) one.facts.push({ kind: 'failure', on: row.on, part: row.part || null });
    else {
      one.facts.push({ kind: 'work', on: row.on, work: row.intervention.replaceAll('_', ' ') });
      one.events.push(workStep(then, row.intervention, dayOf(row.on)));
    }
  }
  for (const { events } of news.values()) {
    // Work of a day stands before the test of that day, as in the model.
    events.sort((a, b) => a.day - b.day || Number(b.kind === 'work') - Number(a.kind === 'work'));
    mergeWorks(events, then);
  }
  for (const row of correctedSince(desk.fleet, then.asOf))
    of(frame.ordinalById.get(row.segmentId)!).facts.push({
      kind: 'corrected',
      on: row.enteredOn,
      testedOn: row.testedOn,
    });
  for (const { segmentId, kind, findingKey, verdict, at } of verdictsAfter(desk.fleet, then.asOf)) {
    const i = segmentId === null ? undefined : frame.ordinalById.get(segmentId);
    const finding = kind ?? findingKey.split(' · ')[0]!;
    if (i !== undefined) of(i).facts.push({ kind: 'verdict', on: at.slice(0, 10), verdict, finding });
  }
  return news;
}

/** Verdicts on findings given after a day: what they decide, the ranking of that day did not know. */
const verdictsAfter = (fleet: Fleet, day: string): GivenVerdict[] =>
  givenVerdicts(fleet).filter(({ at }) => at.slice(0, 10) > day);

/** Whether the ranking of a day, as it stood then, was made from other records than today's fit of that day. */
export const recordsChangedSince = (fleet: Fleet, day: string): boolean =>
  correctedSince(fleet, day).length > 0 || verdictsAfter(fleet, day).some(({ what }) => what !== null);

/** Of the kinds of work never done before that day nothing is known: anything from a tenth to tenfold. */
const unknownDrop = { mean: 0, variance: 1 };

function workStep({ works }: Standings, kind: string, day: number): OwnEvent {
  const drop = works.drops[interventionKinds.indexOf(kind as (typeof interventionKinds)[number])] ?? unknownDrop;
  return { kind: 'work', day, drop: drop.mean, variance: drop.variance + works.spreadVariance };
}

/** Works with no test between them are one step of the level. */
function mergeWorks(events: OwnEvent[], { works }: Standings): void {
  for (let k = events.length - 1; k > 0; k--) {
    const [a, b] = [events[k - 1]!, events[k]!];
    if (a.kind !== 'work' || b.kind !== 'work') continue;
    const variance = a.variance + b.variance - works.spreadVariance;
    events.splice(k - 1, 2, { ...a, drop: a.drop + b.drop, variance });
  }
}

function gatherTests(desk: Desk, frame: Frame, then: Standings, now: Standings, of: (i: number) => SegmentNews): void {
  let segment: PeriodReading[] = [];
  const close = () => {
    if (segment.length === 0) return;
    const i = frame.ordinalById.get(segment[0]!.segmentId)!;
    takeSegment(of(i), segment, then, now, i);
    segment = [];
  };
  let seen = 0;
  for (const row of readingsBetween(desk.fleet, then.asOf, now.asOf)) {
    if ((++seen & 0xfff) === 0) desk.checkStop();
    if (segment.length > 0 && segment[0]!.segmentId !== row.segmentId) close();
    segment.push(row);
  }
  close();
}

/** The readings of a segment in the period are the last of its readings in the standings, in the same order. */
function takeSegment(
  news: SegmentNews,
  rows: readonly PeriodReading[],
  then: Standings,
  now: Standings,
  i: number,
): void {
  news.readings = rows.length;
  const base = now.firstReading[i + 1]! - rows.length;
  for (let from = 0, to = 0; from < rows.length; from = to) {
    while (to < rows.length && rows[to]!.eventId === rows[from]!.eventId) to++;
    const event = rows.slice(from, to);
    const on = event[0]!.testedOn;
    const day = dayOf(on);
    const warm = event.flatMap(({ insulationTempC: t }) => (t !== null && t >= coldestC && t <= hottestC ? [t] : []));
    const temperature =
      warm.length > 0
        ? { insulationTempC: warm.reduce((sum, t) => sum + t, 0) / warm.length }
        : { insulationTempC: then.seasonC[seasonDay(day)]!, temperatureVariance: then.seasonSdC ** 2 };
    const readings: NewReading[] = [];
    let reason = 0;
    for (let k = from; k < to; k++) {
      const row = rows[k]!;
      const code = now.readingFlag[base + k]!;
      if (code === flag.leftOut || code === flag.duplicate) {
        reason = now.readingReason[base + k]!;
        continue;
      }
      readings.push({
        phase: phaseNames.indexOf(row.phase as (typeof phaseNames)[number]),
        voltageKv: row.voltageKv,
        dwellMin: row.dwellMin ?? Number.NaN,
        leakageUa: row.leakageUa * now.readingFactor[base + k]!,
        belowFloor: row.belowFloor === 1,
        day,
        ...temperature,
      });
    }
    if (readings.length > 0) news.events.push({ kind: 'test', day, readings });
    else news.facts.push({ kind: 'left out', on, because: leftOutReasons[reason]! });
    if (now.readingFlag.subarray(base + from, base + to).includes(flag.repaired)) news.facts.push({ kind: 'slip', on });
  }
}

const seasonDay = (day: number): number => Math.floor(((day % 365.25) + 365.25) % 365.25);

/** What a segment's own events make of the growth that was known before them; null where nothing was. */
export function newsOf(frame: Frame, then: Standings, i: number, { events }: SegmentNews): OwnNews | null {
  if (then.rank[i] === 0 || events.length === 0) return null;
  return ownNews(then.reading, subjectAt(then, i, frame.rows[i]!.lengthM), events);
}

/** Ordinals of the segments of whose older readings the fit of now takes some otherwise than the fit of then did. */
export function rereadSegments(then: Standings, now: Standings): Set<number> {
  const reread = new Set<number>();
  const set = (code: number) =>
    code === flag.repaired || code === flag.duplicate || code === flag.leftOut ? code : flag.used;
  for (let i = 0; i < then.rank.length; i++) {
    const a = then.firstReading[i]!;
    const b = now.firstReading[i]!;
    for (let k = then.firstReading[i + 1]! - a - 1; k >= 0; k--)
      if (set(then.readingFlag[a + k]!) !== set(now.readingFlag[b + k]!)) {
        reread.add(i);
        break;
      }
  }
  return reread;
}

import { type FailureModel, type FailureModelResult, fitFailureModel } from '../forecast/failure/fit.ts';
import { type FailureForecast, forecastFailures, type SegmentsNow } from '../forecast/failure/forecast.ts';
import type { FailureRecords, SegmentLives, TestKnowledge } from '../forecast/failure/lives.ts';
import { insulationFamilies, interventionKinds } from '../growth/columns.ts';
import { knownThen } from '../growth/knownThen.ts';
import { failuresUpTo, spliceSpans } from '../store/columns.ts';
import { dayOf } from './days.ts';
import type { Desk } from './desk.ts';
import { eventLevels } from './event-levels.ts';
import { type ColumnsRead, readColumns } from './fleet-columns.ts';
import { type Standings, standingsAsOf } from './standings.ts';

const yearDays = 365.25;
/** Causes that say nothing about the cable. */
const outside = /\bdig|excavat|third.?party|vandal|vehicle/i;

export interface FailureRisk {
  readonly model: FailureModelResult;
  /** Null where the model cannot be had. */
  readonly forecast: FailureForecast | null;
  /** What the model was asked about, in the standings' order. */
  readonly now: SegmentsNow;
  /** The day from which failures are taken to have been recorded. */
  readonly recordsBegin: string | null;
  readonly failures: FailuresOnRecord;
}

/** Failures on record, and how many of them the model does not learn from, by reason. */
export interface FailuresOnRecord {
  readonly total: number;
  readonly notCounted: readonly { readonly because: string; readonly failures: number }[];
}

/** A life of a segment: since energising, or since its section was replaced. */
interface Life {
  readonly segment: number;
  readonly startDay: number;
  readonly endDay: number;
}

function livesOf(read: ColumnsRead): Life[] {
  const { segments, interventions, asOfDay } = read.columns;
  const replaced = interventionKinds.indexOf('section_replaced');
  const lives: Life[] = [];
  let k = 0;
  for (let s = 0; s < segments.count; s++) {
    const retiredOn = read.segments[s]!.retiredOn;
    const end = retiredOn === null ? asOfDay : Math.min(asOfDay, dayOf(retiredOn));
    let start = segments.energisedDay[s]!;
    for (; k < interventions.count && interventions.segment[k] === s; k++) {
      const day = interventions.day[k]!;
      if (interventions.kind[k] !== replaced || !(day > start)) continue;
      lives.push({ segment: s, startDay: start, endDay: day });
      start = day;
    }
    if (!Number.isNaN(start) && end > start) lives.push({ segment: s, startDay: start, endDay: end });
  }
  return lives;
}

/** Growth and level as known after each test, life by life. */
function knowledgeOf(read: ColumnsRead, standings: Standings, lives: readonly Life[]): TestKnowledge {
  const { interventions, segments } = read.columns;
  const cutsOf = new Map<number, number[]>();
  for (let k = 0; k < interventions.count; k++) {
    const list = cutsOf.get(interventions.segment[k]!) ?? [];
    list.push(interventions.day[k]!);
    cutsOf.set(interventions.segment[k]!, list);
  }
  const life: number[] = [];
  const age: number[] = [];
  const growth: number[] = [];
  const level: number[] = [];
  const days: number[] = [];
  const logs: number[] = [];
  lives.forEach((one, index) => {
    const s = one.segment;
    eventLevels(read, standings.readingAdjusted, s, days, logs);
    const cohort = standings.cohorts[standings.cohort[s]!];
    const belief = {
      mean: Math.log1p((cohort?.growthPctPerYr ?? 0) / 100),
      sd: standings.slopeSd,
      eventSd: standings.eventSd,
    };
    for (const known of knownThen(days, logs, cutsOf.get(s) ?? [], belief)) {
      if (known.day < one.startDay || known.day > one.endDay) continue;
      life.push(index);
      age.push((known.day - one.startDay) / yearDays);
      growth.push(known.growthPerYear);
      level.push(known.logLevel - Math.log(segments.limitNsPerKm[s]!));
    }
  });
  return {
    count: life.length,
    life: Int32Array.from(life),
    age: Float64Array.from(age),
    growthPerYear: Float64Array.from(growth),
    lnLevelToLimit: Float64Array.from(level),
  };
}

/** Failures of each life; the fleet's records begin with the first failure or test, whichever came first. */
function recordsOf(desk: Desk, read: ColumnsRead, standings: Standings, lives: readonly Life[]) {
  const onRecord = failuresUpTo(desk.fleet, standings.asOf);
  const rows = onRecord.filter((row) => !outside.test(row.cause ?? ''));
  const life: number[] = [];
  const age: number[] = [];
  const livesBySegment = new Map<number, number[]>();
  lives.forEach((one, index) => {
    livesBySegment.set(one.segment, [...(livesBySegment.get(one.segment) ?? []), index]);
  });
  let first = Number.POSITIVE_INFINITY;
  for (let r = 0; r < read.columns.readings.count; r++) first = Math.min(first, read.columns.readings.day[r]!);
  for (const row of rows) {
    const day = dayOf(row.failedOn);
    first = Math.min(first, day);
    for (const index of livesBySegment.get(read.ordinalById.get(row.segmentId)!) ?? []) {
      const one = lives[index]!;
      if (day < one.startDay || day > one.endDay) continue;
      life.push(index);
      age.push((day - one.startDay) / yearDays);
      break;
    }
  }
  const failures: FailureRecords = { count: life.length, life: Int32Array.from(life), age: Float64Array.from(age) };
  let withFirstDay = 0;
  const days = new Set<string>();
  life.forEach((index, f) => {
    const day = lives[index]!.startDay + age[f]! * yearDays;
    if (Math.round(day) <= Math.max(first, lives[index]!.startDay)) withFirstDay++;
    else days.add(`${index} ${Math.round(day)}`);
  });
  const notCounted = [
    { because: 'of digging or the like, which says nothing about the cable', failures: onRecord.length - rows.length },
    {
      because: 'while the segment was not in service, or is not known to have been',
      failures: rows.length - life.length,
    },
    { because: 'on the first day of the records, from which they are taken to begin', failures: withFirstDay },
    { because: 'of another phase or part on the same day', failures: life.length - withFirstDay - days.size },
  ];
  const told = { total: onRecord.length, notCounted: notCounted.filter((one) => one.failures > 0) };
  return { failures, firstDay: first, onRecord: told };
}

/** Splices per km of a segment on a day; one of unknown date is taken to have been there always. */
function splicesPerKmOn(desk: Desk, read: ColumnsRead): (segment: number, day: number) => number {
  const spans = read.segments.map(() => [] as { from: number; to: number }[]);
  for (const { segmentId, installedOn, removedOn } of spliceSpans(desk.fleet)) {
    const from = installedOn === null ? Number.NEGATIVE_INFINITY : dayOf(installedOn);
    const to = removedOn === null ? Number.POSITIVE_INFINITY : dayOf(removedOn);
    spans[read.ordinalById.get(segmentId) ?? -1]?.push({ from, to });
  }
  return (segment, day) =>
    spans[segment]!.filter(({ from, to }) => from <= day && day < to).length / read.columns.segments.lengthKm[segment]!;
}

const conductorKm = (read: ColumnsRead, s: number) =>
  read.columns.segments.lengthKm[s]! * read.segments[s]!.phases.length;

/** Fits the failure model to the fleet's own failures and forecasts each segment's chance in each coming year. */
export function failureRisk(desk: Desk, asOf: string, years: number): FailureRisk {
  const standings = standingsAsOf(desk, asOf);
  const read = readColumns(desk, asOf);
  desk.progress(0, 0, 'learning from failures');
  const lives = livesOf(read);
  const { failures, firstDay, onRecord } = recordsOf(desk, read, standings, lives);
  const splicesPerKm = splicesPerKmOn(desk, read);
  const segmentLives: SegmentLives = {
    count: lives.length,
    entryAge: Float64Array.from(lives, (one) => Math.max(0, (firstDay - one.startDay) / yearDays)),
    exitAge: Float64Array.from(lives, (one) => (one.endDay - one.startDay) / yearDays),
    family: Uint8Array.from(lives, (one) => read.columns.segments.insulation[one.segment]!),
    families: insulationFamilies,
    conductorKm: Float64Array.from(lives, (one) => conductorKm(read, one.segment)),
    // As each life came under observation: a repair adds a splice, and must not become the cause of what it mended.
    splicesPerKm: Float64Array.from(lives, (one) => splicesPerKm(one.segment, Math.max(one.startDay, firstDay))),
  };
  const model = fitFailureModel(segmentLives, failures, knowledgeOf(read, standings, lives), folds(lives.length));
  const today = Float64Array.from(read.segments, (_, s) => splicesPerKm(s, read.columns.asOfDay));
  const now = segmentsNow(read, standings, lives, today);
  return {
    model,
    forecast: model.known ? forecastYears(model as FailureModel, now, years) : null,
    now,
    recordsBegin: Number.isFinite(firstDay) ? new Date(firstDay * 86_400_000).toISOString().slice(0, 10) : null,
    failures: onRecord,
  };
}

/** Cross-validation costs a fit a fold; on very large fleets two say enough. */
const folds = (lives: number) => (lives > 20_000 ? 2 : 5);

/**
 * Year by year: each with the age of its beginning and the level that the segment's own growth has led to by then.
 * A level does not fall of itself: negative growth is read as none.
 */
function forecastYears(model: FailureModel, now: SegmentsNow, years: number): FailureForecast {
  const size = now.count * years;
  const out = { probability: new Float64Array(size), low: new Float64Array(size), high: new Float64Array(size) };
  const ageYears = Float64Array.from(now.ageYears);
  const lnLevelToLimit = Float64Array.from(now.lnLevelToLimit);
  for (let year = 0; year < years; year++) {
    const one = forecastFailures(model, { ...now, ageYears, lnLevelToLimit }, 1);
    for (let s = 0; s < now.count; s++) {
      out.probability[s * years + year] = one.probability[s]!;
      out.low[s * years + year] = one.low[s]!;
      out.high[s * years + year] = one.high[s]!;
      ageYears[s]!++;
      lnLevelToLimit[s]! += Math.max(0, now.growthPerYear[s]!);
    }
  }
  return { years, ...out };
}

function segmentsNow(
  read: ColumnsRead,
  standings: Standings,
  lives: readonly Life[],
  splicesPerKm: Float64Array,
): SegmentsNow {
  const { count } = read.columns.segments;
  const ageYears = new Float64Array(count);
  for (const one of lives) ageYears[one.segment] = (read.columns.asOfDay - one.startDay) / yearDays;
  return {
    count,
    ageYears,
    family: read.columns.segments.insulation,
    conductorKm: Float64Array.from({ length: count }, (_, s) => conductorKm(read, s)),
    splicesPerKm,
    growthPerYear: standings.growth.map((pct) => Math.log1p(pct / 100)),
    lnLevelToLimit: standings.level.map((level, s) => Math.log(level / standings.limit[s]!)),
  };
}

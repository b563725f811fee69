import { normalInverseMills, normalLogCdf, normalQuantile } from '../numerics/normal.ts';
import { mixtureCdf, mixtureQuantile } from '../numerics/normalMixture.ts';
import { conditionsShift, type ReadingBasis, type ReadingSubject } from './expectReading.ts';
import type { TakenReading } from './updateGrowth.ts';

/** A reading under the instrument's floor says only that the leakage lies below `leakageUa`. */
export interface NewReading extends TakenReading {
  readonly belowFloor: boolean;
}

/** What befell one segment after an earlier fit: a test, or work after which its level starts anew. */
export type OwnEvent =
  | { readonly kind: 'test'; readonly day: number; readonly readings: readonly NewReading[] }
  /** ln by which such work usually lowers the level, and the variance of that. */
  | { readonly kind: 'work'; readonly day: number; readonly drop: number; readonly variance: number };

/** A test against what the segment's past made of that day. */
export interface TestNews {
  readonly day: number;
  /** ln of what was read over what was expected, phases' mean; of the floor where the test lies under it. */
  readonly lnAway: number;
  /** The same in standard deviations of what was expected; 0 where the test only says 'below', as expected. */
  readonly surprise: number;
  readonly belowFloor: boolean;
}

export interface OwnNews {
  /** % per year, with the ends of the 90 % interval, after the last event. */
  readonly growthPctPerYr: number;
  readonly growthLo: number;
  readonly growthHi: number;
  readonly tests: readonly TestNews[];
}

const yearDays = 365.25;
/** Six standard deviations as a probability. */
const furthest = 1e-9;
const pct = (logGrowth: number) => 100 * Math.expm1(logGrowth);

interface Part {
  weight: number;
  level: number;
  slope: number;
  levelVariance: number;
  covariance: number;
  slopeVariance: number;
}

/**
 * What a segment's own events since an earlier fit make of its growth, one after another, with everything that the
 * fleet shares held as it was fitted then (Bayes' rule on each part of the segment's mixture). Approximate in the same
 * ways as `updateGrowth`; most phases under the floor make the test a ceiling at the highest of them. `events` in order
 * of their days; a test has at least one reading.
 */
export function ownNews(basis: ReadingBasis, subject: ReadingSubject, events: readonly OwnEvent[]): OwnNews {
  const parts = partsOf(subject);
  const tests: TestNews[] = [];
  for (const event of events) {
    if (event.kind === 'test') {
      tests.push(takeTest(basis, subject, parts, event.readings));
      continue;
    }
    for (const part of parts) {
      part.level -= event.drop;
      part.levelVariance += event.variance;
    }
  }
  const weight = Float64Array.from(parts, (part) => part.weight);
  const slope = Float64Array.from(parts, (part) => part.slope);
  const sd = Float64Array.from(parts, (part) => Math.sqrt(part.slopeVariance));
  const at = (p: number) => mixtureQuantile(weight, slope, sd, 0, parts.length, p);
  const mean = parts.reduce((sum, part) => sum + part.weight * part.slope, 0);
  return {
    // Midway between mean and median, as the ranking's own number.
    growthPctPerYr: pct(0.5 * (mean + at(0.5))),
    growthLo: pct(at(0.05)),
    growthHi: pct(at(0.95)),
    tests,
  };
}

function partsOf({ posterior, at }: ReadingSubject): Part[] {
  return Array.from({ length: posterior.parts }, (_, k) => {
    const from = at * posterior.parts + k;
    return {
      weight: posterior.weight[from]!,
      level: posterior.level[from]!,
      slope: posterior.slope[from]!,
      levelVariance: posterior.levelVariance[from]!,
      covariance: posterior.covariance[from]!,
      slopeVariance: posterior.slopeVariance[from]!,
    };
  });
}

/** The test as one observation of the phases' mean: value or ceiling, and the variance of its errors. */
function observation(basis: ReadingBasis, subject: ReadingSubject, readings: readonly NewReading[], time: number) {
  const ceilings = readings.filter((reading) => reading.belowFloor).length;
  const belowFloor = 2 * ceilings > readings.length;
  const counted = readings.filter((reading) => reading.belowFloor === belowFloor);
  const first = counted[0]!;
  let value = belowFloor ? Number.NEGATIVE_INFINITY : 0;
  let variance = 0;
  for (const reading of counted) {
    const phase = 3 * subject.at + reading.phase;
    const beside = subject.phases.level[phase]! + subject.phases.slope[phase]! * time;
    const level =
      Math.log(reading.leakageUa / (reading.voltageKv * subject.lengthKm)) -
      conditionsShift(basis, subject, reading) -
      beside;
    value = belowFloor ? Math.max(value, level) : value + level / counted.length;
    variance += (basis.readingVariance + subject.phases.variance[phase]!) / counted.length ** 2;
  }
  const temperature = basis.temperature[subject.insulation];
  if (temperature)
    variance +=
      temperature.variance * (first.insulationTempC - 20) ** 2 +
      temperature.perC ** 2 * (first.temperatureVariance ?? 0);
  return { value, variance: variance + basis.eventVariance, belowFloor };
}

/** Takes a test into the parts and says how it lay against what they expected. */
function takeTest(
  basis: ReadingBasis,
  subject: ReadingSubject,
  parts: readonly Part[],
  readings: readonly NewReading[],
): TestNews {
  const { day } = readings[0]!;
  const time = (day - basis.asOfDay) / yearDays;
  const seen = observation(basis, subject, readings, time);
  const mean = parts.map((part) => part.level + time * part.slope);
  const variance = parts.map(
    (part) => part.levelVariance + 2 * time * part.covariance + time * time * part.slopeVariance + seen.variance,
  );
  const news = against(parts, mean, variance, seen, day);
  let top = Number.NEGATIVE_INFINITY;
  const logWeight = parts.map((part, k) => {
    const sd = Math.sqrt(variance[k]!);
    const z = (seen.value - mean[k]!) / sd;
    const fits = seen.belowFloor ? normalLogCdf(z) : -0.5 * z * z - Math.log(sd);
    const log = Math.log(part.weight) + fits;
    top = Math.max(top, log);
    // A ceiling leaves the line a truncated normal: its mean and variance stand for it.
    const hazard = seen.belowFloor ? normalInverseMills(z) : 0;
    const miss = seen.belowFloor ? -sd * hazard : seen.value - mean[k]!;
    const learned = seen.belowFloor ? hazard * (hazard + z) : 1;
    const levelGain = (part.levelVariance + time * part.covariance) / variance[k]!;
    const slopeGain = (part.covariance + time * part.slopeVariance) / variance[k]!;
    part.level += levelGain * miss;
    part.slope += slopeGain * miss;
    part.levelVariance -= learned * levelGain ** 2 * variance[k]!;
    part.covariance -= learned * levelGain * slopeGain * variance[k]!;
    part.slopeVariance -= learned * slopeGain ** 2 * variance[k]!;
    return log;
  });
  let total = 0;
  parts.forEach((part, k) => {
    part.weight = Math.exp(logWeight[k]! - top);
    total += part.weight;
  });
  for (const part of parts) part.weight /= total;
  return news;
}

/** The value as the deviate of a normal that leaves as much below it; six at most, beyond which no size is meant. */
function deviateOf(weight: Float64Array, mean: Float64Array, sd: Float64Array, value: number): number {
  const below = mixtureCdf(weight, mean, sd, 0, weight.length, value);
  return normalQuantile(Math.max(furthest, Math.min(1 - furthest, below)));
}

function against(
  parts: readonly Part[],
  means: readonly number[],
  variances: readonly number[],
  seen: { value: number; belowFloor: boolean },
  day: number,
): TestNews {
  const weight = Float64Array.from(parts, (part) => part.weight);
  const mean = Float64Array.from(means);
  const sd = Float64Array.from(variances, Math.sqrt);
  const lnAway = seen.value - mixtureQuantile(weight, mean, sd, 0, parts.length, 0.5);
  const surprise = deviateOf(weight, mean, sd, seen.value);
  // 'Below the floor' is news only where more than the floor was expected.
  return { day, lnAway, surprise: seen.belowFloor ? Math.min(0, surprise) : surprise, belowFloor: seen.belowFloor };
}

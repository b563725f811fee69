import { mixtureQuantile } from '../numerics/normalMixture.ts';
import { conditionsShift, type PlannedAt, type ReadingBasis, type ReadingSubject } from './expectReading.ts';

export interface TakenReading extends PlannedAt {
  readonly leakageUa: number;
}

/** Growth and level of one segment as the ranking shows them. */
export interface UpdatedGrowth {
  /** % per year, with the ends of the 90 % interval. */
  readonly growthPctPerYr: number;
  readonly growthLo: number;
  readonly growthHi: number;
  /** nS/km at 20 °C as of the fit's day. */
  readonly levelNsPerKm: number;
  readonly levelLo: number;
  readonly levelHi: number;
}

const yearDays = 365.25;
const pct = (logGrowth: number) => 100 * Math.expm1(logGrowth);

/**
 * What the readings of one test would make of a segment's level and growth: Bayes' rule on each part of its mixture,
 * the mean of the phases as one observation. Approximate: temperature, spreads and phases stay as they were fitted, and
 * a reading off by a thousand is taken as it stands. Readings of one test day; at least one.
 */
export function updateGrowth(
  basis: ReadingBasis,
  subject: ReadingSubject,
  readings: readonly TakenReading[],
): UpdatedGrowth {
  const { posterior, phases, at: segment } = subject;
  const { parts } = posterior;
  const first = readings[0]!;
  const time = (first.day - basis.asOfDay) / yearDays;
  let observed = 0;
  let phaseVariance = 0;
  for (const reading of readings) {
    const phase = 3 * segment + reading.phase;
    const level = Math.log(reading.leakageUa / (reading.voltageKv * subject.lengthKm));
    const beside = phases.level[phase]! + phases.slope[phase]! * time;
    observed += (level - conditionsShift(basis, subject, reading) - beside) / readings.length;
    phaseVariance += (basis.readingVariance + phases.variance[phase]!) / readings.length ** 2;
  }
  const temperature = basis.temperature[subject.insulation];
  const doubt = temperature
    ? temperature.variance * (first.insulationTempC - 20) ** 2 +
      temperature.perC ** 2 * (first.temperatureVariance ?? 0)
    : 0;
  const noise = basis.eventVariance + phaseVariance + doubt;
  const made = () => new Float64Array(parts);
  const [logWeight, level, slope, levelSd, slopeSd] = [made(), made(), made(), made(), made()];
  let top = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < parts; k++) {
    const from = segment * parts + k;
    const [a, c, b] = [posterior.levelVariance[from]!, posterior.covariance[from]!, posterior.slopeVariance[from]!];
    const levelGain = a + time * c;
    const slopeGain = c + time * b;
    const spread = levelGain + time * slopeGain + noise;
    const miss = observed - posterior.level[from]! - time * posterior.slope[from]!;
    level[k] = posterior.level[from]! + (levelGain * miss) / spread;
    slope[k] = posterior.slope[from]! + (slopeGain * miss) / spread;
    levelSd[k] = Math.sqrt(Math.max(0, a - levelGain ** 2 / spread));
    slopeSd[k] = Math.sqrt(Math.max(0, b - slopeGain ** 2 / spread));
    logWeight[k] = Math.log(posterior.weight[from]!) - 0.5 * (Math.log(spread) + miss ** 2 / spread);
    top = Math.max(top, logWeight[k]!);
  }
  const weight = logWeight.map((w) => Math.exp(w - top));
  const total = weight.reduce((sum, w) => sum + w, 0);
  let mean = 0;
  for (let k = 0; k < parts; k++) {
    weight[k]! /= total;
    mean += weight[k]! * slope[k]!;
  }
  const slopeAt = (p: number) => mixtureQuantile(weight, slope, slopeSd, 0, parts, p);
  const levelAt = (p: number) => Math.exp(mixtureQuantile(weight, level, levelSd, 0, parts, p));
  return {
    // Midway between mean and median, as the ranking's own number.
    growthPctPerYr: pct(0.5 * (mean + slopeAt(0.5))),
    growthLo: pct(slopeAt(0.05)),
    growthHi: pct(slopeAt(0.95)),
    levelNsPerKm: levelAt(0.5),
    levelLo: levelAt(0.05),
    levelHi: levelAt(0.95),
  };
}

import { mixtureCdf, mixtureQuantile } from '../numerics/normalMixture.ts';
import { insulationFamilies } from './columns.ts';
import type { GrowthFit, GrowthPosterior } from './growthFit.ts';
import type { FittedModel } from './model.ts';
import { contrastAt, contrastSlope } from './phaseContrasts.ts';
import type { ExpectedReading, PlannedReading } from './predictReading.ts';
import { voltageBend } from './voltageBend.ts';

/** A reading as it is planned; the temperature may be a guess. */
export interface PlannedAt extends PlannedReading {
  /** Doubt about the temperature where it is a guess, °C²; nothing where it is measured. */
  readonly temperatureVariance?: number;
}

/** What the whole fleet teaches about one reading. Plain numbers, to be kept without the fit. */
export interface ReadingBasis {
  readonly asOfDay: number;
  readonly usualDwellMin: number;
  /** ln leakage per ln voltage beyond proportion, and per ln dwell; 0 where not in the model. */
  readonly voltageExponent: number;
  /** ln leakage per unit of `voltageBend`; 0 where not in the model. */
  readonly voltageCurve: number;
  readonly dwellExponent: number;
  /** ln leakage per °C by insulation family, with its variance; null where none is in the model. */
  readonly temperature: readonly ({ readonly perC: number; readonly variance: number } | null)[];
  /** Variance of a test day about the segment's line, and of one phase about its test. */
  readonly eventVariance: number;
  readonly readingVariance: number;
}

/** What one phase of a segment does beside the mean of its three: ln today, per year, and the doubt about it. */
export interface PhaseBasis {
  readonly level: Float32Array;
  readonly slope: Float32Array;
  readonly variance: Float32Array;
}

/** A segment as a reading of it is foretold; arrays of parts as in `GrowthPosterior`, `3 · at + phase` as in `PhaseBasis`. */
export interface ReadingSubject {
  readonly at: number;
  readonly posterior: GrowthPosterior;
  readonly phases: PhaseBasis;
  /** Index into `insulationFamilies`. */
  readonly insulation: number;
  readonly lengthKm: number;
  /** Usual maintenance voltage of its class, kV; NaN where nothing was measured on the class. */
  readonly usualKv: number;
}

const yearDays = 365.25;

export function readingBasis(model: FittedModel): ReadingBasis {
  const { fit, rows, events, contrasts, columns } = model;
  const { layout } = rows;
  const effect = (at: number) => (at < 0 ? 0 : fit.fixed[at]!);
  return {
    asOfDay: columns.asOfDay,
    usualDwellMin: events.usualDwellMin,
    voltageExponent: effect(layout.voltage),
    voltageCurve: effect(layout.voltageCurve),
    dwellExponent: effect(layout.dwell),
    temperature: insulationFamilies.map((_, family) => {
      const at = layout.temperature[family]!;
      return at < 0 ? null : { perC: fit.fixed[at]!, variance: fit.fixedCovariance[at * layout.count + at]! };
    }),
    eventVariance: fit.variances.errorVariance,
    readingVariance: contrasts.readingVariance,
  };
}

/** Exact from four years before the as-of day on: earlier, a phase that bent since then bends back. */
export function phaseBasis({ columns, contrasts, events }: FittedModel): PhaseBasis {
  const { count } = columns.segments;
  const basis: PhaseBasis = {
    level: new Float32Array(3 * count),
    slope: new Float32Array(3 * count),
    variance: Float32Array.from(contrasts.levelVariance),
  };
  for (let s = 0; s < count; s++) {
    const first = events.segmentStart[s]!;
    if (first === events.segmentStart[s + 1]!) continue;
    let level = 0;
    let slope = 0;
    for (let phase = 0; phase < 3; phase++) {
      level += contrastAt(contrasts, s, phase, 0) / 3;
      slope += contrastSlope(contrasts, s, phase) / 3;
    }
    for (let phase = 0; phase < 3; phase++) {
      basis.level[3 * s + phase] = contrastAt(contrasts, s, phase, 0) - level;
      basis.slope[3 * s + phase] = contrastSlope(contrasts, s, phase) - slope;
    }
  }
  return basis;
}

/** ln of what temperature, voltage and dwell make of a level at 20 °C, usual voltage and usual dwell. */
export function conditionsShift(basis: ReadingBasis, subject: ReadingSubject, planned: PlannedAt): number {
  const temperature = basis.temperature[subject.insulation];
  if (!temperature) return 0;
  let shift = temperature.perC * (planned.insulationTempC - 20);
  if (!Number.isNaN(subject.usualKv)) {
    const log = Math.log(planned.voltageKv / subject.usualKv);
    shift += basis.voltageExponent * log + basis.voltageCurve * voltageBend(log);
  }
  if (planned.dwellMin > 0) shift += basis.dwellExponent * Math.log(planned.dwellMin / basis.usualDwellMin);
  return shift;
}

/** The reading of one phase as a mixture of normals of ln(µA ÷ kV ÷ km), or why there is none. */
export type ReadingForecast =
  | {
      readonly known: true;
      readonly weight: Float64Array;
      readonly mean: Float64Array;
      readonly sd: Float64Array;
      readonly scale: number;
    }
  | { readonly known: false; readonly because: string };

/**
 * Level and growth, the day's error and the phase's, and the doubt about the temperature and its coefficient. Ordinary
 * use only: it knows nothing of what was done to the cable since its last test.
 */
export function forecastReading(basis: ReadingBasis, subject: ReadingSubject, planned: PlannedAt): ReadingForecast {
  const { posterior, phases, at: segment } = subject;
  const { parts } = posterior;
  const weight = posterior.weight.subarray(segment * parts, (segment + 1) * parts);
  if (!weight.some((w) => w > 0)) return { known: false, because: 'no usable reading of this segment' };
  if (!(planned.voltageKv > 0)) return { known: false, because: 'the test voltage is not known' };
  const time = (planned.day - basis.asOfDay) / yearDays;
  const phase = 3 * segment + planned.phase;
  const shift = conditionsShift(basis, subject, planned) + phases.level[phase]! + phases.slope[phase]! * time;
  let doubt = basis.eventVariance + basis.readingVariance + phases.variance[phase]!;
  const temperature = basis.temperature[subject.insulation];
  if (temperature)
    doubt +=
      temperature.variance * (planned.insulationTempC - 20) ** 2 +
      temperature.perC ** 2 * (planned.temperatureVariance ?? 0);
  const mean = new Float64Array(parts);
  const sd = new Float64Array(parts);
  for (let k = 0; k < parts; k++) {
    const at = segment * parts + k;
    mean[k] = posterior.level[at]! + time * posterior.slope[at]! + shift;
    const variance =
      posterior.levelVariance[at]! + 2 * time * posterior.covariance[at]! + time * time * posterior.slopeVariance[at]!;
    sd[k] = Math.sqrt(Math.max(0, variance) + doubt);
  }
  return { known: true, weight, mean, sd, scale: planned.voltageKv * subject.lengthKm };
}

/** The reading, µA, under which the share `p` of such readings lies. */
export const readingQuantile = (forecast: ReadingForecast & { known: true }, p: number): number =>
  forecast.scale * Math.exp(mixtureQuantile(forecast.weight, forecast.mean, forecast.sd, 0, forecast.mean.length, p));

/** The share of such readings that lies under `leakageUa`. */
export const readingPlace = (forecast: ReadingForecast & { known: true }, leakageUa: number): number =>
  mixtureCdf(
    forecast.weight,
    forecast.mean,
    forecast.sd,
    0,
    forecast.mean.length,
    Math.log(leakageUa / forecast.scale),
  );

/** The reading to expect, µA, with its 90 % interval: `predictReading` from what is kept of a fit. */
export function expectReading(basis: ReadingBasis, subject: ReadingSubject, planned: PlannedAt): ExpectedReading {
  const forecast = forecastReading(basis, subject, planned);
  if (!forecast.known) return forecast;
  const [loUa, medianUa, hiUa] = [0.05, 0.5, 0.95].map((p) => readingQuantile(forecast, p)) as [number, number, number];
  return { known: true, medianUa, loUa, hiUa };
}

/** A segment of a fit as a subject. */
export const subjectOf = (fit: GrowthFit, phases: PhaseBasis, segment: number): ReadingSubject => ({
  at: segment,
  posterior: fit.posterior,
  phases,
  insulation: fit.model.columns.segments.insulation[segment]!,
  lengthKm: fit.model.columns.segments.lengthKm[segment]!,
  usualKv: fit.model.events.usualKv[segment]!,
});

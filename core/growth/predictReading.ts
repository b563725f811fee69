import { mixtureQuantile } from '../numerics/normalMixture.ts';
import type { GrowthFit } from './growthFit.ts';
import { contrastAt } from './phaseContrasts.ts';
import { voltageBend } from './voltageBend.ts';

/** How the reading is to be taken. */
export interface PlannedReading {
  /** 0, 1, 2 for phase A, B, C. */
  readonly phase: number;
  readonly voltageKv: number;
  readonly dwellMin: number;
  readonly insulationTempC: number;
  /** Days since 1970-01-01. */
  readonly day: number;
}

export type ExpectedReading =
  | { readonly known: true; readonly medianUa: number; readonly loUa: number; readonly hiUa: number }
  | { readonly known: false; readonly because: string };

const yearDays = 365.25;

/**
 * The reading to expect, µA, with its 90 % interval: level and growth, the day's error and the phase's, and the doubt
 * about the temperature coefficient. Ordinary use only: it knows nothing of what was done to the cable since.
 */
export function predictReading(fit: GrowthFit, segment: number, planned: PlannedReading): ExpectedReading {
  const { model, posterior } = fit;
  const { columns, events, rows, contrasts } = model;
  const { layout } = rows;
  const first = events.segmentStart[segment]!;
  if (first === events.segmentStart[segment + 1]!)
    return { known: false, because: 'no usable reading of this segment' };
  if (!(planned.voltageKv > 0)) return { known: false, because: 'the test voltage is not known' };
  const time = (planned.day - columns.asOfDay) / yearDays;
  let correction = 0;
  let doubt = model.fit.variances.errorVariance + contrasts.readingVariance;
  const temperature = layout.temperature[columns.segments.insulation[segment]!]!;
  if (temperature >= 0) {
    const warm = planned.insulationTempC - 20;
    correction += model.fit.fixed[temperature]! * warm;
    doubt += model.fit.fixedCovariance[temperature * layout.count + temperature]! * warm * warm;
    const usualKv = events.usualKv[segment]!;
    if (!Number.isNaN(usualKv)) {
      const log = Math.log(planned.voltageKv / usualKv);
      correction += model.fit.fixed[layout.voltage]! * log;
      if (layout.voltageCurve >= 0) correction += model.fit.fixed[layout.voltageCurve]! * voltageBend(log);
    }
    if (planned.dwellMin > 0) {
      correction += model.fit.fixed[layout.dwell]! * Math.log(planned.dwellMin / events.usualDwellMin);
    }
  }
  let contrast = 0;
  for (let phase = 0; phase < 3; phase++) {
    const own = contrastAt(contrasts, segment, phase, time);
    contrast += (phase === planned.phase ? 1 : 0) * own - own / 3;
  }
  doubt += contrasts.levelVariance[3 * segment + planned.phase]!;
  const { parts } = posterior;
  const mean = new Float64Array(parts);
  const sd = new Float64Array(parts);
  for (let k = 0; k < parts; k++) {
    const at = segment * parts + k;
    mean[k] = posterior.level[at]! + time * posterior.slope[at]! + correction + contrast;
    const variance =
      posterior.levelVariance[at]! + 2 * time * posterior.covariance[at]! + time * time * posterior.slopeVariance[at]!;
    sd[k] = Math.sqrt(Math.max(0, variance) + doubt);
  }
  const weight = posterior.weight.subarray(segment * parts, (segment + 1) * parts);
  const scale = planned.voltageKv * columns.segments.lengthKm[segment]!;
  const at = (p: number) => scale * Math.exp(mixtureQuantile(weight, mean, sd, 0, parts, p));
  return { known: true, medianUa: at(0.5), loUa: at(0.05), hiUa: at(0.95) };
}

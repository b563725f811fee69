import { leastSquaresSmall } from '../../numerics/leastSquaresSmall.ts';
import { theilSen } from '../../numerics/theilSen.ts';
import type { FleetColumns } from '../columns.ts';
import { fitGrowth } from '../fitGrowth.ts';
import type { GrowthFit } from '../growthFit.ts';
import { temperaturePrior } from '../temperaturePrior.ts';

/** Each segment's slope by methods that know nothing of the fleet; NaN under two events. */
export interface PlainSlopes {
  /** Least squares through the raw microamperes, per year. */
  readonly rawLeastSquares: Float64Array;
  /** Least squares and Theil–Sen through ln specific leakage at 20 °C by the tables. */
  readonly leastSquares: Float64Array;
  readonly theilSen: Float64Array;
}

const yearDays = 365.25;
/** °C taken where no temperature is known: what most programs do. */
const assumedC = 15;

export function plainSlopes(columns: FleetColumns): PlainSlopes {
  const { readings, segments } = columns;
  const out = {
    rawLeastSquares: new Float64Array(segments.count).fill(Number.NaN),
    leastSquares: new Float64Array(segments.count).fill(Number.NaN),
    theilSen: new Float64Array(segments.count).fill(Number.NaN),
  };
  let r = 0;
  for (let s = 0; s < segments.count; s++) {
    while (r < readings.count && readings.segment[r]! < s) r++;
    const time: number[] = [];
    const raw: number[] = [];
    const log: number[] = [];
    const perC = temperaturePrior(segments.insulation[s]!).perC;
    while (r < readings.count && readings.segment[r] === s) {
      const event = readings.event[r]!;
      const start = r;
      let sum = 0;
      let logs = 0;
      for (; r < readings.count && readings.event[r] === event; r++) {
        const warm = readings.insulationTempC[r]!;
        sum += readings.leakageUa[r]!;
        logs += Math.log(readings.leakageUa[r]! / readings.voltageKv[r]! / segments.lengthKm[s]!);
        logs -= perC * ((Number.isNaN(warm) ? assumedC : warm) - 20);
      }
      time.push((readings.day[start]! - columns.asOfDay) / yearDays);
      raw.push(sum / (r - start));
      log.push(logs / (r - start));
    }
    if (new Set(time).size < 2) continue;
    out.rawLeastSquares[s] = straight(time, raw);
    out.leastSquares[s] = straight(time, log);
    const median = theilSen(time, log);
    if (median.known) out.theilSen[s] = median.slope;
  }
  return out;
}

function straight(time: readonly number[], y: readonly number[]): number {
  const line = leastSquaresSmall(2);
  for (let i = 0; i < time.length; i++) line.add([1, time[i]!], y[i]!);
  if (time.length > 2) return line.solve()?.coefficients[1] ?? Number.NaN;
  return (y[1]! - y[0]!) / (time[1]! - time[0]!);
}

/** The mixed model with temperature, voltage and dwell, and nothing else: readings under the floor at the floor. */
export function plainMixedModel(columns: FleetColumns, onProgress: (share: number) => void = () => {}): GrowthFit {
  const { readings } = columns;
  return fitGrowth(
    { ...columns, readings: { ...readings, belowFloor: new Uint8Array(readings.count) } },
    {
      repairSlips: false,
      downWeightPhases: false,
      phaseContrasts: false,
      censoring: false,
      rounding: false,
      voltageCurve: false,
      interventions: false,
      mixture: false,
    },
    onProgress,
  );
}

import { interventionKinds } from './columns.ts';
import type { ReadingGrowth } from './growthFit.ts';
import type { FittedModel } from './model.ts';
import { voltageBend } from './voltageBend.ts';

/** ln by which a test's temperature, voltage and dwell raised it over 20 °C, the usual voltage and dwell. */
export function testCorrection(model: FittedModel, event: number): number {
  const { rows, fit, events, columns } = model;
  const { layout } = rows;
  const temperature = layout.temperature[columns.segments.insulation[events.segment[event]!]!]!;
  if (temperature < 0) return 0;
  return (
    fit.fixed[temperature]! * (events.temperatureC[event]! - 20) +
    fit.fixed[layout.voltage]! * events.logVoltage[event]! +
    (layout.voltageCurve < 0 ? 0 : fit.fixed[layout.voltageCurve]! * voltageBend(events.logVoltage[event]!)) +
    fit.fixed[layout.dwell]! * events.logDwell[event]!
  );
}

/** ln by which a test lies above the present era: the usual drops of the interventions after it. */
export function eraCorrection(model: FittedModel, event: number): number {
  const { rows, fit, events } = model;
  const { columnStart, columnIndex, valueStart, values, rowStart } = rows.rows;
  const segment = events.segment[event]!;
  const width = columnStart[segment + 1]! - columnStart[segment]!;
  const from = valueStart[segment]! + (event - rowStart[segment]!) * width;
  let sum = 0;
  for (let k = 0; k < interventionKinds.length; k++) {
    const index = rows.layout.jump[k]!;
    if (index < 0) continue;
    for (let j = 0; j < width; j++) {
      if (columnIndex[columnStart[segment]! + j] === index) sum += fit.fixed[index]! * values[from + j]!;
    }
  }
  return sum;
}

/** Every reading as the model sees it. */
export function describeReadings(model: FittedModel): ReadingGrowth {
  const { prepared, events, shift, expectation, rows, columns } = model;
  const n = columns.readings.count;
  const adjustedNsPerKm = new Float64Array(n).fill(Number.NaN);
  const surprise = new Float64Array(n).fill(Number.NaN);
  const factor = new Float64Array(n).fill(1);
  for (let e = 0; e < events.count; e++) {
    const correction = testCorrection(model, e);
    const sd = Math.sqrt(expectation.variance[e]! + rows.extraVariance[e]!);
    const away = (rows.response[e]! - expectation.mean[e]!) / sd;
    for (let r = events.readingStart[e]!; r < events.readingEnd[e]!; r++) {
      if (Number.isNaN(prepared.log[r]!)) continue;
      adjustedNsPerKm[r] = Math.exp(prepared.log[r]! + shift[r]! - correction);
      surprise[r] = away;
      factor[r] = (columns.decisions?.factor[r] ?? 1) * 10 ** Math.round(shift[r]! / Math.LN10);
    }
  }
  return { adjustedNsPerKm, flag: prepared.flag, reason: prepared.reason, factor, surprise };
}

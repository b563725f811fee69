import type { MixedModelFit } from '../numerics/mixedModel.ts';
import { assembleGroup, groupScratch, writeRandomRow } from '../numerics/mixedModelGroup.ts';
import type { AgerInput, AgerParameters } from './agerParameters.ts';
import { AgerRoom } from './agerRoom.ts';
import type { EventRows } from './eventRows.ts';
import type { EventExpectation } from './slips.ts';
import type { TestEvents } from './testEvents.ts';

/** Response less the fixed effects. */
export function residuals(rows: EventRows, theta: Float64Array): Float64Array {
  const { rowStart, columnStart, columnIndex, valueStart, values, groupCount, response } = rows.rows;
  const out = new Float64Array(response.length);
  for (let g = 0; g < groupCount; g++) {
    const p = columnStart[g + 1]! - columnStart[g]!;
    let value = valueStart[g]!;
    for (let row = rowStart[g]!; row < rowStart[g + 1]!; row++) {
      let sum = response[row]!;
      for (let j = 0; j < p; j++) sum -= values[value + j]! * theta[columnIndex[columnStart[g]! + j]!]!;
      out[row] = sum;
      value += p;
    }
  }
  return out;
}

/** The event's expectation from the rest of its segment, its own row taken out again; σ² included. */
function takeOut(
  mean: number,
  variance: number,
  response: number,
  errorVariance: number,
  extra: number,
  e: number,
  out: EventExpectation,
): void {
  const w = 1 / (errorVariance + extra);
  const precision = Math.max(1 / variance - w, 1e-3 / variance);
  out.mean[e] = (mean / variance - w * response) / precision;
  out.variance[e] = 1 / precision + errorVariance;
}

/** Expectations under the mixed model alone, for every n-th segment (`every`). */
export function cavities(rows: EventRows, events: TestEvents, fit: MixedModelFit, every: number): EventExpectation {
  const out = { mean: new Float64Array(events.count), variance: new Float64Array(events.count) };
  let width = 1;
  const { rowStart, columnStart, columnIndex, valueStart, values, groupCount } = rows.rows;
  for (let g = 0; g < groupCount; g++) width = Math.max(width, columnStart[g + 1]! - columnStart[g]!);
  const scratch = groupScratch(width);
  const u = new Float64Array(6);
  for (let g = 0; g < groupCount; g += every) {
    if (rowStart[g] === rowStart[g + 1]) continue;
    assembleGroup(rows.rows, g, fit.variances, scratch);
    const { random: d, fixed: p, s, sb, c, z } = scratch;
    for (let i = 0; i < d; i++) {
      let sum = 0;
      for (let j = 0; j < d; j++) sum += s[i * d + j]! * c[j]!;
      for (let j = 0; j < p; j++) sum -= sb[i * p + j]! * fit.fixed[columnIndex[columnStart[g]! + j]!]!;
      u[i] = sum;
    }
    let value = valueStart[g]!;
    for (let row = rowStart[g]!; row < rowStart[g + 1]!; row++) {
      writeRandomRow(rows.rows, row, d, z);
      let mean = 0;
      for (let j = 0; j < p; j++) mean += values[value + j]! * fit.fixed[columnIndex[columnStart[g]! + j]!]!;
      let variance = 0;
      for (let i = 0; i < d; i++) {
        mean += z[i]! * u[i]!;
        for (let j = 0; j < d; j++) variance += z[i]! * z[j]! * s[i * d + j]!;
      }
      takeOut(mean, variance, rows.response[row]!, fit.variances.errorVariance, rows.extraVariance[row]!, row, out);
      value += p;
    }
  }
  return out;
}

/** Expectations under the ways of ageing, for every n-th segment (`every`). */
export function mixtureCavities(
  input: AgerInput,
  events: TestEvents,
  agers: AgerParameters,
  rows: EventRows,
  fit: MixedModelFit,
  every: number,
): EventExpectation {
  const out = { mean: new Float64Array(events.count), variance: new Float64Array(events.count) };
  const room = new AgerRoom(input, agers);
  const line = { mean: 0, variance: 0 };
  for (let s = 0; s < rows.rows.groupCount; s += every) {
    if (!room.solve(s)) continue;
    for (let row = rows.rows.rowStart[s]!; row < rows.rows.rowStart[s + 1]!; row++) {
      room.line(row, line);
      const fixedPart = rows.response[row]! - input.residual[row]!;
      takeOut(
        line.mean + fixedPart,
        line.variance,
        rows.response[row]!,
        fit.variances.errorVariance,
        rows.extraVariance[row]!,
        row,
        out,
      );
    }
  }
  return out;
}

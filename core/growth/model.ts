import { fitMixedModel, type MixedModelFit } from '../numerics/mixedModel.ts';
import { assembleGroup, groupScratch, type VarianceComponents, writeRandomRow } from '../numerics/mixedModelGroup.ts';
import { type AgerInput, type AgerParameters, AgerRoom, firstGuess, fitAgers, ordinaryOnly } from './agers.ts';
import { type Cohorts, formCohorts } from './cohorts.ts';
import type { FleetColumns } from './columns.ts';
import { buildEventRows, type EventRows } from './eventRows.ts';
import { type EventInputs, type EventStates, updateEventValues } from './eventValues.ts';
import { normaliseReadings, type PreparedReadings } from './normalise.ts';
import type { GrowthSettings } from './options.ts';
import { fitPhaseContrasts, noPhaseContrasts, type PhaseContrasts } from './phaseContrasts.ts';
import { type EventExpectation, judgeSlips, roughExpectation } from './slips.ts';
import { temperaturePrior } from './temperaturePrior.ts';
import { gatherEvents, type TestEvents } from './testEvents.ts';

/** Everything the fit has learned, before it is told per segment. */
export interface FittedModel {
  readonly columns: FleetColumns;
  readonly settings: GrowthSettings;
  readonly prepared: PreparedReadings;
  readonly events: TestEvents;
  readonly cohorts: Cohorts;
  readonly contrasts: PhaseContrasts;
  /** ln repair of each reading. */
  readonly shift: Float64Array;
  readonly rows: EventRows;
  readonly fit: MixedModelFit;
  readonly agers: AgerParameters;
  readonly agerInput: AgerInput;
  readonly states: EventStates;
  readonly expectation: EventExpectation;
  readonly strayShare: number;
  readonly passes: number;
  readonly mixturePasses: number;
}

const strayVariance = 4;
const slipRounds = 3;
const valueRounds = 4;
/** Groups used in the rough passes over a very large fleet. */
const roughGroups = 25_000;
/** Segments in the rough and the fine passes of the mixture. */
const roughSegments = 4_000;
const fineSegments = 16_000;

export function fitModel(
  columns: FleetColumns,
  settings: GrowthSettings,
  onProgress: (share: number) => void,
): FittedModel {
  const prepared = normaliseReadings(columns, settings);
  const events = gatherEvents(columns, prepared);
  const tested = new Uint8Array(columns.segments.count);
  for (let e = 0; e < events.count; e++) tested[events.segment[e]!] = 1;
  const cohorts = formCohorts(columns.segments, tested, settings.smallestCohort);
  onProgress(0.1);

  const shift = new Float64Array(columns.readings.count);
  let contrasts = noPhaseContrasts(columns.segments.count);
  let expectation = roughExpectation(columns, prepared, events, cohorts);
  if (settings.repairSlips) judgeSlips(columns, prepared, events, contrasts, expectation, shift);
  if (settings.phaseContrasts) contrasts = fitPhaseContrasts(columns, prepared, events, shift);
  onProgress(0.25);

  const rows = buildEventRows(columns, events, cohorts, settings);
  const states: EventStates = { censored: new Uint8Array(events.count), phases: new Uint8Array(events.count) };
  let strayShare = settings.downWeightPhases ? 0.01 : 0;
  const inputs = (): EventInputs => ({
    columns,
    prepared,
    events,
    contrasts,
    shift,
    strays: { share: strayShare, variance: strayVariance },
  });
  const { segments } = columns;
  let temperatureSlope = (s: number) => temperaturePrior(segments.insulation[s]!).perC;
  updateEventValues(inputs(), rows, temperatureSlope, expectation, 1, states);

  let variances: VarianceComponents = {
    levelVariance: 0.6,
    covariance: 0,
    slopeVariance: 0.002,
    stepVariance: 0.2,
    errorVariance: 0.05,
  };
  let fit: MixedModelFit | undefined;
  let passes = 0;
  const stride = Math.max(1, Math.floor(columns.segments.count / roughGroups));
  const options = {
    restricted: settings.restricted,
    ...(rows.prior ? { prior: rows.prior } : {}),
  };
  const needsRounds = settings.repairSlips || settings.downWeightPhases || settings.censoring || settings.rounding;
  const rounds = needsRounds ? valueRounds : 0;
  for (let round = 0; round < rounds; round++) {
    fit = fitMixedModel(rows.rows, {
      ...options,
      start: variances,
      mostPasses: round === 0 ? 8 : 4,
      tolerance: 1e-3,
      stride,
    });
    passes += fit.passes;
    variances = fit.variances;
    const theta = fit.fixed;
    temperatureSlope = (s) => {
      const at = rows.layout.temperature[segments.insulation[s]!]!;
      return at < 0 ? temperaturePrior(segments.insulation[s]!).perC : theta[at]!;
    };
    expectation = cavities(rows, events, fit);
    if (settings.repairSlips && round < slipRounds) {
      judgeSlips(columns, prepared, events, contrasts, expectation, shift);
      if (settings.phaseContrasts && round === 0) contrasts = fitPhaseContrasts(columns, prepared, events, shift);
    }
    const share = updateEventValues(inputs(), rows, temperatureSlope, expectation, round === 0 ? 1 : 0.6, states);
    if (settings.downWeightPhases) strayShare = Math.max(0.002, Math.min(0.05, share + 0.001));
    onProgress(0.3 + (0.35 * (round + 1)) / rounds);
  }
  fit = fitMixedModel(rows.rows, {
    ...options,
    start: variances,
    mostPasses: needsRounds ? 12 : 200,
    tolerance: settings.tolerance,
    stride: needsRounds ? stride : 1,
  });
  passes += fit.passes;
  if (stride > 1) {
    fit = fitMixedModel(rows.rows, { ...options, start: fit.variances, mostPasses: 3, tolerance: settings.tolerance });
    passes += fit.passes;
  }
  onProgress(0.7);

  const agerInput = (of: MixedModelFit): AgerInput => ({
    rows: rows.rows,
    cohortOf: cohorts.of,
    cohortCount: cohorts.count,
    errorVariance: of.variances.errorVariance,
    residual: residuals(rows, of.fixed),
  });
  let input = agerInput(fit);
  let agers = ordinaryOnly(fit.variances, cohorts.count);
  let mixturePasses = 0;
  if (settings.mixture) {
    for (let outer = 0; outer < 2; outer++) {
      if (outer === 0) agers = firstGuess(fit.variances, cohorts.count);
      for (const mostSegments of [roughSegments, fineSegments]) {
        const found = fitAgers(input, agers, mostSegments, mostSegments === roughSegments ? 200 : 20, 2e-4);
        agers = found.parameters;
        mixturePasses += found.passes;
      }
      expectation = mixtureCavities(input, events, agers, rows, fit);
      updateEventValues(inputs(), rows, temperatureSlope, expectation, 0.6, states);
      input = agerInput(fit);
      onProgress(0.7 + 0.1 * (outer + 1));
    }
  }
  expectation = mixtureCavities(input, events, agers, rows, fit);
  return {
    columns,
    settings,
    prepared,
    events,
    cohorts,
    contrasts,
    shift,
    rows,
    fit,
    agers,
    agerInput: input,
    states,
    expectation,
    strayShare,
    passes,
    mixturePasses,
  };
}

function residuals(rows: EventRows, theta: Float64Array): Float64Array {
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

function cavities(rows: EventRows, events: TestEvents, fit: MixedModelFit): EventExpectation {
  const out = { mean: new Float64Array(events.count), variance: new Float64Array(events.count) };
  let width = 1;
  const { rowStart, columnStart, columnIndex, valueStart, values, groupCount } = rows.rows;
  for (let g = 0; g < groupCount; g++) width = Math.max(width, columnStart[g + 1]! - columnStart[g]!);
  const scratch = groupScratch(width);
  const u = new Float64Array(6);
  for (let g = 0; g < groupCount; g++) {
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

function mixtureCavities(
  input: AgerInput,
  events: TestEvents,
  agers: AgerParameters,
  rows: EventRows,
  fit: MixedModelFit,
): EventExpectation {
  const out = { mean: new Float64Array(events.count), variance: new Float64Array(events.count) };
  const room = new AgerRoom(input);
  room.setParameters(agers);
  const line = { mean: 0, variance: 0 };
  for (let s = 0; s < rows.rows.groupCount; s++) {
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

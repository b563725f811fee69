import { fitMixedModel, type MixedModelFit, type VariancePrior } from '../numerics/mixedModel.ts';
import type { VarianceComponents } from '../numerics/mixedModelGroup.ts';
import type { AgerInput, AgerParameters } from './agerParameters.ts';
import { firstGuess, fitAgers, ordinaryOnly } from './agers.ts';
import { type Cohorts, formCohorts } from './cohorts.ts';
import { type FleetColumns, insulationFamilies } from './columns.ts';
import { buildEventRows, type EventRows } from './eventRows.ts';
import { type EventInputs, type EventStates, updateEventValues } from './eventValues.ts';
import { cavities, mixtureCavities, residuals } from './expectation.ts';
import { normaliseReadings, type PreparedReadings } from './normalise.ts';
import type { GrowthSettings } from './options.ts';
import { fitPhaseContrasts, noPhaseContrasts, type PhaseContrasts, writeContrasts } from './phaseContrasts.ts';
import { strayVariance } from './phaseStrays.ts';
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

const slipRounds = 3;
const valueRounds = 4;
/** As if a handful of cables had been seen before: keeps the spreads of a fleet of five within reason. Ours, weak. */
const variancePrior: VariancePrior = {
  level: { count: 3, value: 0.6 },
  slope: { count: 4, value: 0.0009 },
  step: { count: 3, value: 0.2 },
  error: { count: 6, value: 0.03 },
  covarianceCount: 3,
};
const firstVariances: VarianceComponents = {
  levelVariance: 0.6,
  covariance: 0,
  slopeVariance: 0.002,
  stepVariance: 0.2,
  errorVariance: 0.05,
};
/** Segments used in the rough passes over a very large fleet. */
const roughGroups = 15_000;
/** Segments in the rough and the fine passes of the mixture. */
const roughSegments = 4_000;
const fineSegments = 16_000;

/** Readings to rows to variances to ways of ageing, in the order of the equations. */
export function fitModel(
  columns: FleetColumns,
  settings: GrowthSettings,
  onProgress: (share: number) => void,
): FittedModel {
  const { segments } = columns;
  const prepared = normaliseReadings(columns, settings);
  const events = gatherEvents(columns, prepared);
  const tested = new Uint8Array(segments.count);
  for (let e = 0; e < events.count; e++) tested[events.segment[e]!] = 1;
  const cohorts = formCohorts(segments, tested, settings.smallestCohort);
  onProgress(0.1);

  const shift = new Float64Array(columns.readings.count);
  let contrasts = noPhaseContrasts(segments.count);
  const contrast = new Float64Array(columns.readings.count);
  const comparePhases = (of: number) => {
    contrasts = fitPhaseContrasts(columns, prepared, events, shift, of);
    writeContrasts(contrasts, columns, events, of, contrast);
  };
  const rough = roughExpectation(columns, prepared, events, cohorts);
  let expectation = rough;
  const repairSlips = (of: number) =>
    judgeSlips(columns, prepared, events, contrast, contrasts.readingVariance, expectation, shift, of);
  if (settings.repairSlips) repairSlips(1);
  const every = Math.max(1, Math.floor(segments.count / roughGroups));
  if (settings.phaseContrasts) comparePhases(every);
  onProgress(0.2);

  const rows = buildEventRows(columns, events, cohorts, settings);
  const states: EventStates = { censored: new Uint8Array(events.count), phases: new Uint8Array(events.count) };
  let strayShare = settings.downWeightPhases ? 0.01 : 0;
  let temperatureSlope = (s: number) => temperaturePrior(segments.insulation[s]!).perC;
  const updateValues = (damping: number, of: number) => {
    const inputs: EventInputs = {
      prepared,
      events,
      contrasts,
      contrast,
      shift,
      strays: { share: strayShare, variance: strayVariance },
    };
    const share = updateEventValues(inputs, rows, temperatureSlope, expectation, damping, states, of);
    if (settings.downWeightPhases) strayShare = Math.max(0.002, Math.min(0.05, share + 0.001));
  };
  updateValues(1, every);

  let variances = firstVariances;
  let passes = 0;
  const refit = (mostPasses: number, tolerance: number, stride: number): MixedModelFit => {
    const found = fitMixedModel(rows.rows, {
      restricted: settings.restricted,
      ...(rows.prior ? { prior: rows.prior, variancePrior } : {}),
      start: variances,
      mostPasses,
      tolerance,
      stride,
    });
    passes += found.passes;
    variances = found.variances;
    temperatureSlope = (s) => {
      const at = rows.layout.temperature[segments.insulation[s]!]!;
      return at < 0 ? temperaturePrior(segments.insulation[s]!).perC : found.fixed[at]!;
    };
    return found;
  };
  let fit: MixedModelFit;
  if (settings.repairSlips || settings.downWeightPhases || settings.censoring || settings.rounding) {
    for (let round = 0; round < valueRounds; round++) {
      fit = refit(round === 0 ? 8 : 4, 1e-3, every);
      expectation = cavities(rows, events, fit, every);
      if (settings.repairSlips && round < slipRounds) {
        repairSlips(every);
        if (settings.phaseContrasts && round === 0) comparePhases(every);
      }
      updateValues(round === 0 ? 1 : 0.6, every);
      onProgress(0.2 + (0.2 * (round + 1)) / valueRounds);
    }
    fit = refit(12, settings.tolerance, every);
    if (every > 1) {
      // The rough rounds knew every n-th segment; now the others' values, and the last steps on all of them.
      if (settings.phaseContrasts) comparePhases(1);
      expectation = rough;
      updateValues(1, 1);
      for (let round = 0; round < 2; round++) {
        expectation = cavities(rows, events, fit, 1);
        if (settings.repairSlips) repairSlips(1);
        updateValues(round === 0 ? 1 : 0.6, 1);
      }
      onProgress(0.6);
      fit = refit(8, Math.max(2e-3, settings.tolerance), 1);
    }
  } else {
    updateValues(1, 1);
    fit = refit(200, settings.tolerance, 1);
  }
  onProgress(0.7);

  const agerInput = (): AgerInput => ({
    rows: rows.rows,
    cohortOf: cohorts.of,
    cohortCount: cohorts.count,
    familyOf: segments.insulation,
    familyCount: insulationFamilies.length,
    errorVariance: fit.variances.errorVariance,
    residual: residuals(rows, fit.fixed),
  });
  let input = agerInput();
  let agers = ordinaryOnly(fit.variances, insulationFamilies.length, cohorts.count);
  let mixturePasses = 0;
  if (settings.mixture) {
    agers = firstGuess(fit.variances, insulationFamilies.length, cohorts.count);
    for (let outer = 0; outer < 2; outer++) {
      for (const mostSegments of segments.count > roughSegments ? [roughSegments, fineSegments] : [roughSegments]) {
        const found = fitAgers(input, agers, mostSegments, mostSegments === roughSegments ? 200 : 6, 2e-4);
        agers = found.parameters;
        mixturePasses += found.passes;
      }
      expectation = mixtureCavities(input, events, agers, rows, fit, 1);
      updateValues(0.6, 1);
      input = agerInput();
      onProgress(0.7 + 0.1 * (outer + 1));
    }
  }
  expectation = mixtureCavities(input, events, agers, rows, fit, 1);
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

import type { FleetColumns } from './columns.ts';
import { decided } from './decisions.ts';
import { buildEventRows } from './eventRows.ts';
import { type EventInputs, type EventStates, updateEventValues } from './eventValues.ts';
import { mixtureCavities, residuals } from './expectation.ts';
import type { GrowthFit } from './growthFit.ts';
import type { FittedModel } from './model.ts';
import { flag, normaliseReadings, readScale, stands } from './normalise.ts';
import { writeContrasts } from './phaseContrasts.ts';
import { segmentPosterior } from './posterior.ts';
import { describeSegments } from './segmentGrowth.ts';
import { roughExpectation } from './slips.ts';
import { temperaturePrior } from './temperaturePrior.ts';
import { gatherEvents } from './testEvents.ts';

const valueRounds = 3;
const strayVariance = 4;

/**
 * Growth of every segment from other decisions on the same readings, in % a year, while what the whole fleet teaches
 * (corrections, spreads, shares, the phases' own ways) is held as it was fitted: what one verdict does to its segment,
 * without the others being moved by it. `columns` has the readings of the fit, ordinal by ordinal. NaN where a segment
 * has no usable reading; undefined where the changed record asks for effects that the fit does not have. Linear in the readings.
 */
export function growthWhenHeld(fit: GrowthFit, columns: FleetColumns): Float64Array | undefined {
  const { model } = fit;
  const { segments, readings } = columns;
  const { settings, cohorts, contrasts } = model;
  const prepared = normaliseReadings(columns, settings);
  const shift = new Float64Array(readings.count);
  const before = model.columns.decisions;
  for (let r = 0; r < readings.count; r++) {
    // A repair of the fit stays where nothing has been decided on the reading since.
    if (model.shift[r] === 0 || stands(columns, r, decided.valueStands) || Number.isNaN(prepared.log[r]!)) continue;
    if ((before?.factor[r] ?? 1) !== (columns.decisions?.factor[r] ?? 1)) continue;
    shift[r] = model.shift[r]!;
    prepared.flag[r] = flag.repaired;
    readScale(columns, prepared, r, 10 ** Math.round(shift[r]! / Math.LN10));
  }
  const events = gatherEvents(columns, prepared);
  const rows = buildEventRows(columns, events, cohorts, settings);
  if (rows.layout.count !== model.rows.layout.count) return undefined;
  const contrast = new Float64Array(readings.count);
  writeContrasts(contrasts, columns, events, 1, contrast);
  const inputs: EventInputs = {
    prepared,
    events,
    contrasts,
    contrast,
    shift,
    strays: { share: model.strayShare, variance: strayVariance },
  };
  const states: EventStates = { censored: new Uint8Array(events.count), phases: new Uint8Array(events.count) };
  const temperatureSlope = (s: number): number => {
    const at = model.rows.layout.temperature[segments.insulation[s]!]!;
    return at < 0 ? temperaturePrior(segments.insulation[s]!).perC : model.fit.fixed[at]!;
  };
  let expectation = roughExpectation(columns, prepared, events, cohorts);
  updateEventValues(inputs, rows, temperatureSlope, expectation, 1, states, 1);
  const agerInput = () => ({ ...model.agerInput, rows: rows.rows, residual: residuals(rows, model.fit.fixed) });
  for (let round = 0; round < valueRounds; round++) {
    expectation = mixtureCavities(agerInput(), events, model.agers, rows, model.fit, 1);
    updateEventValues(inputs, rows, temperatureSlope, expectation, round === 0 ? 1 : 0.6, states, 1);
  }
  const held: FittedModel = {
    ...model,
    columns,
    prepared,
    events,
    shift,
    rows,
    agerInput: agerInput(),
    states,
    expectation,
  };
  return describeSegments(held, segmentPosterior(held)).growthPctPerYr;
}

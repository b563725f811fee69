import type { FleetColumns } from './columns.ts';
import { buildEventRows, type EventRows } from './eventRows.ts';
import { type EventInputs, type EventStates, updateEventValues } from './eventValues.ts';
import { mixtureCavities, residuals } from './expectation.ts';
import type { FittedModel } from './model.ts';
import type { PreparedReadings } from './normalise.ts';
import { type PhaseContrasts, writeContrasts } from './phaseContrasts.ts';
import { strayVariance } from './phaseStrays.ts';
import { segmentPosterior } from './posterior.ts';
import { describeSegments } from './segmentGrowth.ts';
import { roughExpectation } from './slips.ts';
import { temperaturePrior } from './temperaturePrior.ts';
import { gatherEvents, type TestEvents } from './testEvents.ts';

const valueRounds = 3;

/**
 * Growth of every segment, in % a year, from other readings than a model was fitted to, while what the fleet shares is
 * held as fitted. `shift` is the ln repair of each reading. NaN where a segment has no usable reading; undefined
 * where the readings ask for effects that the model does not have. Linear in the readings.
 */
export function growthHeld(
  model: FittedModel,
  columns: FleetColumns,
  prepared: PreparedReadings,
  shift: Float64Array,
  contrastsOf: (events: TestEvents) => PhaseContrasts,
): Float64Array | undefined {
  const { segments, readings } = columns;
  const { settings, cohorts } = model;
  const events = gatherEvents(columns, prepared);
  const rows = rowsOf(model, columns, buildEventRows(columns, events, cohorts, settings));
  if (!rows) return undefined;
  const contrasts = contrastsOf(events);
  const contrast = new Float64Array(readings.count);
  writeContrasts(contrasts, columns, events, 1, contrast);
  const strays = { share: model.strayShare, variance: strayVariance };
  const inputs: EventInputs = { prepared, events, contrasts, contrast, shift, strays };
  const states: EventStates = { censored: new Uint8Array(events.count), phases: new Uint8Array(events.count) };
  const temperatureSlope = (s: number): number => {
    const at = rows.layout.temperature[segments.insulation[s]!]!;
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
    contrasts,
    shift,
    rows,
    agerInput: agerInput(),
    states,
    expectation,
  };
  return describeSegments(held, segmentPosterior(held)).growthPctPerYr;
}

/** The rows under the effects of the fit: kinds of work stand in the order in which each set of columns met them. */
function rowsOf({ rows: { layout } }: FittedModel, columns: FleetColumns, rows: EventRows): EventRows | undefined {
  const { columnIndex } = rows.rows;
  const to = Int32Array.from({ length: rows.layout.count }, (_, k) => k);
  for (let kind = 0; kind < layout.jump.length; kind++) {
    const at = rows.layout.jump[kind]!;
    if (at >= 0) to[at] = layout.jump[kind]!;
  }
  for (let s = 0; s < columns.segments.count; s++)
    for (let j = rows.rows.columnStart[s]!; j < rows.rows.columnStart[s + 1]!; j++) {
      const index = to[columnIndex[j]!]!;
      if (index < 0) return undefined;
      columnIndex[j] = index;
    }
  return {
    ...rows,
    rows: { ...rows.rows, fixedCount: layout.count },
    layout: { ...layout, usualLogLength: rows.layout.usualLogLength },
  };
}

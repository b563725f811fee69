import type { FleetColumns } from './columns.ts';
import { buildEventRows, type EventRows } from './eventRows.ts';
import { type EventInputs, type EventStates, updateEventValues } from './eventValues.ts';
import { mixtureCavities, residuals } from './expectation.ts';
import type { GrowthFit } from './growthFit.ts';
import type { FittedModel } from './model.ts';
import { flag, normaliseReadings, readScale } from './normalise.ts';
import { fitPhaseContrasts, writeContrasts } from './phaseContrasts.ts';
import { segmentPosterior } from './posterior.ts';
import { describeSegments } from './segmentGrowth.ts';
import { roughExpectation } from './slips.ts';
import { temperaturePrior } from './temperaturePrior.ts';
import { gatherEvents } from './testEvents.ts';

const valueRounds = 3;
const strayVariance = 4;

/**
 * Growth of every segment, in % a year, from later records while what the fleet shares (cohorts, corrections, spreads,
 * ways of ageing) is held as an earlier fit left it: what the news of a segment does to it without the others being
 * heard. `columns` are the later records as of the day of the fit; `factor` says what each of their readings was
 * multiplied by as a slip. NaN where a segment has no usable reading; undefined where work of a kind was done that the
 * fit knows nothing of. Linear in the readings.
 */
export function growthWithNews(
  fit: GrowthFit,
  columns: FleetColumns,
  factor: ArrayLike<number>,
): Float64Array | undefined {
  const { model } = fit;
  const { segments, readings } = columns;
  const { settings, cohorts } = model;
  const prepared = normaliseReadings(columns, settings);
  const shift = new Float64Array(readings.count);
  for (let r = 0; r < readings.count; r++) {
    // What a verdict decided is in the reading already; only the repair of the fit is left.
    const repair = factor[r]! / (columns.decisions?.factor[r] ?? 1);
    if (Math.abs(repair - 1) < 1e-6 || Number.isNaN(prepared.log[r]!)) continue;
    shift[r] = Math.log(repair);
    prepared.flag[r] = flag.repaired;
    readScale(columns, prepared, r, repair);
  }
  const events = gatherEvents(columns, prepared);
  const rows = rowsOf(model, columns, buildEventRows(columns, events, cohorts, settings));
  if (!rows) return undefined;
  const contrasts = settings.phaseContrasts ? fitPhaseContrasts(columns, prepared, events, shift, 1) : model.contrasts;
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

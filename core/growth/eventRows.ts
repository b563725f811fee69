import type { FixedPrior } from '../numerics/mixedModel.ts';
import { type MixedModelRows, mostSteps } from '../numerics/mixedModelGroup.ts';
import type { Cohorts } from './cohorts.ts';
import { type FleetColumns, insulationFamilies, interventionKinds } from './columns.ts';
import type { GrowthSettings } from './options.ts';
import { temperaturePrior } from './temperaturePrior.ts';
import type { TestEvents } from './testEvents.ts';
import { voltageBend } from './voltageBend.ts';

/** The event model's rows (an event a row, in the order of `TestEvents`), its fixed effects and their priors. */
export interface EventRows {
  readonly rows: MixedModelRows;
  readonly response: Float64Array;
  readonly extraVariance: Float64Array;
  readonly layout: FixedLayout;
  readonly prior: FixedPrior | undefined;
}

/** Where each fixed effect stands; −1 where it is not in the model. */
export interface FixedLayout {
  readonly count: number;
  readonly cohortLevel: number;
  readonly cohortSlope: number;
  readonly temperature: Int32Array;
  readonly voltage: number;
  readonly voltageCurve: number;
  readonly dwell: number;
  readonly length: number;
  readonly jump: Int32Array;
  /** ln of the length that the length term is measured from. */
  readonly usualLogLength: number;
}

/** Growth of a cohort before any data, per year: slow ageing, with room for none and for three times as much. */
const slopeMean = 0.03;
const slopeSd = 0.05;
/** Cohorts of one family differ by about this much. */
const bandSd = 0.01;
/** Leakage rises a little faster than voltage, falls with the dwell (absorption), and should not depend on length. */
const voltageMean = 0.2;
const voltageSd = 0.25;
const curveSd = 0.5;
const dwellMean = -0.1;
const dwellSd = 0.25;
const lengthSd = 0.15;
const jumpSd = 1;

export function buildEventRows(
  columns: FleetColumns,
  events: TestEvents,
  cohorts: Cohorts,
  settings: GrowthSettings,
): EventRows {
  const { segments } = columns;
  const layout = layOut(columns, events, cohorts, settings);
  const { segmentStart, segment, time } = events;
  const stepCount = new Uint8Array(segments.count);
  const stepBits = new Uint8Array(events.count);
  const jumpColumns = new Uint8Array(segments.count);
  if (settings.interventions) markSteps(columns, events, layout, stepCount, stepBits, jumpColumns);
  const curved = layout.voltageCurve >= 0;
  const shared = (settings.corrections ? 6 : 2) + (curved ? 1 : 0);
  const columnStart = new Int32Array(segments.count + 1);
  const valueStart = new Int32Array(segments.count);
  let valueCount = 0;
  for (let s = 0; s < segments.count; s++) {
    const width = shared + popCount(jumpColumns[s]!);
    columnStart[s + 1] = columnStart[s]! + width;
    valueStart[s] = valueCount;
    valueCount += width * (segmentStart[s + 1]! - segmentStart[s]!);
  }
  const columnIndex = new Int32Array(columnStart[segments.count]!);
  const values = new Float64Array(valueCount);
  for (let s = 0; s < segments.count; s++) {
    let at = columnStart[s]!;
    const cohort = cohorts.of[s]!;
    columnIndex[at++] = layout.cohortLevel + cohort;
    columnIndex[at++] = layout.cohortSlope + cohort;
    if (settings.corrections) {
      columnIndex[at++] = layout.temperature[segments.insulation[s]!]!;
      columnIndex[at++] = layout.voltage;
      columnIndex[at++] = layout.dwell;
      columnIndex[at++] = layout.length;
      if (curved) columnIndex[at++] = layout.voltageCurve;
    }
    for (let k = 0; k < interventionKinds.length; k++) {
      if ((jumpColumns[s]! >> k) & 1) columnIndex[at++] = layout.jump[k]!;
    }
  }
  const logLength = (s: number) => Math.log(segments.lengthKm[s]!) - layout.usualLogLength;
  const walk = new InterventionWalk(columns);
  for (let s = 0; s < segments.count; s++) {
    let at = valueStart[s]!;
    walk.to(s);
    for (let e = segmentStart[s]!; e < segmentStart[s + 1]!; e++) {
      values[at++] = 1;
      values[at++] = time[e]!;
      if (settings.corrections) {
        values[at++] = events.temperatureC[e]! - 20;
        values[at++] = events.logVoltage[e]!;
        values[at++] = events.logDwell[e]!;
        values[at++] = logLength(segment[e]!);
        if (curved) values[at++] = voltageBend(events.logVoltage[e]!);
      }
      for (let k = 0; k < interventionKinds.length; k++) {
        if ((jumpColumns[s]! >> k) & 1) values[at++] = walk.later(k, events.day[e]!);
      }
    }
  }
  const response = new Float64Array(events.count);
  const extraVariance = new Float64Array(events.count);
  const rows: MixedModelRows = {
    groupCount: segments.count,
    rowStart: segmentStart,
    response,
    time,
    extraVariance,
    stepCount,
    stepBits,
    fixedCount: layout.count,
    columnStart,
    columnIndex,
    valueStart,
    values,
  };
  return { rows, response, extraVariance, layout, prior: settings.priors ? makePrior(layout, cohorts) : undefined };
}

function layOut(columns: FleetColumns, events: TestEvents, cohorts: Cohorts, settings: GrowthSettings): FixedLayout {
  let count = 2 * cohorts.count;
  const temperature = new Int32Array(insulationFamilies.length).fill(-1);
  const jump = new Int32Array(interventionKinds.length).fill(-1);
  let voltage = -1;
  let voltageCurve = -1;
  let dwell = -1;
  let length = -1;
  if (settings.corrections) {
    for (const family of cohorts.family) if (temperature[family] === -1) temperature[family] = count++;
    voltage = count++;
    dwell = count++;
    length = count++;
    if (settings.voltageCurve) voltageCurve = count++;
  }
  if (settings.interventions) {
    for (let i = 0; i < columns.interventions.count; i++) {
      const kind = columns.interventions.kind[i]!;
      if (jump[kind] === -1) jump[kind] = count++;
    }
  }
  let logs = 0;
  for (let e = 0; e < events.count; e++) logs += Math.log(columns.segments.lengthKm[events.segment[e]!]!);
  return {
    count,
    cohortLevel: 0,
    cohortSlope: cohorts.count,
    temperature,
    voltage,
    voltageCurve,
    dwell,
    length,
    jump,
    usualLogLength: events.count > 0 ? logs / events.count : 0,
  };
}

/** The interventions of one segment after another, in the order in which the columns keep them. */
class InterventionWalk {
  #columns: FleetColumns;
  #start = 0;
  #end = 0;

  constructor(columns: FleetColumns) {
    this.#columns = columns;
  }

  to(s: number): void {
    const { segment, count } = this.#columns.interventions;
    this.#start = this.#end;
    while (this.#start < count && segment[this.#start]! < s) this.#start++;
    this.#end = this.#start;
    while (this.#end < count && segment[this.#end] === s) this.#end++;
  }

  /** How many interventions of a kind lie after the day. */
  later(kind: number, day: number): number {
    const { interventions } = this.#columns;
    let sum = 0;
    for (let i = this.#start; i < this.#end; i++) {
      if (interventions.kind[i] === kind && interventions.day[i]! > day) sum++;
    }
    return sum;
  }

  get start(): number {
    return this.#start;
  }

  get end(): number {
    return this.#end;
  }
}

/** Steps that at least one event lies before; interventions with no event between them are one step. */
function markSteps(
  columns: FleetColumns,
  events: TestEvents,
  layout: FixedLayout,
  stepCount: Uint8Array,
  stepBits: Uint8Array,
  jumpColumns: Uint8Array,
): void {
  const { interventions, segments } = columns;
  const walk = new InterventionWalk(columns);
  for (let s = 0; s < segments.count; s++) {
    walk.to(s);
    const first = events.segmentStart[s]!;
    const end = events.segmentStart[s + 1]!;
    let before = -1;
    for (let i = walk.start; i < walk.end; i++) {
      let lies = 0;
      for (let e = first; e < end; e++) if (events.day[e]! < interventions.day[i]!) lies++;
      if (lies === 0) continue;
      if (layout.jump[interventions.kind[i]!]! >= 0) jumpColumns[s]! |= 1 << interventions.kind[i]!;
      if (lies === before || stepCount[s]! >= mostSteps) continue;
      before = lies;
      for (let e = first; e < first + lies; e++) stepBits[e]! |= 1 << stepCount[s]!;
      stepCount[s]!++;
    }
  }
}

function popCount(bits: number): number {
  let sum = 0;
  for (let b = bits; b > 0; b >>= 1) sum += b & 1;
  return sum;
}

function makePrior(layout: FixedLayout, cohorts: Cohorts): FixedPrior {
  const size = layout.count;
  const mean = new Float64Array(size);
  const precision = new Float64Array(size * size);
  const own = (i: number, m: number, sd: number) => {
    if (i < 0) return;
    mean[i] = m;
    precision[i * size + i] = 1 / (sd * sd);
  };
  for (let c = 0; c < cohorts.count; c++) own(layout.cohortLevel + c, 0, 30);
  const families = new Set(cohorts.family);
  for (const family of families) {
    const members: number[] = [];
    for (let c = 0; c < cohorts.count; c++) if (cohorts.family[c] === family) members.push(layout.cohortSlope + c);
    // Covariance bandSd² I + slopeSd² 11', inverted in closed form.
    const inner = 1 / (bandSd * bandSd);
    const n = members.length;
    const tie = (slopeSd * slopeSd * inner * inner) / (1 + n * slopeSd * slopeSd * inner);
    for (const i of members) {
      mean[i] = slopeMean;
      for (const j of members) precision[i * size + j] = (i === j ? inner : 0) - tie;
    }
    const table = temperaturePrior(family);
    own(layout.temperature[family]!, table.perC, table.sd);
  }
  own(layout.voltage, voltageMean, voltageSd);
  own(layout.voltageCurve, 0, curveSd);
  own(layout.dwell, dwellMean, dwellSd);
  own(layout.length, 0, lengthSd);
  for (const i of layout.jump) own(i, 0, jumpSd);
  return { mean, precision };
}

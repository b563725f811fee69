import { decided } from './decisions.ts';
import type { EventRows } from './eventRows.ts';
import { type EventMoments, eventPhases, type Strays, weighEvent } from './eventValue.ts';
import { flag, manner, type PreparedReadings } from './normalise.ts';
import type { PhaseContrasts } from './phaseContrasts.ts';
import type { EventExpectation } from './slips.ts';
import type { TestEvents } from './testEvents.ts';

/** Everything that turns readings into the rows of the event model. */
export interface EventInputs {
  readonly prepared: PreparedReadings;
  readonly events: TestEvents;
  readonly contrasts: PhaseContrasts;
  /** Contrast of each reading's phase at its time, ln. */
  readonly contrast: Float64Array;
  readonly shift: Float64Array;
  readonly strays: Strays;
}

/** Per event: how it speaks. */
export interface EventStates {
  /** 1 where most of its phases are under the floor. */
  readonly censored: Uint8Array;
  /** Readings that count. */
  readonly phases: Uint8Array;
}

const leastPrecision = 1e-4;
/** Phases nearer together than this many sds of a difference need no weighing. */
const closeSds = 4;
const unknownDwellVariance = 0.01;
const moments: EventMoments = { mean: 0, variance: 0, logProbability: 0 };
const phases = eventPhases();

/**
 * Writes response and extra variance of every event into its row: the mean of its phases where they are plain values
 * that agree; otherwise what the phases say of the event beyond its expectation (a site of expectation propagation,
 * moved by `damping` of the way); only in every n-th segment (`every`). Returns the mean probability of a stray among the weighed events with three phases.
 */
export function updateEventValues(
  inputs: EventInputs,
  rows: EventRows,
  temperatureSlope: (segment: number) => number,
  expectation: EventExpectation,
  damping: number,
  states: EventStates,
  every: number,
): number {
  const { prepared, events, contrasts, contrast, shift, strays } = inputs;
  const { response, extraVariance } = rows;
  const decisions = inputs.prepared.decisions?.bits;
  const spread = closeSds * Math.sqrt(2 * contrasts.readingVariance + 1e-9);
  let strayed = 0;
  let judged = 0;
  for (let e = 0; e < events.count; e++) {
    const segment = events.segment[e]!;
    if (segment % every !== 0) continue;
    let m = 0;
    let plain = true;
    let ceilings = 0;
    let low = Number.POSITIVE_INFINITY;
    let high = Number.NEGATIVE_INFINITY;
    let sum = 0;
    let variance = 0;
    for (let r = events.readingStart[e]!; r < events.readingEnd[e]!; r++) {
      if (Number.isNaN(prepared.log[r]!) || m === 3) continue;
      const move = shift[r]! - contrast[r]!;
      const how = prepared.manner[r]!;
      phases.manner[m] = how;
      phases.stands[m] = decisions && (decisions[r]! & decided.valueStands) !== 0 ? 1 : 0;
      phases.value[m] = prepared.log[r]! + move;
      phases.variance[m] = Math.max(1e-6, contrasts.readingVariance);
      if (how === manner.value) {
        phases.variance[m]! += prepared.roundingVariance[r]!;
        low = Math.min(low, phases.value[m]!);
        high = Math.max(high, phases.value[m]!);
        sum += phases.value[m]!;
        variance += contrasts.readingVariance + prepared.roundingVariance[r]!;
      } else {
        plain = false;
        phases.low[m] = prepared.low[r]! + move;
        phases.high[m] = prepared.high[r]! + move;
        if (how === manner.ceiling) ceilings++;
      }
      m++;
    }
    phases.count = m;
    states.phases[e] = m;
    states.censored[e] = 2 * ceilings > m ? 1 : 0;
    const known =
      temperatureSlope(segment) ** 2 * events.temperatureVariance[e]! +
      (events.dwellUnknown[e] ? unknownDwellVariance : 0);
    if (m === 3) judged++;
    if (plain && (strays.share === 0 || (m > 1 && high - low < spread))) {
      response[e] = sum / m;
      extraVariance[e] = variance / (m * m) + known;
      continue;
    }
    const prior = expectation.variance[e]! + known;
    weighEvent(expectation.mean[e]!, prior, phases, strays, moments);
    if (m === 3) for (let k = 0; k < 3; k++) strayed += phases.stray[k]! / 3;
    markStrays(inputs, e);
    const most = m / Math.max(1e-6, contrasts.readingVariance);
    const precision = Math.min(most, Math.max(leastPrecision, 1 / moments.variance - 1 / prior));
    const shifted = moments.mean / moments.variance - expectation.mean[e]! / prior;
    const mean = clampNear(shifted / precision, moments.mean, prior);
    const oldPrecision = 1 / Math.max(1e-9, extraVariance[e]! - known);
    if (damping >= 1 || extraVariance[e] === 0) {
      response[e] = mean;
      extraVariance[e] = 1 / precision + known;
    } else {
      const mixed = damping * precision + (1 - damping) * oldPrecision;
      response[e] = (damping * precision * mean + (1 - damping) * oldPrecision * response[e]!) / mixed;
      extraVariance[e] = 1 / mixed + known;
    }
  }
  return judged > 0 ? strayed / judged : 0;
}

/** A nearly flat site may put its mean anywhere; keep it within sight. */
function clampNear(value: number, centre: number, variance: number): number {
  const room = 30 * Math.sqrt(variance);
  return Math.max(centre - room, Math.min(centre + room, value));
}

function markStrays(inputs: EventInputs, e: number): void {
  const { prepared, events } = inputs;
  let k = 0;
  for (let r = events.readingStart[e]!; r < events.readingEnd[e]!; r++) {
    if (Number.isNaN(prepared.log[r]!) || k === 3) continue;
    if (prepared.flag[r] === flag.used && phases.stray[k]! > 0.5) prepared.flag[r] = flag.downWeighted;
    else if (prepared.flag[r] === flag.downWeighted && phases.stray[k]! <= 0.5) prepared.flag[r] = flag.used;
    k++;
  }
}

import type { FleetColumns } from './columns.ts';
import { manner, type PreparedReadings } from './normalise.ts';
import type { TestEvents } from './testEvents.ts';

/** Readings whose scale is coarser than this (variance of ln) say nothing about contrasts. */
const coarse = 0.02;

/** The phases of one event at a time. */
export class PhaseLoad {
  #columns: FleetColumns;
  #prepared: PreparedReadings;
  #events: TestEvents;
  #shift: Float64Array;
  /** ln specific leakage of each phase; `w` is 1 + its rounding variance, 0 where it has no value. */
  readonly y = new Float64Array(3);
  readonly w = new Float64Array(3);

  constructor(columns: FleetColumns, prepared: PreparedReadings, events: TestEvents, shift: Float64Array) {
    this.#columns = columns;
    this.#prepared = prepared;
    this.#events = events;
    this.#shift = shift;
  }

  /** Loads the phases of one event that have a value; returns how many. */
  load(e: number): number {
    const { readingStart, readingEnd } = this.#events;
    let m = 0;
    this.w.fill(0);
    for (let r = readingStart[e]!; r < readingEnd[e]!; r++) {
      const log = this.#prepared.log[r]!;
      const rounding = this.#prepared.roundingVariance[r]!;
      if (Number.isNaN(log) || this.#prepared.manner[r] === manner.ceiling || rounding > coarse) continue;
      const p = this.#columns.readings.phase[r]!;
      this.y[p] = log + this.#shift[r]!;
      this.w[p] = 1 + rounding;
      m++;
    }
    return m;
  }

  /** Deviation of phase p from the others of the loaded event. */
  deviation(p: number, m: number): number {
    const y = this.y;
    const w = this.w;
    const i = (p + 1) % 3;
    const j = (p + 2) % 3;
    if (m === 2) return y[p]! - (w[i]! > 0 ? y[i]! : y[j]!);
    const low = Math.min(y[p]!, y[i]!, y[j]!);
    const high = Math.max(y[p]!, y[i]!, y[j]!);
    return y[p]! - (y[p]! + y[i]! + y[j]! - low - high);
  }
}

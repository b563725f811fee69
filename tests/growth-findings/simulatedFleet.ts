import type { FleetColumns } from '../../core/growth/columns.ts';
import { seededRandom } from '../../core/numerics/random.ts';

/** A fleet whose columns may still be written on, to put errors in. */
export interface SimulatedFleet extends FleetColumns {
  readonly readings: FleetColumns['readings'] & { readonly count: number };
}

export interface Trouble {
  /** Spread of an event's shared error in ln, 0.22 by default. */
  readonly eventNoise?: number;
  /** Spread of levels within a family, 0.6 by default. */
  readonly levelSpread?: number;
  /** Spread of growth in ln a year, 0.04 by default. */
  readonly growthSpread?: number;
}

const asOfDay = Date.parse('2026-01-01') / 86_400_000;
const startDay = Date.parse('2008-01-01') / 86_400_000;

/**
 * A clean fleet by a law of its own: no reading is wrong, but the cables are lively. Every twelfth bends upward in its
 * last years, every fifteenth ages on one phase alone, every twentieth jumped at some day; three instruments, seasons,
 * missing temperatures, rounding to 0.1 µA, a floor at 0.2 µA, missing phases, and temperature and voltage laws other
 * than those that any finder supposes.
 */
export function simulateFleet(segmentCount: number, seed: number, trouble: Trouble = {}): SimulatedFleet {
  const { eventNoise = 0.22, levelSpread = 0.6, growthSpread = 0.04 } = trouble;
  const random = seededRandom(seed);
  const lengthKm = new Float64Array(segmentCount);
  const ratedKv = new Float64Array(segmentCount);
  const insulation = new Uint8Array(segmentCount);
  const energisedDay = new Float64Array(segmentCount);
  const rows: number[][] = [];
  let event = 0;
  for (let s = 0; s < segmentCount; s++) {
    lengthKm[s] = Math.exp(Math.log(0.4) + 0.5 * random.normal());
    ratedKv[s] = random.uniform() < 0.6 ? 15 : 25;
    insulation[s] = random.integer(5);
    energisedDay[s] = startDay - 365 * 35 * random.uniform();
    const level = -0.5 + 0.3 * insulation[s]! + levelSpread * random.normal();
    const growth = 0.03 + growthSpread * random.normal();
    const bend = random.integer(12) === 0 ? 0.012 + 0.01 * random.uniform() : 0;
    const lonePhase = random.integer(15) === 0 ? random.integer(3) : -1;
    const jumpDay = random.integer(20) === 0 ? startDay + (asOfDay - startDay) * random.uniform() : Number.NaN;
    const jump = 0.5 * random.normal();
    const offset = [0.2 * random.normal(), 0.2 * random.normal(), 0.2 * random.normal()];
    const days = Array.from({ length: 3 + random.integer(5) }, () =>
      Math.floor(startDay + (asOfDay - startDay) * random.uniform()),
    );
    for (const day of days.sort((a, b) => a - b)) {
      const years = (day - startDay) / 365.25;
      const warm = 12 + 9 * Math.sin((2 * Math.PI * ((day % 365.25) - 110)) / 365.25) + 2 * random.normal();
      const shared = eventNoise * random.normal();
      const voltage = (ratedKv[s] === 15 ? 20 : 30) * (random.integer(6) === 0 ? 0.8 : 1);
      const instrument = random.integer(3);
      const known = random.uniform() < 0.8;
      const late = Math.max(0, years - 10);
      for (let phase = 0; phase < 3; phase++) {
        if (random.uniform() < 0.06) continue;
        const lone = phase === lonePhase ? 0.15 * late : 0;
        const ln =
          level +
          growth * years +
          bend * late * late +
          lone +
          offset[phase]! +
          shared +
          0.09 * random.normal() +
          (day >= jumpDay ? jump : 0) +
          0.052 * (warm - 20) +
          0.25 * Math.log(voltage / 20);
        const leakage = Math.round(10 * Math.exp(ln) * voltage * lengthKm[s]!) / 10;
        const below = leakage < 0.2 ? 1 : 0;
        rows.push([
          s,
          event,
          day,
          phase,
          voltage,
          15,
          below ? 0.2 : leakage,
          below,
          known ? Math.round(10 * warm) / 10 : Number.NaN,
          known ? Math.round(warm + 4 * random.normal()) : Number.NaN,
          0,
          1,
          instrument,
        ]);
      }
      event++;
    }
  }
  const column = (c: number): Float64Array => Float64Array.from(rows, (row) => row[c]!);
  return {
    segments: {
      count: segmentCount,
      lengthKm,
      ratedKv,
      insulation,
      energisedDay,
      limitNsPerKm: new Float64Array(segmentCount).fill(Number.NaN),
    },
    readings: {
      count: rows.length,
      segment: Int32Array.from(column(0)),
      event: Int32Array.from(column(1)),
      day: Int32Array.from(column(2)),
      phase: Uint8Array.from(column(3)),
      voltageKv: column(4),
      dwellMin: column(5),
      leakageUa: column(6),
      belowFloor: Uint8Array.from(column(7)),
      insulationTempC: column(8),
      ambientTempC: column(9),
      method: Uint8Array.from(column(10)),
      purpose: Uint8Array.from(column(11)),
      instrument: Int32Array.from(column(12)),
    },
    interventions: { count: 0, segment: new Int32Array(0), day: new Int32Array(0), kind: new Uint8Array(0) },
    asOfDay,
  };
}

/** First and last-plus-one reading of each event. */
export function eventsOf({ readings }: FleetColumns): [number, number][] {
  const events: [number, number][] = [];
  for (let r = 0; r < readings.count; r++) {
    if (r === 0 || readings.event[r] !== readings.event[r - 1]) events.push([r, r + 1]);
    else events[events.length - 1]![1] = r + 1;
  }
  return events;
}

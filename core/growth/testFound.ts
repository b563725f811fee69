import { theilSen } from '../numerics/theilSen.ts';
import type { InsulationFamily } from '../trade/insulation.ts';
import { temperatureCoefficientOf } from '../trade/temperature.ts';

/** One reading of a test as it is told from the record. */
export interface FoundReading {
  readonly phase: string;
  readonly step: number;
  readonly voltageKv: number;
  readonly dwellMin: number | null;
  readonly leakageUa: number;
  readonly belowFloor: boolean;
  readonly insulationTempC: number | null;
  readonly outcome: string | null;
}

/** What one test found by itself. Null where its record does not tell. */
export interface TestFound {
  readonly counts: boolean;
  readonly breakdown: boolean;
  readonly stopped: boolean;
  readonly rising: boolean;
  readonly phaseRatio: number | null;
  readonly levelNsPerKm: number | null;
  /** The highest voltage, which two tests must share to be compared. */
  readonly voltageKv: number;
}

/** Voltages so near count as one. */
const sameVoltage = 0.02;
const near = (a: number, b: number, share: number): boolean => Math.abs(a - b) <= share * Math.max(a, b);

/**
 * What one test found, from its readings alone: by hand anyone comes to the same, and no fit of other segments moves it.
 * Level: geometric mean of the phases' last readings, µA ÷ kV ÷ km in nS/km, taken to 20 °C by the published coefficient
 * of the insulation; a reading at the instrument's floor enters at the floor, the most it can be. Unknown where a
 * temperature is missing or every phase stands at the floor. A test of insulation resistance tells no level.
 */
export function testFound(
  readings: readonly FoundReading[],
  method: string,
  insulation: InsulationFamily,
  lengthKm: number,
): TestFound {
  const last = lastOfPhases(readings);
  return {
    counts: readings.some((reading) => reading.outcome !== 'stopped'),
    breakdown: readings.some((reading) => reading.outcome === 'breakdown'),
    stopped: readings.some((reading) => reading.outcome === 'stopped'),
    rising: roseAtConstantVoltage(readings),
    phaseRatio: ratioOf(last),
    levelNsPerKm: method === 'insulation_resistance' ? null : levelOf(last, insulation, lengthKm),
    voltageKv: Math.max(...readings.map((reading) => reading.voltageKv)),
  };
}

function lastOfPhases(readings: readonly FoundReading[]): FoundReading[] {
  const last = new Map<string, FoundReading>();
  for (const reading of readings)
    if (reading.step >= (last.get(reading.phase)?.step ?? -1)) last.set(reading.phase, reading);
  return [...last.values()];
}

/** Rises of up to a hundredth are taken for the needle. */
const risen = 1.01;

/** A later reading of a phase at the same voltage is higher. Source: ratio of early to late current under 1, from memory, unverified. */
const roseAtConstantVoltage = (readings: readonly FoundReading[]): boolean =>
  readings.some((late) =>
    readings.some(
      (early) =>
        early.phase === late.phase &&
        near(early.voltageKv, late.voltageKv, sameVoltage) &&
        early.dwellMin !== null &&
        late.dwellMin !== null &&
        early.dwellMin < late.dwellMin &&
        !late.belowFloor &&
        late.leakageUa > risen * early.leakageUa,
    ),
  );

/** Highest over lowest phase at one voltage; a phase at the floor makes it a least ratio. */
function ratioOf(last: readonly FoundReading[]): number | null {
  if (last.length < 2 || !last.every((reading) => near(reading.voltageKv, last[0]!.voltageKv, sameVoltage)))
    return null;
  const read = last.filter((reading) => !reading.belowFloor).map((reading) => reading.leakageUa);
  if (read.length === 0) return null;
  return Math.max(1, Math.max(...read) / Math.min(...last.map((reading) => reading.leakageUa)));
}

function levelOf(last: readonly FoundReading[], insulation: InsulationFamily, lengthKm: number): number | null {
  if (last.every((reading) => reading.belowFloor) || !(lengthKm > 0)) return null;
  const { lnPerC } = temperatureCoefficientOf[insulation];
  let sum = 0;
  for (const { leakageUa, voltageKv, insulationTempC } of last) {
    if (insulationTempC === null || !(leakageUa > 0) || !(voltageKv > 0)) return null;
    sum += Math.log(leakageUa / voltageKv / lengthKm) - lnPerC * (insulationTempC - 20);
  }
  return Math.exp(sum / last.length);
}

/** A test as a point of the segment's own growth. */
export interface LevelPoint {
  readonly years: number;
  readonly levelNsPerKm: number;
  readonly voltageKv: number;
}

/** Voltages within a tenth may be compared without a model of how leakage follows voltage. */
const comparable = 0.1;

/** Fewer leave a pair of slopes outside any 90 % interval of Sen's. */
const fewestPoints = 5;

/**
 * Lower end of the 90 % interval of a segment's own growth, % a year: Sen's interval of the median slope of ln level
 * over its tests of one era at about the voltage of the last. Null under five such tests, which give no interval.
 */
export function ownGrowthLow(points: readonly LevelPoint[]): number | null {
  const last = points.at(-1);
  if (!last) return null;
  const used = points.filter((point) => near(point.voltageKv, last.voltageKv, comparable));
  if (used.length < fewestPoints) return null;
  const line = theilSen(
    used.map((point) => point.years),
    used.map((point) => Math.log(point.levelNsPerKm)),
  );
  return line.known && line.interval.known ? 100 * Math.expm1(line.interval.low) : null;
}

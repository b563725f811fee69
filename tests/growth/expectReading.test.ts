import { describe, expect, test } from 'vitest';
import type { FleetColumns, ReadingColumns } from '../../core/growth/columns.ts';
import {
  expectReading,
  forecastReading,
  phaseBasis,
  readingBasis,
  readingPlace,
  readingQuantile,
  subjectOf,
} from '../../core/growth/expectReading.ts';
import { fitGrowth } from '../../core/growth/fitGrowth.ts';
import { predictReading } from '../../core/growth/predictReading.ts';
import { regimes } from '../../core/growth/proving/regimes.ts';
import { simulateFleet } from '../../core/growth/proving/simulateFleet.ts';
import { updateGrowth } from '../../core/growth/updateGrowth.ts';

// No outside source: fleets are simulated under laws that are not the model's (core/growth/proving/laws.ts).
const named = (name: string) => regimes.find((regime) => regime.name === name)!;

/** The readings for which `keep` says yes. */
function only(columns: FleetColumns, keep: (r: number) => boolean): FleetColumns {
  const kept = Array.from({ length: columns.readings.count }, (_, r) => r).filter(keep);
  const readings = Object.fromEntries(
    Object.entries(columns.readings).map(([name, column]) => [
      name,
      typeof column === 'number' ? kept.length : (column as Float64Array).filter((_, r) => keep(r)),
    ]),
  ) as unknown as ReadingColumns;
  return { ...columns, readings };
}

/** First reading of the last test of each segment with at least two tests. */
function lastTests(columns: FleetColumns): Set<number> {
  const { count, segment, event } = columns.readings;
  const last = new Set<number>();
  for (let r = 0; r < count; ) {
    let end = r;
    const events = new Set<number>();
    while (end < count && segment[end] === segment[r]) events.add(event[end++]!);
    if (events.size > 1) for (let k = r; k < end; k++) if (event[k] === event[end - 1]) last.add(k);
    r = end;
  }
  return last;
}

describe.each(['plain', 'messy', 'other laws'])('on a simulated fleet, %s', (name) => {
  const { columns } = simulateFleet(named(name), 700, 33);
  const held = lastTests(columns);
  const fit = fitGrowth(only(columns, (r) => !held.has(r)));
  const basis = readingBasis(fit.model);
  const phases = phaseBasis(fit.model);

  test('90 % intervals of the reading to come hold 86 to 94 % of the last readings, which the fit never saw', () => {
    const { readings } = columns;
    let inside = 0;
    let count = 0;
    for (const r of held) {
      const tempC = readings.insulationTempC[r]!;
      if (readings.belowFloor[r] === 1 || Number.isNaN(tempC)) continue;
      const expected = expectReading(basis, subjectOf(fit, phases, readings.segment[r]!), {
        phase: readings.phase[r]!,
        voltageKv: readings.voltageKv[r]!,
        dwellMin: readings.dwellMin[r]!,
        insulationTempC: tempC,
        day: readings.day[r]!,
      });
      if (!expected.known) continue;
      count++;
      if (readings.leakageUa[r]! > expected.loUa && readings.leakageUa[r]! < expected.hiUa) inside++;
    }
    expect(count).toBeGreaterThan(800);
    expect(inside / count).toBeGreaterThan(0.86);
    expect(inside / count).toBeLessThan(0.94);
  });
});

const { columns } = simulateFleet(named('messy'), 260, 4);
const fit = fitGrowth(columns);
const basis = readingBasis(fit.model);
const phases = phaseBasis(fit.model);
const planned = { phase: 1, voltageKv: 18, dwellMin: 5, insulationTempC: 9, day: columns.asOfDay + 200 };

test('what is kept of a fit, even through JSON, foretells what the fit itself does', () => {
  const kept = JSON.parse(JSON.stringify(basis));
  let compared = 0;
  for (let s = 0; s < columns.segments.count; s++)
    for (const phase of [0, 1, 2]) {
      const whole = predictReading(fit, s, { ...planned, phase });
      const own = expectReading(kept, subjectOf(fit, phases, s), { ...planned, phase });
      expect(own.known).toBe(whole.known);
      if (!own.known || !whole.known) continue;
      for (const key of ['loUa', 'medianUa', 'hiUa'] as const) expect(own[key] / whole[key]).toBeCloseTo(1, 5);
      compared++;
    }
  expect(compared).toBeGreaterThan(700);
});

test('a temperature that is only a guess widens the interval and leaves its middle', () => {
  const subject = subjectOf(fit, phases, fit.order[0]!);
  const sure = expectReading(basis, subject, planned);
  const guessed = expectReading(basis, subject, { ...planned, temperatureVariance: 36 });
  if (!sure.known || !guessed.known) throw new Error('nothing foretold');
  expect(guessed.hiUa / guessed.loUa).toBeGreaterThan(1.02 * (sure.hiUa / sure.loUa));
  expect(Math.abs(Math.log(guessed.medianUa / sure.medianUa))).toBeLessThan(0.05);
});

test('the place of a reading among those to come is the inverse of their quantile', () => {
  const forecast = forecastReading(basis, subjectOf(fit, phases, fit.order[3]!), planned);
  if (!forecast.known) throw new Error(forecast.because);
  for (const p of [0.01, 0.05, 0.5, 0.95, 0.99])
    expect(readingPlace(forecast, readingQuantile(forecast, p))).toBeCloseTo(p, 4);
});

describe('what the readings of one more test would make of growth', () => {
  const { columns: whole } = simulateFleet(named('plain'), 400, 9);
  const held = lastTests(whole);
  const before = fitGrowth(only(whole, (r) => !held.has(r)));
  const beforeBasis = readingBasis(before.model);
  const beforePhases = phaseBasis(before.model);

  test('agrees with fitting the whole fleet again, to a fifth of the interval’s half-width for most segments', () => {
    let close = 0;
    let moved = 0;
    const segments = [...new Set([...held].map((r) => whole.readings.segment[r]!))].filter((_, k) => k % 40 === 0);
    for (const s of segments) {
      const taken = [...held].filter((r) => whole.readings.segment[r] === s && whole.readings.belowFloor[r] === 0);
      if (taken.length === 0) continue;
      const updated = updateGrowth(
        beforeBasis,
        subjectOf(before, beforePhases, s),
        taken.map((r) => ({
          phase: whole.readings.phase[r]!,
          voltageKv: whole.readings.voltageKv[r]!,
          dwellMin: whole.readings.dwellMin[r]!,
          insulationTempC: whole.readings.insulationTempC[r]!,
          day: whole.readings.day[r]!,
          leakageUa: whole.readings.leakageUa[r]!,
        })),
      );
      const after = fitGrowth(only(whole, (r) => !held.has(r) || whole.readings.segment[r] === s));
      const half = (after.segments.growthHi[s]! - after.segments.growthLo[s]!) / 2;
      if (Math.abs(updated.growthPctPerYr - after.segments.growthPctPerYr[s]!) < 0.2 * half) close++;
      expect(updated.levelNsPerKm / after.segments.levelNsPerKm[s]!).toBeGreaterThan(0.85);
      expect(updated.levelNsPerKm / after.segments.levelNsPerKm[s]!).toBeLessThan(1.18);
      moved++;
    }
    expect(moved).toBeGreaterThanOrEqual(8);
    expect(close / moved).toBeGreaterThan(0.8);
  });

  test('a higher reading raises growth and level, and any reading narrows what is known', () => {
    const s = before.order[50]!;
    const subject = subjectOf(before, beforePhases, s);
    const at = { phase: 0, voltageKv: 20, dwellMin: 15, insulationTempC: 15, day: whole.asOfDay };
    const expected = expectReading(beforeBasis, subject, at);
    if (!expected.known) throw new Error(expected.because);
    const low = updateGrowth(beforeBasis, subject, [{ ...at, leakageUa: expected.medianUa }]);
    const high = updateGrowth(beforeBasis, subject, [{ ...at, leakageUa: expected.hiUa }]);
    expect(high.growthPctPerYr).toBeGreaterThan(low.growthPctPerYr);
    expect(high.levelNsPerKm).toBeGreaterThan(low.levelNsPerKm);
    expect(low.levelHi / low.levelLo).toBeLessThan(before.segments.levelHi[s]! / before.segments.levelLo[s]!);
  });
});

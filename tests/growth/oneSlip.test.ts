import { describe, expect, test } from 'vitest';
import type { FleetColumns } from '../../core/growth/columns.ts';
import { fitGrowth } from '../../core/growth/fitGrowth.ts';
import { flag } from '../../core/growth/normalise.ts';
import { regimes } from '../../core/growth/proving/regimes.ts';
import { simulateFleet } from '../../core/growth/proving/simulateFleet.ts';

// No outside source: the claim is ours (a unit slip must not move the fleet) and the fleet is simulated.

const clean = { ...regimes.find((regime) => regime.name === 'messy')!, eventSlipShare: 0, phaseSlipShare: 0 };
const { columns } = simulateFleet(clean, 600, 11);
const before = fitGrowth(columns);

function placeOf(order: Int32Array, count: number, without: number): Int32Array {
  const place = new Int32Array(count).fill(-1);
  let at = 0;
  for (const s of order) if (s !== without) place[s] = at++;
  return place;
}

function corrupted(reading: number, factor: number): FleetColumns {
  const leakageUa = columns.readings.leakageUa.slice();
  leakageUa[reading]! *= factor;
  return { ...columns, readings: { ...columns.readings, leakageUa } };
}

/** Readings of many kinds: spread over the fleet, and always a segment's last. */
const spread = [5, 900, 1800, 2700, 3600, 4500, 5400, 6300].filter((r) => columns.readings.belowFloor[r] === 0);

describe('one reading of a fleet of 600 written a thousand times too high', () => {
  test.each(spread)('moves no other segment by more than two places and is found (reading %i)', (reading) => {
    const segment = columns.readings.segment[reading]!;
    const after = fitGrowth(corrupted(reading, 1000));
    expect(after.readings.flag[reading]).toBe(flag.repaired);
    expect(after.readings.factor[reading]).toBe(0.001);
    const was = placeOf(before.order, 600, segment);
    const is = placeOf(after.order, 600, segment);
    for (let s = 0; s < 600; s++) expect(Math.abs(was[s]! - is[s]!)).toBeLessThanOrEqual(2);
  });

  test('is put back to where it was, so that its own segment keeps its growth', () => {
    const reading = spread[3]!;
    const segment = columns.readings.segment[reading]!;
    const after = fitGrowth(corrupted(reading, 1000));
    expect(after.segments.growthPctPerYr[segment]).toBeCloseTo(before.segments.growthPctPerYr[segment]!, 1);
  });

  test('is found as well when a whole test is written a thousand times too low', () => {
    const event = columns.readings.event[2700]!;
    const leakageUa = columns.readings.leakageUa.map((ua, r) => (columns.readings.event[r] === event ? ua / 1000 : ua));
    const after = fitGrowth({ ...columns, readings: { ...columns.readings, leakageUa } });
    for (let r = 0; r < columns.readings.count; r++) {
      if (columns.readings.event[r] === event && columns.readings.belowFloor[r] === 0) {
        expect(after.readings.factor[r]).toBe(1000);
      }
    }
  });

  test('without the repair does harm: the check above can fail', () => {
    const reading = spread[3]!;
    const segment = columns.readings.segment[reading]!;
    const options = { repairSlips: false, downWeightPhases: false };
    const was = placeOf(fitGrowth(columns, options).order, 600, segment);
    const is = placeOf(fitGrowth(corrupted(reading, 1000), options).order, 600, segment);
    let moved = 0;
    for (let s = 0; s < 600; s++) moved = Math.max(moved, Math.abs(was[s]! - is[s]!));
    expect(moved).toBeGreaterThan(2);
  });
});

import { describe, expect, test } from 'vitest';
import type { FleetColumns } from '../../core/growth/columns.ts';
import { fitGrowth } from '../../core/growth/fitGrowth.ts';
import { flag } from '../../core/growth/normalise.ts';
import { regimes } from '../../core/growth/proving/regimes.ts';
import { simulateFleet } from '../../core/growth/proving/simulateFleet.ts';

const plain = regimes.find((regime) => regime.name === 'plain')!;
const { columns } = simulateFleet(plain, 300, 11);
const { readings } = columns;
const fit = fitGrowth(columns);

/** A middling segment with five tests of three phases each. */
const segment = [...fit.order.subarray(150)].find((s) => {
  const own = [...readings.segment.keys()].filter((r) => readings.segment[r] === s);
  return fit.segments.tests[s] === 5 && own.length === 15;
})!;
const rowsOf = (phase: number) =>
  [...readings.segment.keys()].filter((r) => readings.segment[r] === segment && readings.phase[r] === phase);

/** The fleet with the readings of one phase of that segment multiplied, one factor a test. */
function changed(phase: number, factors: readonly number[]): FleetColumns {
  const leakageUa = readings.leakageUa.slice();
  rowsOf(phase).forEach((r, i) => {
    leakageUa[r]! *= factors[i]!;
  });
  return { ...columns, readings: { ...readings, leakageUa } };
}

const years = (phase: number) => {
  const rows = rowsOf(phase);
  return rows.map((r) => (readings.day[r]! - readings.day[rows[0]!]!) / 365.25);
};
const repaired = (made: ReturnType<typeof fitGrowth>, phase: number) =>
  rowsOf(phase).map((r) => made.readings.flag[r] === flag.repaired);

describe('a phase far above the others', () => {
  test('that rose there over its tests ages on its own, and is not taken for a slip of a thousand', () => {
    // Four hundredfold by the last test: nearer to a thousand than to nothing.
    const rate = Math.log(400) / years(1).at(-1)!;
    const made = fitGrowth(
      changed(
        1,
        years(1).map((t) => Math.exp(rate * t)),
      ),
    );
    expect(repaired(made, 1)).toEqual([false, false, false, false, false]);
    expect(made.segments.worstPhase[segment]).toBe(1);
    expect(made.segments.pPhaseOwn[segment]).toBeGreaterThan(0.95);
    const before = Math.log1p(fit.segments.growthPctPerYr[segment]! / 100);
    const after = Math.log1p(made.segments.growthPctPerYr[segment]! / 100);
    // The mean of the phases gains a third of it.
    expect(after - before).toBeGreaterThan(0.8 * (rate / 3));
    expect(after - before).toBeLessThan(1.2 * (rate / 3));
  });

  test('in one test, a thousand times, is a slip and moves nothing', () => {
    const made = fitGrowth(changed(2, [1, 1, 1, 1000, 1]));
    expect(repaired(made, 2)).toEqual([false, false, false, true, false]);
    expect(made.segments.growthPctPerYr[segment]).toBeCloseTo(fit.segments.growthPctPerYr[segment]!, 1);
  });

  test('in one test only, fourfold, is a stray; at the end of a rise it is the rise', () => {
    const stray = fitGrowth(changed(0, [1, 1, 4, 1, 1]));
    expect(stray.segments.pPhaseOwn[segment]).toBeLessThan(0.2);
    const rows = rowsOf(0);
    const rise = fitGrowth(
      changed(
        0,
        rows.map((_, i) => [1, 1, 1.7, 2.6, 4][i]!),
      ),
    );
    expect(rise.segments.pPhaseOwn[segment]).toBeGreaterThan(0.8);
    expect(rise.segments.worstPhase[segment]).toBe(0);
  });
});

describe('work on a segment', () => {
  const tested = years(1);
  const day = readings.day[rowsOf(1)[3]!]! - 1;
  const renewed = (made: FleetColumns): FleetColumns => {
    const at = [...made.interventions.segment].findIndex((s) => s > segment);
    const into = (list: ArrayLike<number>, value: number): number[] => {
      const all = Array.from(list);
      all.splice(at < 0 ? all.length : at, 0, value);
      return all;
    };
    return {
      ...made,
      interventions: {
        count: made.interventions.count + 1,
        segment: Int32Array.from(into(made.interventions.segment, segment)),
        day: Int32Array.from(into(made.interventions.day, day)),
        kind: Uint8Array.from(into(made.interventions.kind, 2)),
      },
    };
  };

  test('that ended a phase’s rise leaves the phases alike from then on', () => {
    const made = fitGrowth(renewed(changed(1, [1, 3, 9, 1, 1])));
    expect(made.segments.pPhaseOwn[segment]).toBeLessThan(0.2);
    const level = made.segments.levelNsPerKm[segment]! / fit.segments.levelNsPerKm[segment]!;
    expect(level).toBeGreaterThan(0.7);
    expect(level).toBeLessThan(1.4);
  });

  test('elsewhere on it does not end a phase’s rise', () => {
    const rate = Math.log(60) / tested.at(-1)!;
    const made = fitGrowth(
      renewed(
        changed(
          1,
          tested.map((t) => Math.exp(rate * t)),
        ),
      ),
    );
    expect(made.segments.pPhaseOwn[segment]).toBeGreaterThan(0.9);
    expect(made.segments.worstPhase[segment]).toBe(1);
  });
});

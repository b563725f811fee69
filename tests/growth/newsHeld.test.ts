import { describe, expect, test } from 'vitest';
import type { FleetColumns, ReadingColumns } from '../../core/growth/columns.ts';
import { fitGrowth } from '../../core/growth/fitGrowth.ts';
import { growthWithNews } from '../../core/growth/newsHeld.ts';
import { regimes } from '../../core/growth/proving/regimes.ts';
import { simulateFleet } from '../../core/growth/proving/simulateFleet.ts';

// No outside source: fleets are simulated under laws that are not the model's, and the answer is held against a fit of all.
const { columns } = simulateFleet(regimes.find((regime) => regime.name === 'messy')!, 500, 12);

function only(keep: (r: number) => boolean): FleetColumns {
  const kept = Array.from({ length: columns.readings.count }, (_, r) => r).filter(keep);
  const readings = Object.fromEntries(
    Object.entries(columns.readings).map(([name, column]) => [
      name,
      typeof column === 'number' ? kept.length : (column as Float64Array).filter((_, r) => keep(r)),
    ]),
  ) as unknown as ReadingColumns;
  return { ...columns, readings };
}

/** Readings of the last test of every tenth segment with more than two tests: the news. */
const { count, segment, event } = columns.readings;
const lastEvent = new Map<number, number>();
const tests = new Map<number, Set<number>>();
for (let r = 0; r < count; r++) {
  lastEvent.set(segment[r]!, event[r]!);
  tests.set(segment[r]!, (tests.get(segment[r]!) ?? new Set()).add(event[r]!));
}
const isNews = (r: number) =>
  segment[r]! % 10 === 3 && tests.get(segment[r]!)!.size > 2 && event[r] === lastEvent.get(segment[r]!);
const old = fitGrowth(only((r) => !isNews(r)));
const whole = fitGrowth(columns);
const held = growthWithNews(old, columns, whole.readings.factor)!;
const touched = new Set(
  Array.from({ length: count }, (_, r) => r)
    .filter(isNews)
    .map((r) => segment[r]!),
);

describe('news of some segments while what the fleet shares is held', () => {
  test('leaves the others where they were', () => {
    const moves: number[] = [];
    for (let s = 0; s < columns.segments.count; s++) {
      if (touched.has(s) || Number.isNaN(held[s]!)) continue;
      moves.push(Math.abs(held[s]! - old.segments.growthPctPerYr[s]!));
    }
    expect(touched.size).toBeGreaterThan(20);
    // % a year; events with strays and floors are weighed anew in rounds, and an old slip may be seen only now.
    moves.sort((a, b) => a - b);
    expect(moves[Math.floor(0.95 * moves.length)]!).toBeLessThan(0.1);
  });

  test('moves the segments with news nearly to where a fit of everything puts them', () => {
    let explained = 0;
    let change = 0;
    for (const s of touched) {
      explained += Math.abs(whole.segments.growthPctPerYr[s]! - held[s]!);
      change += Math.abs(whole.segments.growthPctPerYr[s]! - old.segments.growthPctPerYr[s]!);
    }
    expect(change).toBeGreaterThan(10);
    expect(explained).toBeLessThan(0.2 * change);
  });
});

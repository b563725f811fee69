import { describe, expect, test } from 'vitest';
import type { FleetColumns } from '../../core/growth/columns.ts';
import { fitGrowth } from '../../core/growth/fitGrowth.ts';
import { readingFlags } from '../../core/growth/normalise.ts';
import { regimes } from '../../core/growth/proving/regimes.ts';
import { simulateFleet } from '../../core/growth/proving/simulateFleet.ts';

// No outside source: slips are put in at known places of a simulated fleet whose laws are not the model's. Several of
// these headed the ranking of a large invented utility with growths of thousands of per cent before they were repaired.

const clean = { ...regimes.find((regime) => regime.name === 'messy')!, eventSlipShare: 0, phaseSlipShare: 0 };
const { columns } = simulateFleet(clean, 500, 17);
const { readings } = columns;

/** Tests of each segment whose readings are all exact, as [first, last-plus-one] readings. */
const tests: [number, number][][] = Array.from({ length: columns.segments.count }, () => []);
for (let r = 0; r < readings.count; ) {
  let end = r + 1;
  while (end < readings.count && readings.event[end] === readings.event[r]) end++;
  const exact = readings.belowFloor.slice(r, end).every((below) => below === 0);
  if (exact && readings.leakageUa[r]! < 90) tests[readings.segment[r]!]!.push([r, end]);
  r = end;
}

function written(places: readonly (readonly [number, number])[], factor: number): FleetColumns {
  const leakageUa = readings.leakageUa.slice();
  for (const [from, to] of places) for (let r = from; r < to; r++) leakageUa[r]! *= factor;
  return { ...columns, readings: { ...readings, leakageUa } };
}

/** Share of the readings that the fit set right by this factor, or took for the second of a pair entered twice. */
function setRight(fleet: FleetColumns, places: readonly (readonly [number, number])[], factor: number): number {
  const fit = fitGrowth(fleet);
  let right = 0;
  let all = 0;
  for (const [from, to] of places)
    for (let r = from; r < to; r++) {
      all++;
      const twice = readingFlags[fit.readings.flag[r]!] === 'duplicate';
      if (twice || Math.abs(fit.readings.factor[r]! / factor - 1) < 1e-9) right++;
    }
  return right / all;
}

const some = (least: number) => tests.filter((own, s) => s % 12 === 5 && own.length >= least);

describe('the fit sets right', () => {
  test.each([
    ['a thousand too high at the last test', (own: [number, number][]) => [own.at(-1)!], 1000],
    ['a thousand too low at the first test', (own: [number, number][]) => [own[0]!], 0.001],
    ['a million too high (nA written as mA)', (own: [number, number][]) => [own[1]!], 1e6],
    ['a thousand too high at two tests of one segment', (own: [number, number][]) => [own[0]!, own.at(-1)!], 1000],
  ] as const)('%s: 93 %% of the readings', (_, pick, factor) => {
    const places = some(4).flatMap((own) => pick(own));
    expect(places.length).toBeGreaterThan(15);
    expect(setRight(written(places, factor), places, 1 / factor)).toBeGreaterThan(0.93);
  });

  test('a slip on a cable that has also risen fivefold: 85 % of the readings, by the slip alone', () => {
    const places = some(3).map((own) => own.at(-1)!);
    expect(setRight(written(places, 5000), places, 1 / 1000)).toBeGreaterThan(0.85);
  });

  test('no more than one reading in two thousand of a fleet without slips', () => {
    const fit = fitGrowth(columns);
    const repaired = fit.readings.factor.filter((factor) => factor !== 1).length;
    expect(repaired / readings.count).toBeLessThan(1 / 2000);
  });
});

test('a current that no tester drives, and no slip explains, is left out and moves its segment nowhere', () => {
  const [from, to] = some(4)[3]!.at(-1)!;
  const segment = readings.segment[from]!;
  const leakageUa = readings.leakageUa.slice();
  for (let r = from; r < to; r++) leakageUa[r] = 40_000 * leakageUa[r]! > 100_000 ? 40_000 * leakageUa[r]! : 150_000;
  const fit = fitGrowth({ ...columns, readings: { ...readings, leakageUa } });
  for (let r = from; r < to; r++) expect(readingFlags[fit.readings.flag[r]!]).toBe('left out');
  expect(fit.segments.growthPctPerYr[segment]).toBeLessThan(20);
});

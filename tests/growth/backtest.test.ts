import { expect, test } from 'vitest';
import { backtest } from '../../core/growth/backtest.ts';
import { fitGrowth } from '../../core/growth/fitGrowth.ts';
import { regimes } from '../../core/growth/proving/regimes.ts';
import { simulateFleet } from '../../core/growth/proving/simulateFleet.ts';
import { countQuantiles } from '../../core/numerics/countQuantiles.ts';

// No outside source: truth is simulated under laws that are not the model's (core/growth/proving/laws.ts).

// Coverage was told of the segments that accelerate now, last reading included: those that it had surprised, of which
// any interval holds fewer.
test('segments that were speeding up before their last test fall inside the 90 % interval as often as all do', () => {
  const { columns } = simulateFleet(regimes.find(({ name }) => name === 'accelerating')!, 3000, 22);
  const { accelerating, overall } = backtest(fitGrowth(columns));
  expect(overall.inside90).toBeGreaterThan(0.88);
  expect(accelerating.tests).toBeGreaterThan(20);
  const [least] = countQuantiles(0.9 * accelerating.tests, 0.09 * accelerating.tests, [0.001]);
  expect(accelerating.inside90 * accelerating.tests).toBeGreaterThanOrEqual(least!);
});

test('every last test that could be predicted stands in the intervals or below the floor, and among the chances or without a limit', () => {
  const { columns } = simulateFleet(regimes.find(({ name }) => name === 'under the floor')!, 400, 21);
  columns.segments.limitNsPerKm.fill(Number.NaN, 0, 40);
  const tested = backtest(fitGrowth(columns));
  expect(tested.belowFloor).toBeGreaterThan(0);
  expect(tested.withoutLimit).toBeGreaterThan(0);
  const among = tested.bins.reduce((sum, bin) => sum + bin.tests, 0);
  expect(tested.tests + tested.belowFloor).toBe(among + tested.withoutLimit);
});

import { expect, test } from 'vitest';
import type { Backtest } from '../../core/growth/backtest.ts';
import { backtestRows } from '../../core/tasks/backtest-rows.ts';

const group = (name: string, tests: number, inside90: number) => ({ name, tests, inside90, inside50: 0.5 });

const tested = (some: Partial<Backtest>): Backtest => ({
  tests: 381,
  overall: group('all', 381, 0.9),
  families: [group('PILC', 381, 0.9)],
  accelerating: group('accelerating', 0, Number.NaN),
  belowFloor: 0,
  withoutLimit: 0,
  slices: new Int32Array(10),
  bins: [],
  expected: 20,
  observed: 21,
  brier: 0.02,
  brierOfAverage: 0.05,
  calibration: { known: false, because: 'too few' },
  ...some,
});

test('which last tests count where is said only where some do not', () => {
  expect(backtestRows(tested({})).basis).not.toMatch(/floor|without a limit/);
  const { basis } = backtestRows(tested({ belowFloor: 1, withoutLimit: 2 }));
  expect(basis).toContain('One last test lay below its instrument’s floor');
  expect(basis).toContain('segments without a limit (2)');
});

test('what segments that were speeding up come to is said with why they are chosen so, and a lack beyond chance as one', () => {
  const none = backtestRows(tested({}));
  expect(none.basis).not.toContain('Speeding up');
  expect(none.coverage.map((row) => row.name)).toEqual(['all', 'PILC']);
  const few = backtestRows(tested({ accelerating: group('accelerating', 4, 0.75) }));
  expect(few.coverage.at(-1)).toMatchObject({ name: 'speeding up before', tests: 4, inside90Pct: 75 });
  expect(few.basis).toContain('of those any interval holds fewer');
  expect(few.basis).not.toContain('too narrow');
  const lacking = backtestRows(tested({ accelerating: group('accelerating', 369, 0.642) }));
  expect(lacking.basis).toContain('Only 64.2 % of them lie inside, fewer than chance alone leaves');
});

// No outside source: probabilities of a binomial count, summed by hand.
test('chance alone leaves what a binomial count does, finely told where tests are many', () => {
  const chance = (tests: number) =>
    backtestRows(tested({ overall: group('all', tests, 0.9) })).coverage[0]!.chanceAlonePct;
  // 10 tests: P(N ≤ 6) = 0.0128, P(N ≤ 7) = 0.0702, P(N ≤ 9) = 0.6513.
  expect(chance(10)).toEqual({ lo: 70, hi: 100 });
  // 200,000: 1.96 standard deviations of √(n · 0.09) are 263 tests, 0.13 %.
  expect(chance(200_000)).toEqual({ lo: 89.9, hi: 90.1 });
});

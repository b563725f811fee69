import { describe, expect, test } from 'vitest';
import { pExceedWithin } from '../../core/forecast/crossing.ts';
import { backtest } from '../../core/growth/backtest.ts';
import { fitGrowth } from '../../core/growth/fitGrowth.ts';
import type { GrowthFit } from '../../core/growth/growthFit.ts';
import { plainMixedModel, plainSlopes } from '../../core/growth/proving/plainMethods.ts';
import { regimes } from '../../core/growth/proving/regimes.ts';
import { scoreAnswers } from '../../core/growth/proving/score.ts';
import { simulateFleet } from '../../core/growth/proving/simulateFleet.ts';

// No outside source: truth is simulated under laws that are not the model's (core/growth/proving/laws.ts).
// 1,500 segments: the standard error of a coverage is 0.8 points, of a family's about 2 points.

function answersOf(fit: GrowthFit) {
  const { segments } = fit.model.columns;
  const posterior = { count: segments.count, ...fit.posterior, limitNsPerKm: segments.limitNsPerKm };
  return {
    growth: fit.segments.growthPctPerYr,
    growthLo: fit.segments.growthLo,
    growthHi: fit.segments.growthHi,
    pExceed5: Float64Array.from({ length: segments.count }, (_, s) => pExceedWithin(posterior, s, 5)),
  };
}

const named = (name: string) => regimes.find((regime) => regime.name === name)!;

describe.each(['plain', 'messy', 'sparse', 'under the floor', 'other laws', 'single phase'])(
  'on a simulated fleet, %s',
  (name) => {
    const { columns, truth } = simulateFleet(named(name), 1500, 21);
    const fit = fitGrowth(columns);
    const ours = scoreAnswers(answersOf(fit), truth, columns.segments.insulation);

    test('90 % intervals hold between 86 % and 94 % of the true growths', () => {
      expect(ours.coverage).toBeGreaterThan(0.86);
      expect(ours.coverage).toBeLessThan(0.94);
    });

    test('the ranking is no worse than by any plain method, nor than the plain mixed model’s', () => {
      const plain = plainSlopes(columns);
      for (const growth of [plain.rawLeastSquares, plain.leastSquares, plain.theilSen]) {
        const score = scoreAnswers({ growth }, truth, columns.segments.insulation);
        expect(ours.rankCorrelation).toBeGreaterThan(score.rankCorrelation);
        expect(ours.precisionTop).toBeGreaterThan(score.precisionTop);
      }
      const mixed = scoreAnswers(answersOf(plainMixedModel(columns)), truth, columns.segments.insulation);
      expect(ours.rankCorrelation).toBeGreaterThan(mixed.rankCorrelation);
      expect(ours.brier).toBeLessThan(mixed.brier);
    });

    test('expected exceedances are between 0.7 and 1.3 of those that come, give or take their own chance', () => {
      // Two standard errors of the count that comes (about 35 on the clean fleet, 100 on the others).
      const observed = truth.exceedsIn5y.reduce((a, b) => a + b, 0);
      const chance = 2 / Math.sqrt(observed);
      expect(ours.expectedOverObserved).toBeGreaterThan(0.7 * (1 - chance));
      expect(ours.expectedOverObserved).toBeLessThan(1.3 * (1 + chance));
    });

    test('the last test of each segment falls into its predicted interval as often as it should', () => {
      const back = backtest(fit);
      expect(back.overall.inside90).toBeGreaterThan(0.86);
      expect(back.overall.inside90).toBeLessThan(0.94);
      expect(back.slices.reduce((a, b) => a + b, 0)).toBe(back.tests);
    });
  },
);

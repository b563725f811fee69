import type { FleetColumns } from '../columns.ts';
import { fitGrowth } from '../fitGrowth.ts';
import type { GrowthFit } from '../growthFit.ts';
import { plainMixedModel, plainSlopes } from './plainMethods.ts';
import { type Regime, regimes } from './regimes.ts';
import { type Answers, type Score, scoreAnswers } from './score.ts';
import { simulateFleet } from './simulateFleet.ts';

export interface ProofOptions {
  readonly segments: number;
  readonly seeds: readonly number[];
  /** Names of regimes; all where absent. */
  readonly only?: readonly string[];
  /**
   * P(the limit is passed within five years) of each segment from a fit; handed in because crossing is another room's.
   */
  readonly pExceed5: (fit: GrowthFit, columns: FleetColumns) => Float64Array;
}

export interface MethodProof {
  readonly method: string;
  /** Means over the seeds; NaN where the method says nothing. */
  readonly score: Score;
}

export interface RegimeProof {
  readonly regime: Regime;
  readonly methods: readonly MethodProof[];
}

/**
 * Simulates fleets with known truth, fits them by this method and by plain ones, and scores all alike. `onProgress` is
 * called between the steps of each fit.
 */
export function proveMethod(
  options: ProofOptions,
  onProgress: (share: number) => void = () => {},
): readonly RegimeProof[] {
  const chosen = regimes.filter((regime) => !options.only || options.only.includes(regime.name));
  let done = 0;
  const fits = chosen.length * options.seeds.length * 2;
  /** Within the fit that follows those done. */
  const within = (share: number) => onProgress((done + share) / fits);
  const proofs = chosen.map((regime) => {
    const scores = new Map<string, Score[]>();
    for (const seed of options.seeds) {
      within(0);
      const { columns, truth } = simulateFleet(regime, options.segments, seed);
      const slopes = plainSlopes(columns);
      within(0);
      const plain = plainMixedModel(columns, within);
      done++;
      const ours = fitGrowth(columns, {}, within);
      done++;
      const answersOf = (fit: GrowthFit): Answers => ({
        growth: fit.segments.growthPctPerYr,
        growthLo: fit.segments.growthLo,
        growthHi: fit.segments.growthHi,
        pExceed5: options.pExceed5(fit, columns),
      });
      const methods: readonly (readonly [string, Answers])[] = [
        ['least squares, raw µA', { growth: slopes.rawLeastSquares }],
        ['least squares, ln at 20 °C', { growth: slopes.leastSquares }],
        ['Theil–Sen, ln at 20 °C', { growth: slopes.theilSen }],
        ['plain mixed model', answersOf(plain)],
        ['this method', answersOf(ours)],
      ];
      for (const [name, answers] of methods) {
        const list = scores.get(name) ?? [];
        list.push(scoreAnswers(answers, truth, columns.segments.insulation));
        scores.set(name, list);
      }
    }
    return { regime, methods: [...scores].map(([method, list]) => ({ method, score: meanScore(list) })) };
  });
  onProgress(1);
  return proofs;
}

function meanScore(scores: readonly Score[]): Score {
  const mean = (pick: (score: Score) => number) => scores.reduce((sum, s) => sum + pick(s), 0) / scores.length;
  return {
    rankCorrelation: mean((s) => s.rankCorrelation),
    precisionTop: mean((s) => s.precisionTop),
    coverage: mean((s) => s.coverage),
    coverageTop: mean((s) => s.coverageTop),
    coverageAccelerating: mean((s) => s.coverageAccelerating),
    coverageByFamily: scores[0]!.coverageByFamily.map(({ family, segments }) => ({
      family,
      segments,
      coverage: mean((s) => s.coverageByFamily.find((other) => other.family === family)?.coverage ?? Number.NaN),
    })),
    brier: mean((s) => s.brier),
    brierSkill: mean((s) => s.brierSkill),
    expectedOverObserved: mean((s) => s.expectedOverObserved),
  };
}

import { insulationFamilies } from '../columns.ts';
import type { FleetTruth } from './simulateFleet.ts';

/** A method's answers; NaN where it has none. */
export interface Answers {
  /** Ranked by: any scale on which more is faster. */
  readonly growth: Float64Array;
  /** % per year; absent where the method gives no interval. */
  readonly growthLo?: Float64Array;
  readonly growthHi?: Float64Array;
  /** Absent where the method says nothing of the limit. */
  readonly pExceed5?: Float64Array;
}

/** How good a method was. NaN where it gave nothing to judge. */
export interface Score {
  /** Spearman's rank correlation with the true growth. */
  readonly rankCorrelation: number;
  /** Share of its fastest 5 % that are truly among the fastest 5 %. */
  readonly precisionTop: number;
  readonly coverage: number;
  readonly coverageTop: number;
  readonly coverageAccelerating: number;
  readonly coverageByFamily: readonly {
    readonly family: string;
    readonly segments: number;
    readonly coverage: number;
  }[];
  readonly brier: number;
  /** 1 − Brier ÷ that of saying the average share of everyone. */
  readonly brierSkill: number;
  readonly expectedOverObserved: number;
}

/** Judges answers against the truth. A segment without an answer ranks last and counts as the average for P(exceed). */
export function scoreAnswers(answers: Answers, truth: FleetTruth, insulation: Uint8Array): Score {
  const n = truth.growthPctPerYr.length;
  const given = answers.growth.map((g) => (Number.isNaN(g) ? Number.NEGATIVE_INFINITY : g));
  const top = Math.max(1, Math.round(0.05 * n));
  const trueTop = fastest(truth.growthPctPerYr, top);
  const found = fastest(given, top);
  let hits = 0;
  for (const s of found) if (trueTop.has(s)) hits++;
  const inside = (s: number) =>
    truth.growthPctPerYr[s]! >= answers.growthLo![s]! && truth.growthPctPerYr[s]! <= answers.growthHi![s]!;
  const coverage = (of: (s: number) => boolean) => {
    if (!answers.growthLo || !answers.growthHi) return { share: Number.NaN, count: 0 };
    let count = 0;
    let covered = 0;
    for (let s = 0; s < n; s++) {
      if (Number.isNaN(answers.growthLo[s]!) || !of(s)) continue;
      count++;
      if (inside(s)) covered++;
    }
    return { share: count > 0 ? covered / count : Number.NaN, count };
  };
  return {
    rankCorrelation: correlation(ranks(given), ranks(truth.growthPctPerYr)),
    precisionTop: hits / top,
    coverage: coverage(() => true).share,
    coverageTop: coverage((s) => trueTop.has(s)).share,
    coverageAccelerating: coverage((s) => truth.accelerating[s] === 1).share,
    coverageByFamily: insulationFamilies.flatMap((family, code) => {
      const { share, count } = coverage((s) => insulation[s] === code);
      return count > 0 ? [{ family, segments: count, coverage: share }] : [];
    }),
    ...exceedScore(answers.pExceed5, truth.exceedsIn5y),
  };
}

function exceedScore(
  predicted: Float64Array | undefined,
  happened: Uint8Array,
): Pick<Score, 'brier' | 'brierSkill' | 'expectedOverObserved'> {
  if (!predicted) return { brier: Number.NaN, brierSkill: Number.NaN, expectedOverObserved: Number.NaN };
  const n = happened.length;
  let observed = 0;
  for (const h of happened) observed += h;
  const average = observed / n;
  let expected = 0;
  let brier = 0;
  for (let s = 0; s < n; s++) {
    const p = Number.isNaN(predicted[s]!) ? average : predicted[s]!;
    expected += p;
    brier += (p - happened[s]!) ** 2 / n;
  }
  return { brier, brierSkill: 1 - brier / (average * (1 - average)), expectedOverObserved: expected / observed };
}

function fastest(growth: Float64Array, count: number): Set<number> {
  const order = Int32Array.from(growth, (_, s) => s).sort((a, b) => growth[b]! - growth[a]! || a - b);
  return new Set(order.subarray(0, count));
}

/** Ranks from 1, ties sharing their mean. */
function ranks(values: Float64Array): Float64Array {
  const order = Int32Array.from(values, (_, s) => s).sort((a, b) => values[a]! - values[b]! || a - b);
  const out = new Float64Array(values.length);
  let i = 0;
  while (i < order.length) {
    let j = i;
    while (j + 1 < order.length && values[order[j + 1]!] === values[order[i]!]) j++;
    for (let k = i; k <= j; k++) out[order[k]!] = 1 + (i + j) / 2;
    i = j + 1;
  }
  return out;
}

function correlation(a: Float64Array, b: Float64Array): number {
  const n = a.length;
  const mean = (n + 1) / 2;
  let product = 0;
  let squareA = 0;
  let squareB = 0;
  for (let i = 0; i < n; i++) {
    product += (a[i]! - mean) * (b[i]! - mean);
    squareA += (a[i]! - mean) ** 2;
    squareB += (b[i]! - mean) ** 2;
  }
  return product / Math.sqrt(squareA * squareB);
}

import { normalCdf, normalInverseMills, normalLogCdf, normalPdf } from './normal.ts';

/** What is learned about a normal x from a noisy copy of it known only to lie in an interval. */
export interface IntervalMoments {
  mean: number;
  variance: number;
  /** Log of the probability that the copy falls into the interval. */
  logProbability: number;
}

/**
 * Moments of x ~ N(mean, variance) given that x + N(0, noiseVariance) lies between `low` (may be −∞) and `high`,
 * written into `out`. Never fails: an interval too far away to have a probability pulls x to its nearer end.
 */
export function intervalMoments(
  mean: number,
  variance: number,
  noiseVariance: number,
  low: number,
  high: number,
  out: IntervalMoments,
): void {
  const total = variance + noiseVariance;
  const sd = Math.sqrt(total);
  const beta = (high - mean) / sd;
  let pull: number;
  let shrink: number;
  if (low === Number.NEGATIVE_INFINITY) {
    out.logProbability = normalLogCdf(beta);
    pull = -normalInverseMills(beta);
    shrink = pull * (pull - beta);
  } else {
    const alpha = (low - mean) / sd;
    const probability = alpha > 0 ? normalCdf(-alpha) - normalCdf(-beta) : normalCdf(beta) - normalCdf(alpha);
    if (probability > 1e-280) {
      const a = normalPdf(alpha);
      const b = normalPdf(beta);
      out.logProbability = Math.log(probability);
      pull = (a - b) / probability;
      shrink = pull * pull + (beta * b - alpha * a) / probability;
    } else {
      const nearer = alpha > 0 ? alpha : beta;
      out.logProbability = -0.5 * nearer * nearer;
      pull = nearer;
      shrink = 1;
    }
  }
  out.mean = mean + (variance / sd) * pull;
  out.variance = Math.max(
    variance * 1e-9,
    variance - ((variance * variance) / total) * Math.min(1, Math.max(0, shrink)),
  );
}

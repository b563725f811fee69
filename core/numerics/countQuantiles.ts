/**
 * Quantiles of a count from its mean and variance: the smallest k with P(N ≤ k) ≥ p, for each p in rising order. The
 * distribution is the member of Panjer's class p(k) = p(k − 1)·(a + b/k) that has the two moments: negative binomial where
 * the variance exceeds the mean, Poisson where they are equal, binomial (its size need not be whole) where it is less.
 * Source: H. H. Panjer, ASTIN Bulletin 12 (1981) 22; mean (a + b)/(1 − a), variance (a + b)/(1 − a)².
 * RangeError for a negative or unbounded moment and for a p outside 0 … 1.
 */
export function countQuantiles(mean: number, variance: number, probabilities: readonly number[]): number[] {
  if (!(mean >= 0 && variance >= 0 && Number.isFinite(mean + variance)))
    throw new RangeError(`a count has no mean ${mean} with variance ${variance}`);
  if (probabilities.some((p) => !(p >= 0 && p < 1)))
    throw new RangeError('quantiles of a count need probabilities from 0 to under 1');
  if (mean === 0 || variance === 0) return probabilities.map(() => Math.round(mean));
  const a = 1 - mean / variance;
  const b = (mean * mean) / variance - a;
  // Weights run both ways from the most likely count, so that nothing underflows where the counts are large.
  const mode = Math.max(0, Math.floor(b / (1 - a)));
  const weights = [1];
  let total = 1;
  for (let k = mode, w = 1; k > 0; k--) {
    w /= a + b / k;
    if (w < total * negligible) break;
    weights.push(w);
    total += w;
  }
  weights.reverse();
  const first = mode - weights.length + 1;
  for (let k = mode + 1, w = 1; ; k++) {
    w *= a + b / k;
    if (!(w > total * negligible)) break;
    weights.push(w);
    total += w;
  }
  let at = 0;
  let below = weights[0]!;
  return probabilities.map((p) => {
    while (at < weights.length - 1 && below < p * total * (1 - roundOff)) below += weights[++at]!;
    return first + at;
  });
}

/** A weight this small beside the sum no longer moves a quantile. */
const negligible = 1e-16;
/** A sum of weights that should equal p may miss it by this much. */
const roundOff = 1e-12;

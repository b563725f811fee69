const yearDays = 365.25;

/**
 * How much of a segment's growth its own tests carry, 0 … 1; its cohort lends the rest. It is the shrinkage factor of a
 * slope known from both: own precision Σ(t − t̄)²/σ² over eras of one level each, against the cohort's 1/spread².
 * `days` and `cuts` (interventions) rise; spreads in ln per year and ln. One test in every era: 0.
 */
export function ownShare(
  days: readonly number[],
  cuts: readonly number[],
  spread: { readonly slopeSd: number; readonly eventSd: number },
): number {
  let sum = 0;
  let n = 0;
  let mean = 0;
  let cut = 0;
  for (const day of days) {
    while (cut < cuts.length && cuts[cut]! <= day) {
      cut++;
      n = 0;
      mean = 0;
    }
    const t = day / yearDays;
    n++;
    const step = t - mean;
    mean += step / n;
    sum += step * (t - mean);
  }
  const own = sum / spread.eventSd ** 2;
  return own / (own + 1 / spread.slopeSd ** 2);
}

/** What is known of a part's share beforehand: with `chance` there is some of it, and then its share is Beta(1, `against`). */
export interface ShareOrNonePrior {
  readonly chance: number;
  readonly against: number;
}

export interface ShareOrNone {
  /** Probability that the part is there at all. */
  readonly chance: number;
  /** Its mean share if it is. */
  readonly share: number;
}

const firstStep = 0.5;
const lowest = -16;
const highest = 6;
/** Points this far (in ln) under the highest add nothing. */
const negligible = 30;
const enough = 1e-4;
const mostHalvings = 14;
/** Likelihood ratios are multiplied up to this many before their logarithm is taken; at most 1e30 each. */
const together = 8;
const mostRatio = 1e30;

/**
 * Whether a mixture has a part at all, and how much of it: the likelihood of none against that of some, averaged over
 * the share's prior (the Bayes factor: Kass and Raftery 1995), so that a share which only might be there costs its
 * own doubt. `ratio` holds each case's likelihood under the part ÷ that under the others. The integral is a trapezium
 * rule in ln(share ÷ (1 − share)), halved where it counts until it stands still.
 */
export function shareOrNone(ratio: Float64Array, prior: ShareOrNonePrior): ShareOrNone {
  const heightAt = (logit: number): number => {
    const share = 1 / (1 + Math.exp(-logit));
    const others = 1 / (1 + Math.exp(logit));
    let sum = Math.log(prior.against * share) + prior.against * Math.log(others);
    let product = 1;
    for (let i = 0; i < ratio.length; i++) {
      product *= others + share * Math.min(mostRatio, ratio[i]!);
      if (i % together !== together - 1) continue;
      sum += Math.log(product);
      product = 1;
    }
    return sum + Math.log(product);
  };
  let logits: number[] = [];
  for (let x = lowest; x <= highest; x += firstStep) logits.push(x);
  let heights = logits.map(heightAt);
  let step = firstStep;
  let found = integrate(logits, heights, step);
  for (let halving = 0; halving < mostHalvings; halving++) {
    const top = heights.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
    const counts = (i: number) => i >= 0 && i < heights.length && heights[i]! > top - negligible;
    const kept = logits.flatMap((_, i) => (counts(i - 1) || counts(i) || counts(i + 1) ? [i] : []));
    const closer: number[] = [];
    const heightsOf: number[] = [];
    for (const i of kept) {
      closer.push(logits[i]!);
      heightsOf.push(heights[i]!);
      if (i === kept.at(-1)) break;
      closer.push(logits[i]! + step / 2);
      heightsOf.push(heightAt(logits[i]! + step / 2));
    }
    logits = closer;
    heights = heightsOf;
    step /= 2;
    const before = found;
    found = integrate(logits, heights, step);
    if (Math.abs(found.log - before.log) < enough && Math.abs(found.share / before.share - 1) < enough) break;
  }
  const odds = (prior.chance / (1 - prior.chance)) * Math.exp(Math.min(600, found.log));
  return { chance: odds / (1 + odds), share: found.share };
}

/** ln of the integral, and the mean share under it. */
function integrate(
  logits: readonly number[],
  heights: readonly number[],
  step: number,
): { log: number; share: number } {
  const top = heights.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
  let sum = 0;
  let shares = 0;
  heights.forEach((height, i) => {
    const weight = Math.exp(height - top);
    sum += weight;
    shares += weight / (1 + Math.exp(-logits[i]!));
  });
  return { log: top + Math.log(step * sum), share: shares / sum };
}

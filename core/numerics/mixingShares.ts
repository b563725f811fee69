import { choleskyFactor, choleskyInverse, choleskySolve } from './cholesky.ts';

/** Two parts whose log shares are expected to differ by `offset`, give or take `sd`. */
export interface ShareLink {
  readonly part: number;
  readonly other: number;
  readonly offset: number;
  readonly sd: number;
}

export interface SharePrior {
  /** Cases of each part as if seen before (Dirichlet); one entry a part. */
  readonly counts: Float64Array;
  readonly links: readonly ShareLink[];
}

const mostSteps = 60;
const enough = 1e-7;

/**
 * Shares of the parts of a mixture whose densities are given: the maximum of Σ ln Σ share · density plus the prior, by
 * damped Newton steps on ln(share ÷ share of part 0). Plain expectation–maximisation (Dempster, Laird and Rubin 1977)
 * climbs the same hill but crawls where a part is hardly seen: there it would leave the guess it began with.
 * `density[i · parts + k]` may be scaled by any factor of the case; `start` is overwritten with the answer. Returns the
 * variance of each ln(share ÷ share of part 0) by the curvature at the top; 0 for part 0.
 */
export function mixingShares(
  density: Float64Array,
  cases: number,
  start: Float64Array,
  prior: SharePrior,
): Float64Array {
  const parts = start.length;
  const free = parts - 1;
  const theta = new Float64Array(parts);
  for (let k = 1; k < parts; k++) theta[k] = Math.log(Math.max(1e-12, start[k]!) / Math.max(1e-12, start[0]!));
  const share = new Float64Array(parts);
  const trial = new Float64Array(parts);
  const chance = new Float64Array(parts);
  const seen = new Float64Array(parts);
  const gradient = new Float64Array(free);
  const curvature = new Float64Array(free * free);
  const damped = new Float64Array(free * free);
  const lower = new Float64Array(free * free);
  const step = new Float64Array(free);
  let total = cases;
  for (const n of prior.counts) total += n;

  const value = (at: Float64Array): number => {
    softmax(at, chance);
    let sum = 0;
    for (let i = 0, from = 0; i < cases; i++, from += parts) {
      let mean = 0;
      for (let k = 0; k < parts; k++) mean += chance[k]! * density[from + k]!;
      sum += Math.log(mean);
    }
    for (let k = 0; k < parts; k++) if (prior.counts[k]! > 0) sum += prior.counts[k]! * Math.log(chance[k]!);
    for (const { part, other, offset, sd } of prior.links) sum -= 0.5 * ((at[part]! - at[other]! - offset) / sd) ** 2;
    return sum;
  };

  let height = value(theta);
  let damping = 1e-3;
  for (let pass = 0; pass < mostSteps; pass++) {
    softmax(theta, share);
    seen.fill(0);
    curvature.fill(0);
    for (let i = 0, from = 0; i < cases; i++, from += parts) {
      let mean = 0;
      for (let k = 0; k < parts; k++) mean += chance[k] = share[k]! * density[from + k]!;
      for (let k = 0; k < parts; k++) {
        chance[k]! /= mean;
        seen[k]! += chance[k]!;
      }
      for (let a = 0; a < free; a++) {
        for (let b = 0; b <= a; b++) curvature[a * free + b]! += chance[a + 1]! * chance[b + 1]!;
      }
    }
    for (let a = 0; a < free; a++) {
      gradient[a] = seen[a + 1]! + prior.counts[a + 1]! - total * share[a + 1]!;
      for (let b = 0; b <= a; b++) curvature[a * free + b]! -= total * share[a + 1]! * share[b + 1]!;
      curvature[a * free + a]! += total * share[a + 1]! - seen[a + 1]!;
    }
    for (const { part, other, offset, sd } of prior.links) {
      const pull = (theta[part]! - theta[other]! - offset) / sd ** 2;
      for (const [k, sign] of [
        [part - 1, 1],
        [other - 1, -1],
      ] as const) {
        if (k < 0) continue;
        gradient[k]! -= sign * pull;
        curvature[k * free + k]! += 1 / sd ** 2;
      }
      const high = Math.max(part, other) - 1;
      const low = Math.min(part, other) - 1;
      if (low >= 0) curvature[high * free + low]! -= 1 / sd ** 2;
    }
    let climbed = Number.NEGATIVE_INFINITY;
    while (damping < 1e12) {
      for (let a = 0; a < free; a++) {
        for (let b = 0; b <= a; b++) damped[a * free + b] = damped[b * free + a] = curvature[a * free + b]!;
        // Scaled by what a share that is fully seen would weigh, so that one damping serves large and small parts.
        damped[a * free + a]! += damping * (1 + total * share[a + 1]!);
      }
      if (choleskyFactor(damped, free, lower)) {
        step.set(gradient);
        choleskySolve(lower, free, step);
        trial[0] = 0;
        for (let a = 0; a < free; a++) trial[a + 1] = theta[a + 1]! + Math.max(-3, Math.min(3, step[a]!));
        climbed = value(trial) - height;
        if (climbed >= 0) break;
      }
      damping *= 10;
    }
    if (!(climbed >= 0)) break;
    damping = Math.max(1e-9, damping / 10);
    theta.set(trial);
    height += climbed;
    if (climbed < enough) break;
  }
  softmax(theta, start);
  const variance = new Float64Array(parts);
  // Of the last step's place, which is the top but for `enough`.
  for (let a = 0; a < free; a++) {
    for (let b = 0; b <= a; b++) damped[a * free + b] = damped[b * free + a] = curvature[a * free + b]!;
  }
  if (choleskyFactor(damped, free, lower)) {
    const inverse = choleskyInverse(lower, free);
    for (let a = 0; a < free; a++) variance[a + 1] = inverse[a * free + a]!;
  }
  return variance;
}

function softmax(theta: Float64Array, out: Float64Array): void {
  let top = 0;
  for (const t of theta) top = Math.max(top, t);
  let sum = 0;
  for (let k = 0; k < theta.length; k++) sum += out[k] = Math.exp(theta[k]! - top);
  for (let k = 0; k < theta.length; k++) out[k]! /= sum;
}

import { mixtureCdf, mixtureQuantile } from '../numerics/normalMixture.ts';
import { ways } from './agerParameters.ts';
import type { GrowthPosterior, SegmentGrowth } from './growthFit.ts';
import type { FittedModel } from './model.ts';
import { flag } from './normalise.ts';
import { contrastSlope } from './phaseContrasts.ts';

const pct = (logGrowth: number) => 100 * Math.expm1(logGrowth);

/** What is said of each segment. */
export function describeSegments(model: FittedModel, posterior: GrowthPosterior): SegmentGrowth {
  const { columns, events, contrasts, prepared, states, fit, rows } = model;
  const count = columns.segments.count;
  const numbers = () => new Float64Array(count).fill(Number.NaN);
  const out = {
    growthPctPerYr: numbers(),
    growthLo: numbers(),
    growthHi: numbers(),
    growthMedian: numbers(),
    pGrowing: numbers(),
    levelNsPerKm: numbers(),
    levelLo: numbers(),
    levelHi: numbers(),
    tests: new Int32Array(count),
    ownShare: numbers(),
    pAccelerating: numbers(),
    pFast: numbers(),
    worstPhase: new Int8Array(count).fill(-1),
    worstPhaseGrowthPct: numbers(),
    pPhaseOwn: Float64Array.from(contrasts.pOwn),
    censoredTests: new Int32Array(count),
    repairedReadings: new Int32Array(count),
    downWeightedReadings: new Int32Array(count),
    eras: new Int32Array(count),
  };
  const { weight, level, slope } = posterior;
  const levelSd = posterior.levelVariance.map(Math.sqrt);
  const slopeSd = posterior.slopeVariance.map(Math.sqrt);
  for (let s = 0; s < count; s++) {
    const first = events.segmentStart[s]!;
    const end = events.segmentStart[s + 1]!;
    out.tests[s] = end - first;
    if (first === end) continue;
    const at = s * ways;
    let mean = 0;
    let square = 0;
    for (let k = at; k < at + ways; k++) {
      mean += weight[k]! * slope[k]!;
      square += weight[k]! * (slope[k]! ** 2 + posterior.slopeVariance[k]!);
    }
    out.growthLo[s] = pct(mixtureQuantile(weight, slope, slopeSd, at, ways, 0.05));
    out.growthHi[s] = pct(mixtureQuantile(weight, slope, slopeSd, at, ways, 0.95));
    const median = mixtureQuantile(weight, slope, slopeSd, at, ways, 0.5);
    out.growthMedian[s] = pct(median);
    // Midway: the mean finds more of the fastest, the median orders the rest better.
    out.growthPctPerYr[s] = pct(0.5 * (mean + median));
    out.pGrowing[s] = 1 - mixtureCdf(weight, slope, slopeSd, at, ways, 0);
    out.levelNsPerKm[s] = Math.exp(mixtureQuantile(weight, level, levelSd, at, ways, 0.5));
    out.levelLo[s] = Math.exp(mixtureQuantile(weight, level, levelSd, at, ways, 0.05));
    out.levelHi[s] = Math.exp(mixtureQuantile(weight, level, levelSd, at, ways, 0.95));
    const lent = (square - mean * mean) / fit.variances.slopeVariance;
    out.ownShare[s] = Math.max(0, Math.min(1, 1 - lent));
    out.pAccelerating[s] = 0;
    for (let k = at + 2; k < at + ways; k++) out.pAccelerating[s]! += weight[k]!;
    out.pFast[s] = out.pAccelerating[s]! + weight[at + 1]!;
    let worst = Number.NEGATIVE_INFINITY;
    let common = mean;
    for (let phase = 0; phase < 3; phase++) common -= contrastSlope(contrasts, s, phase) / 3;
    for (let phase = 0; phase < 3; phase++) {
      const own = contrastSlope(contrasts, s, phase);
      if (contrasts.levelVariance[3 * s + phase] === contrasts.offsetVariance) continue;
      if (own <= worst) continue;
      worst = own;
      out.worstPhase[s] = phase;
      out.worstPhaseGrowthPct[s] = pct(common + own);
    }
    let bits = -1;
    for (let e = first; e < end; e++) {
      out.censoredTests[s]! += states.censored[e]!;
      if (rows.rows.stepBits[e] !== bits) out.eras[s]!++;
      bits = rows.rows.stepBits[e]!;
      for (let r = events.readingStart[e]!; r < events.readingEnd[e]!; r++) {
        if (prepared.flag[r] === flag.repaired) out.repairedReadings[s]!++;
        else if (prepared.flag[r] === flag.downWeighted) out.downWeightedReadings[s]!++;
      }
    }
  }
  return out;
}

/** The fastest first; equal growth in the order of the columns. Segments without a usable reading are left out. */
export function rankOrder(growth: Float64Array): Int32Array {
  let count = 0;
  for (const g of growth) if (!Number.isNaN(g)) count++;
  const order = new Int32Array(count);
  let at = 0;
  for (let s = 0; s < growth.length; s++) if (!Number.isNaN(growth[s]!)) order[at++] = s;
  return order.sort((a, b) => growth[b]! - growth[a]! || a - b);
}

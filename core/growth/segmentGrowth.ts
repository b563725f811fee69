import { mixtureCdf, mixtureQuantile } from '../numerics/normalMixture.ts';
import { posteriorParts, ways } from './agerParameters.ts';
import type { GrowthPosterior, SegmentGrowth } from './growthFit.ts';
import type { FittedModel } from './model.ts';
import { flag } from './normalise.ts';
import { contrastSlope } from './phaseContrasts.ts';

/** Slopes nearer than this are the same, per year. */
const alike = 1e-12;

const pct = (logGrowth: number) => 100 * Math.expm1(logGrowth);

/** What is said of each segment. */
export function describeSegments(model: FittedModel, posterior: GrowthPosterior): SegmentGrowth {
  const { columns, events, contrasts, prepared, states, rows } = model;
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
  const weight = new Float64Array(posteriorParts);
  const level = new Float64Array(posteriorParts);
  const slope = new Float64Array(posteriorParts);
  const levelSd = new Float64Array(posteriorParts);
  const slopeSd = new Float64Array(posteriorParts);
  for (let s = 0; s < count; s++) {
    const first = events.segmentStart[s]!;
    const end = events.segmentStart[s + 1]!;
    out.tests[s] = end - first;
    if (first === end) continue;
    const at = s * posteriorParts;
    let mean = 0;
    for (let k = 0; k < posteriorParts; k++) {
      weight[k] = posterior.weight[at + k]!;
      level[k] = posterior.level[at + k]!;
      slope[k] = posterior.slope[at + k]!;
      levelSd[k] = Math.sqrt(posterior.levelVariance[at + k]!);
      slopeSd[k] = Math.sqrt(posterior.slopeVariance[at + k]!);
      mean += weight[k]! * slope[k]!;
    }
    out.growthLo[s] = pct(mixtureQuantile(weight, slope, slopeSd, 0, posteriorParts, 0.05));
    out.growthHi[s] = pct(mixtureQuantile(weight, slope, slopeSd, 0, posteriorParts, 0.95));
    const median = mixtureQuantile(weight, slope, slopeSd, 0, posteriorParts, 0.5);
    out.growthMedian[s] = pct(median);
    // Midway: the mean finds more of the fastest, the median orders the rest better.
    out.growthPctPerYr[s] = pct(0.5 * (mean + median));
    out.pGrowing[s] = 1 - mixtureCdf(weight, slope, slopeSd, 0, posteriorParts, 0);
    out.levelNsPerKm[s] = Math.exp(mixtureQuantile(weight, level, levelSd, 0, posteriorParts, 0.5));
    out.levelLo[s] = Math.exp(mixtureQuantile(weight, level, levelSd, 0, posteriorParts, 0.05));
    out.levelHi[s] = Math.exp(mixtureQuantile(weight, level, levelSd, 0, posteriorParts, 0.95));
    out.pAccelerating[s] = 0;
    for (let k = 2; k < ways; k++) out.pAccelerating[s]! += weight[k]!;
    out.pFast[s] = out.pAccelerating[s]! + weight[1]!;
    let worst = Number.NEGATIVE_INFINITY;
    let common = mean;
    for (let phase = 0; phase < 3; phase++) common -= contrastSlope(contrasts, s, phase) / 3;
    for (let phase = 0; phase < 3; phase++) {
      const own = contrastSlope(contrasts, s, phase);
      if (contrasts.levelVariance[3 * s + phase] === contrasts.offsetVariance) continue;
      // Phases that read alike differ by rounding alone: the first of them stands.
      if (own <= worst + alike) continue;
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

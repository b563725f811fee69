import { groupScratch, invertSmall, mostRandom, writeRandomRow } from '../numerics/mixedModelGroup.ts';
import { quickNormalCdf } from '../numerics/normalTable.ts';
import { type AgerInput, type AgerParameters, type AgerParts, posteriorParts, ways } from './agerParameters.ts';
import { mostSums, pushShape, sumLayouts, sumSegment } from './agerStatistics.ts';

/** Ways less likely than this move no line. */
const light = 1e-10;

/** Expected sums of one pass over the segments. */
export class AgerSums {
  share = new Float64Array(ways);
  step2 = 0;
  steps = 0;
  count = 0;
  fast = new Float64Array(3);
  late = new Float64Array(3);
  /** Of the families: Σ u², Σ u v, Σ v², and how many segments. */
  level2: Float64Array;
  product: Float64Array;
  slope2: Float64Array;
  familySize: Float64Array;
  cohort: Float64Array;
  cohortSize: Float64Array;

  constructor(familyCount: number, cohortCount: number) {
    this.level2 = new Float64Array(familyCount);
    this.product = new Float64Array(familyCount);
    this.slope2 = new Float64Array(familyCount);
    this.familySize = new Float64Array(familyCount);
    this.cohort = new Float64Array(2 * cohortCount);
    this.cohortSize = new Float64Array(cohortCount);
  }
}

/** One segment at a time: the ordinary posterior, and for each push its rank-one change of it. */
export class AgerRoom {
  #input: AgerInput;
  #parameters: AgerParameters;
  #scratch = groupScratch(1);
  #prior = new Float64Array(mostRandom * mostRandom);
  #own = new Float64Array(mostSums);
  #c = new Float64Array(mostRandom);
  #mean = new Float64Array(mostRandom);
  #lean = new Float64Array(ways * mostRandom);
  #h = new Float64Array(ways);
  #hVariance = new Float64Array(ways);
  #base = 0;
  #segment = 0;
  #d = 2;
  readonly weight = new Float64Array(ways);
  /** The row left out of the sums of the next `solve`, for a look at a segment without one of its tests; −1 for none. */
  without = -1;

  constructor(input: AgerInput, parameters: AgerParameters) {
    this.#input = input;
    this.#parameters = parameters;
  }

  setParameters(parameters: AgerParameters): void {
    this.#parameters = parameters;
  }

  /** False where the segment has no rows. */
  solve(s: number): boolean {
    sumSegment(this.#input, s, this.#parameters.pivotYears, this.without, this.#own, 0);
    return this.solveKept(s, this.#own, 0);
  }

  /** The same from sums made before under the same pivot, which stand from `at` on. */
  solveKept(s: number, sums: Float64Array, at: number): boolean {
    const { rows, cohortOf } = this.#input;
    if (rows.rowStart[s] === rows.rowStart[s + 1]) return false;
    const p = this.#parameters;
    const d = 2 + rows.stepCount[s]!;
    this.#segment = s;
    this.#d = d;
    const { s: inverse, factor, work } = this.#scratch;
    const prior = this.#prior;
    const cohort = cohortOf[s]!;
    const level = p.ordinary[2 * cohort]!;
    const slope = p.ordinary[2 * cohort + 1]!;
    const atC = at + sumLayouts[d]!.c;
    for (let i = 0; i < d; i++) {
      this.#c[i] = sums[atC + i]! - level * sums[at + i * d]! - slope * sums[at + i * d + 1]!;
    }
    const family = this.#input.familyOf[s]!;
    const levelVariance = p.levelVariance[family]!;
    const slopeVariance = p.slopeVariance[family]!;
    const covariance = p.covariance[family]!;
    const determinant = levelVariance * slopeVariance - covariance * covariance;
    for (let i = 0; i < d * d; i++) prior[i] = sums[at + i]!;
    prior[0]! += slopeVariance / determinant;
    prior[1]! -= covariance / determinant;
    prior[d]! -= covariance / determinant;
    prior[d + 1]! += levelVariance / determinant;
    for (let k = 2; k < d; k++) prior[k * d + k]! += 1 / p.stepVariance;
    invertSmall(prior, d, inverse, factor, work);
    for (let i = 0; i < d; i++) {
      let sum = 0;
      for (let j = 0; j < d; j++) sum += inverse[i * d + j]! * this.#c[j]!;
      this.#mean[i] = sum;
    }
    this.#weigh(sums, at, level, slope);
    return true;
  }

  #weigh(sums: Float64Array, at: number, level: number, slope: number): void {
    const p = this.#parameters;
    const d = this.#d;
    const layout = sumLayouts[d]!;
    const inverse = this.#scratch.s;
    const weight = this.weight;
    const lean = this.#lean;
    // Each weight is its share ÷ √(variance · precision) times e to a power; here the powers come first.
    weight[0] = 0;
    this.#h[0] = 0;
    this.#hVariance[0] = 0;
    let top = p.share[0]! > 0 ? 0 : Number.NEGATIVE_INFINITY;
    for (let way = 1; way < ways; way++) {
      const link = at + layout.link + way * d;
      let q = sums[at + layout.square + way]!;
      let score = sums[at + layout.score + way]! - level * sums[link]! - slope * sums[link + 1]!;
      if (d === 2) {
        // Nearly all segments: no steps.
        const a = sums[link]!;
        const b = sums[link + 1]!;
        const leanLevel = inverse[0]! * a + inverse[1]! * b;
        const leanSlope = inverse[2]! * a + inverse[3]! * b;
        lean[2 * way] = leanLevel;
        lean[2 * way + 1] = leanSlope;
        q -= a * leanLevel + b * leanSlope;
        score -= a * this.#mean[0]! + b * this.#mean[1]!;
      } else {
        for (let i = 0; i < d; i++) {
          let sum = 0;
          for (let j = 0; j < d; j++) sum += inverse[i * d + j]! * sums[link + j]!;
          lean[way * d + i] = sum;
          q -= sums[link + i]! * sum;
          score -= sums[link + i]! * this.#mean[i]!;
        }
      }
      const mu = way === 1 ? p.fastMean : p.lateMean;
      const variance = way === 1 ? p.fastVariance : p.lateVariance;
      const precision = Math.max(0, q) + 1 / variance;
      const mean = (score + mu / variance) / precision;
      this.#h[way] = mean;
      this.#hVariance[way] = 1 / precision;
      weight[way] = 0.5 * (precision * mean * mean - (mu * mu) / variance);
      if (weight[way]! > top && p.share[way]! > 0) top = weight[way]!;
    }
    let sum = 0;
    for (let way = 0; way < ways; way++) {
      const share = p.share[way]!;
      if (share === 0) {
        weight[way] = 0;
        continue;
      }
      const variance = way === 1 ? p.fastVariance : p.lateVariance;
      const narrowing = way === 0 ? 1 : Math.sqrt(this.#hVariance[way]! / variance);
      // A push is an added ageing: only what lies above 0 of it counts, beforehand and afterwards.
      const upward =
        way === 0
          ? 1
          : quickNormalCdf(this.#h[way]! / Math.sqrt(this.#hVariance[way]!)) /
            quickNormalCdf((way === 1 ? p.fastMean : p.lateMean) / Math.sqrt(variance));
      weight[way] = share * narrowing * upward * Math.exp(weight[way]! - top);
      sum += weight[way]!;
    }
    for (let way = 0; way < ways; way++) weight[way]! /= sum;
  }

  addTo(sums: AgerSums): void {
    const cohort = this.#input.cohortOf[this.#segment]!;
    const family = this.#input.familyOf[this.#segment]!;
    const d = this.#d;
    const inverse = this.#scratch.s;
    sums.count++;
    sums.cohortSize[cohort]!++;
    sums.familySize[family]!++;
    sums.steps += d - 2;
    for (let way = 0; way < ways; way++) {
      const w = this.weight[way]!;
      sums.share[way]! += w;
      if (w < 1e-8) continue;
      const h = this.#h[way]!;
      const hv = this.#hVariance[way]!;
      const l0 = way > 0 ? this.#lean[way * d]! : 0;
      const l1 = way > 0 ? this.#lean[way * d + 1]! : 0;
      const u = this.#mean[0]! - l0 * h;
      const v = this.#mean[1]! - l1 * h;
      sums.level2[family]! += w * (u * u + inverse[0]! + l0 * l0 * hv);
      sums.product[family]! += w * (u * v + inverse[1]! + l0 * l1 * hv);
      sums.slope2[family]! += w * (v * v + inverse[d + 1]! + l1 * l1 * hv);
      sums.cohort[2 * cohort]! += w * u;
      sums.cohort[2 * cohort + 1]! += w * v;
      for (let i = 2; i < d; i++) {
        const li = way > 0 ? this.#lean[way * d + i]! : 0;
        const step = this.#mean[i]! - li * h;
        sums.step2 += w * (step * step + inverse[i * d + i]! + li * li * hv);
      }
      if (way === 0) continue;
      const to = way === 1 ? sums.fast : sums.late;
      to[0]! += w;
      to[1]! += w * h;
      to[2]! += w * (h * h + hv);
    }
  }

  /** Mean and variance of a row's line (less the fixed effects) over all ways. */
  line(row: number, out: { mean: number; variance: number }): void {
    const own = this.#ordinaryLine(row);
    let mean = 0;
    let square = 0;
    for (let way = 1; way < ways; way++) {
      const weight = this.weight[way]!;
      if (weight < light) continue;
      const reach = this.#reach(way);
      const away = reach * this.#h[way]!;
      mean += weight * away;
      square += weight * (away * away + reach * reach * this.#hVariance[way]!);
    }
    out.mean = this.#base + mean;
    out.variance = own + square - mean * mean;
  }

  /** Mean and variance of a row's line (less the fixed effects) in each way; `weight` holds the ways' probabilities. */
  lineParts(row: number, mean: Float64Array, variance: Float64Array): void {
    const own = this.#ordinaryLine(row);
    for (let way = 0; way < ways; way++) {
      const reach = way === 0 ? 0 : this.#reach(way);
      mean[way] = this.#base + reach * this.#h[way]!;
      variance[way] = own + reach * reach * this.#hVariance[way]!;
    }
  }

  /** Puts the row at hand; its mean in the ordinary way goes to `#base`, the variance is returned. */
  #ordinaryLine(row: number): number {
    const { rows, cohortOf } = this.#input;
    const d = this.#d;
    const { z, s: inverse } = this.#scratch;
    const { ordinary } = this.#parameters;
    const cohort = cohortOf[this.#segment]!;
    writeRandomRow(rows, row, d, z);
    let base = ordinary[2 * cohort]! + ordinary[2 * cohort + 1]! * z[1]!;
    let own = 0;
    for (let i = 0; i < d; i++) {
      if (z[i] === 0) continue;
      base += z[i]! * this.#mean[i]!;
      for (let j = 0; j < d; j++) own += z[i]! * z[j]! * inverse[i * d + j]!;
    }
    this.#base = base;
    return own;
  }

  /** How far a unit push of a way moves the row at hand, once level, slope and steps have given way to it. */
  #reach(way: number): number {
    const d = this.#d;
    const { z } = this.#scratch;
    let reach = pushShape(way, z[1]!, this.#parameters.pivotYears);
    for (let i = 0; i < d; i++) reach -= z[i]! * this.#lean[way * d + i]!;
    return reach;
  }

  /** Writes the segment's parts as of today. */
  write(parts: AgerParts): void {
    const s = this.#segment;
    const d = this.#d;
    const inverse = this.#scratch.s;
    const cohort = this.#input.cohortOf[s]!;
    const level = this.#parameters.ordinary[2 * cohort]! + this.#mean[0]!;
    const slope = this.#parameters.ordinary[2 * cohort + 1]! + this.#mean[1]!;
    for (let way = 0; way < ways; way++) {
      const at = s * posteriorParts + way;
      const h = this.#h[way]!;
      const hv = this.#hVariance[way]!;
      const reachLevel = way === 0 ? 0 : pushShape(way, 0, this.#parameters.pivotYears) - this.#lean[way * d]!;
      const reachSlope = way === 0 ? 0 : 1 - this.#lean[way * d + 1]!;
      parts.weight[at] = this.weight[way]!;
      parts.level[at] = level + reachLevel * h;
      parts.slope[at] = slope + reachSlope * h;
      parts.levelVariance[at] = inverse[0]! + reachLevel * reachLevel * hv;
      parts.covariance[at] = inverse[1]! + reachLevel * reachSlope * hv;
      parts.slopeVariance[at] = inverse[d + 1]! + reachSlope * reachSlope * hv;
    }
  }
}

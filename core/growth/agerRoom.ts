import { groupScratch, invertSmall, mostRandom, writeRandomRow } from '../numerics/mixedModelGroup.ts';
import {
  type AgerInput,
  type AgerParameters,
  type AgerParts,
  lateOnsetYears,
  lateScale,
  ways,
} from './agerParameters.ts';

/** Expected sums of one pass over the segments. */
export class AgerSums {
  share = new Float64Array(ways);
  level2 = 0;
  product = 0;
  slope2 = 0;
  step2 = 0;
  steps = 0;
  count = 0;
  fast = new Float64Array(3);
  late = new Float64Array(3);
  cohort: Float64Array;
  cohortSize: Float64Array;

  constructor(cohortCount: number) {
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
  #mean = new Float64Array(mostRandom);
  #link = new Float64Array(ways * mostRandom);
  #lean = new Float64Array(ways * mostRandom);
  #g = new Float64Array(ways);
  #e = new Float64Array(ways);
  #h = new Float64Array(ways);
  #hVariance = new Float64Array(ways);
  #logShare = new Float64Array(ways);
  #rowMean = new Float64Array(ways);
  #rowVariance = new Float64Array(ways);
  #segment = 0;
  #d = 2;
  readonly weight = new Float64Array(ways);
  /** The row left out of the sums of the next `solve`, for a look at a segment without one of its tests; −1 for none. */
  without = -1;

  constructor(input: AgerInput, parameters: AgerParameters) {
    this.#input = input;
    this.#parameters = parameters;
    this.setParameters(parameters);
  }

  setParameters(parameters: AgerParameters): void {
    this.#parameters = parameters;
    for (let k = 0; k < ways; k++) this.#logShare[k] = Math.log(parameters.share[k]!);
  }

  /** How a push of a way shows at a time. */
  #shape(way: number, time: number): number {
    if (way === 1) return time + this.#parameters.pivotYears;
    const onset = lateOnsetYears[way - 2]!;
    const since = Math.max(0, time + onset);
    return (since * Math.sqrt(since)) / lateScale[way - 2]!;
  }

  /** False where the segment has no rows. */
  solve(s: number): boolean {
    const { rows, residual, errorVariance, cohortOf } = this.#input;
    const first = rows.rowStart[s]!;
    const end = rows.rowStart[s + 1]!;
    if (first === end) return false;
    const p = this.#parameters;
    const d = 2 + rows.stepCount[s]!;
    this.#segment = s;
    this.#d = d;
    const { a, c, z, s: inverse, factor, work } = this.#scratch;
    const cohort = cohortOf[s]!;
    const level = p.ordinary[2 * cohort]!;
    const slope = p.ordinary[2 * cohort + 1]!;
    a.fill(0, 0, d * d);
    c.fill(0, 0, d);
    this.#g.fill(0);
    this.#e.fill(0);
    this.#link.fill(0);
    for (let row = first; row < end; row++) {
      if (row === this.without) continue;
      const w = 1 / (errorVariance + rows.extraVariance[row]!);
      writeRandomRow(rows, row, d, z);
      const time = z[1]!;
      const y = residual[row]! - level - slope * time;
      for (let i = 0; i < d; i++) {
        const wz = w * z[i]!;
        if (wz === 0) continue;
        c[i]! += wz * y;
        for (let j = 0; j < d; j++) a[i * d + j]! += wz * z[j]!;
      }
      for (let way = 1; way < ways; way++) {
        const b = this.#shape(way, time);
        if (b === 0) continue;
        const wb = w * b;
        this.#g[way]! += wb * b;
        this.#e[way]! += wb * y;
        for (let i = 0; i < d; i++) this.#link[way * d + i]! += wb * z[i]!;
      }
    }
    const determinant = p.levelVariance * p.slopeVariance - p.covariance * p.covariance;
    for (let i = 0; i < d * d; i++) this.#prior[i] = a[i]!;
    this.#prior[0]! += p.slopeVariance / determinant;
    this.#prior[1]! -= p.covariance / determinant;
    this.#prior[d]! -= p.covariance / determinant;
    this.#prior[d + 1]! += p.levelVariance / determinant;
    for (let k = 2; k < d; k++) this.#prior[k * d + k]! += 1 / p.stepVariance;
    invertSmall(this.#prior, d, inverse, factor, work);
    for (let i = 0; i < d; i++) {
      let sum = 0;
      for (let j = 0; j < d; j++) sum += inverse[i * d + j]! * c[j]!;
      this.#mean[i] = sum;
    }
    this.#weigh();
    return true;
  }

  #weigh(): void {
    const p = this.#parameters;
    const d = this.#d;
    const inverse = this.#scratch.s;
    const weight = this.weight;
    weight[0] = this.#logShare[0]!;
    this.#h[0] = 0;
    this.#hVariance[0] = 0;
    let top = weight[0]!;
    for (let way = 1; way < ways; way++) {
      let q = this.#g[way]!;
      let score = this.#e[way]!;
      for (let i = 0; i < d; i++) {
        let sum = 0;
        for (let j = 0; j < d; j++) sum += inverse[i * d + j]! * this.#link[way * d + j]!;
        this.#lean[way * d + i] = sum;
        q -= this.#link[way * d + i]! * sum;
        score -= this.#link[way * d + i]! * this.#mean[i]!;
      }
      const mu = way === 1 ? p.fastMean : p.lateMean;
      const variance = way === 1 ? p.fastVariance : p.lateVariance;
      const precision = Math.max(0, q) + 1 / variance;
      const mean = (score + mu / variance) / precision;
      this.#h[way] = mean;
      this.#hVariance[way] = 1 / precision;
      weight[way] =
        this.#logShare[way]! -
        0.5 * Math.log(variance * precision) +
        0.5 * (precision * mean * mean - (mu * mu) / variance);
      if (weight[way]! > top) top = weight[way]!;
    }
    let sum = 0;
    for (let way = 0; way < ways; way++) {
      weight[way] = Math.exp(weight[way]! - top);
      sum += weight[way]!;
    }
    for (let way = 0; way < ways; way++) weight[way]! /= sum;
  }

  addTo(sums: AgerSums, cohort: number): void {
    const d = this.#d;
    const inverse = this.#scratch.s;
    sums.count++;
    sums.cohortSize[cohort]!++;
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
      sums.level2 += w * (u * u + inverse[0]! + l0 * l0 * hv);
      sums.product += w * (u * v + inverse[1]! + l0 * l1 * hv);
      sums.slope2 += w * (v * v + inverse[d + 1]! + l1 * l1 * hv);
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
    this.lineParts(row, this.#rowMean, this.#rowVariance);
    let mean = 0;
    let square = 0;
    for (let way = 0; way < ways; way++) {
      const away = this.#rowMean[way]! - this.#rowMean[0]!;
      mean += this.weight[way]! * away;
      square += this.weight[way]! * (away * away + this.#rowVariance[way]!);
    }
    out.mean = this.#rowMean[0]! + mean;
    out.variance = square - mean * mean;
  }

  /** Mean and variance of a row's line (less the fixed effects) in each way; `weight` holds the ways' probabilities. */
  lineParts(row: number, mean: Float64Array, variance: Float64Array): void {
    const { rows, cohortOf } = this.#input;
    const d = this.#d;
    const { z, s: inverse } = this.#scratch;
    const cohort = cohortOf[this.#segment]!;
    writeRandomRow(rows, row, d, z);
    let base = this.#parameters.ordinary[2 * cohort]! + this.#parameters.ordinary[2 * cohort + 1]! * z[1]!;
    let own = 0;
    for (let i = 0; i < d; i++) {
      base += z[i]! * this.#mean[i]!;
      for (let j = 0; j < d; j++) own += z[i]! * z[j]! * inverse[i * d + j]!;
    }
    for (let way = 0; way < ways; way++) {
      let reach = way === 0 ? 0 : this.#shape(way, z[1]!);
      if (way > 0) for (let i = 0; i < d; i++) reach -= z[i]! * this.#lean[way * d + i]!;
      mean[way] = base + reach * this.#h[way]!;
      variance[way] = own + reach * reach * this.#hVariance[way]!;
    }
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
      const at = s * ways + way;
      const h = this.#h[way]!;
      const hv = this.#hVariance[way]!;
      const reachLevel = way === 0 ? 0 : this.#shape(way, 0) - this.#lean[way * d]!;
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

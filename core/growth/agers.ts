import {
  groupScratch,
  invertSmall,
  type MixedModelRows,
  mostRandom,
  type VarianceComponents,
  writeRandomRow,
} from '../numerics/mixedModelGroup.ts';

/** Years before the as-of day at which a late ager may have begun. */
export const lateOnsetYears = [1.5, 3, 5, 8, 12] as const;
/** A late push grows as the 1.5th power of the time since its onset; scaled so that it is a slope of 1 today. */
const lateScale = lateOnsetYears.map((years) => 1.5 * Math.sqrt(years));
/** Ordinary, fast, and late since each onset. */
export const ways = 2 + lateOnsetYears.length;

/**
 * Ways of ageing. Ordinary: (level, slope) around the cohort's. Fast: a push h on the slope over all years, with the
 * level that belongs to it. Late: a push since an onset. h ~ N(mean, variance) for each kind.
 */
export interface AgerParameters {
  readonly share: Float64Array;
  readonly levelVariance: number;
  readonly covariance: number;
  readonly slopeVariance: number;
  readonly stepVariance: number;
  readonly fastMean: number;
  readonly fastVariance: number;
  readonly lateMean: number;
  readonly lateVariance: number;
  /** Years: how far back the level of a fast ager began to part from the others'. */
  readonly pivotYears: number;
  /** Level and slope of each cohort's ordinary agers less the cohort's mean: [2 c], [2 c + 1]. */
  readonly ordinary: Float64Array;
}

/** Prior of shares (as counts), and of the pushes (per year) with the count they weigh: weakly informative. */
const shareCounts = [22, 1, ...lateOnsetYears.map(() => 1.2 / lateOnsetYears.length)];
const pushCount = 6;
const fastPrior = { mean: 0.09, variance: 0.004 };
const latePrior = { mean: 0.18, variance: 0.02 };
const leastPushVariance = 4e-4;

/** Steps of the shares are lengthened by this: plain expectation–maximisation crawls where little is known. */
const stride = 1.8;

/** Where the parts of all segments go: `[segment · ways + way]`. Level and slope are today's, less the fixed effects. */
export interface AgerParts {
  readonly weight: Float64Array;
  readonly level: Float64Array;
  readonly slope: Float64Array;
  readonly levelVariance: Float64Array;
  readonly covariance: Float64Array;
  readonly slopeVariance: Float64Array;
}

export function agerParts(segments: number): AgerParts {
  const make = () => new Float64Array(segments * ways);
  return {
    weight: make(),
    level: make(),
    slope: make(),
    levelVariance: make(),
    covariance: make(),
    slopeVariance: make(),
  };
}

export interface AgerInput {
  readonly rows: MixedModelRows;
  readonly cohortOf: Int32Array;
  readonly cohortCount: number;
  readonly errorVariance: number;
  /** Response less the fixed effects. */
  readonly residual: Float64Array;
}

export interface AgerFit {
  readonly parameters: AgerParameters;
  readonly passes: number;
  readonly change: number;
}

/** Only ordinary agers: what the mixed model alone says. */
export function ordinaryOnly(variances: VarianceComponents, cohortCount: number): AgerParameters {
  const share = new Float64Array(ways);
  share[0] = 1;
  return {
    share,
    ...variances,
    fastMean: fastPrior.mean,
    fastVariance: fastPrior.variance,
    lateMean: latePrior.mean,
    lateVariance: latePrior.variance,
    pivotYears: 10,
    ordinary: new Float64Array(2 * cohortCount),
  };
}

/**
 * Expectation–maximisation on the segments alone; the readings' weights stay as they are. Of more than `mostSegments`
 * it looks at every n-th: shares of a few per cent are known well enough from thousands.
 */
export function fitAgers(
  input: AgerInput,
  start: AgerParameters,
  mostSegments: number,
  mostPasses: number,
  tolerance: number,
): AgerFit {
  const { rows } = input;
  const room = new AgerRoom(input);
  const thinning = Math.max(1, Math.floor(rows.groupCount / mostSegments));
  let parameters = start;
  let passes = 0;
  let change = Number.POSITIVE_INFINITY;
  while (passes < mostPasses && change > tolerance) {
    passes++;
    room.setParameters(parameters);
    const sums = new AgerSums(input.cohortCount);
    for (let s = 0; s < rows.groupCount; s += thinning) {
      if (!room.solve(s)) continue;
      room.addTo(sums, input.cohortOf[s]!);
    }
    const next = sums.parameters(parameters);
    change = parameterChange(parameters, next);
    lengthen(parameters.share, next.share);
    parameters = next;
  }
  return { parameters, passes, change };
}

/** Where expectation–maximisation starts: one segment in twelve is not ordinary. */
export function firstGuess(start: VarianceComponents, cohortCount: number): AgerParameters {
  const share = new Float64Array(ways);
  share.fill(0.03 / lateOnsetYears.length);
  share[0] = 0.92;
  share[1] = 0.05;
  const slopeVariance = Math.max(1e-5, 0.6 * start.slopeVariance);
  const correlation = start.covariance / Math.sqrt(start.levelVariance * start.slopeVariance);
  return {
    ...ordinaryOnly(start, cohortCount),
    share,
    slopeVariance,
    covariance: correlation * Math.sqrt(start.levelVariance * slopeVariance),
    pivotYears: Math.max(0, Math.min(25, start.covariance / start.slopeVariance)),
  };
}

function lengthen(from: Float64Array, to: Float64Array): void {
  let sum = 0;
  for (let k = 0; k < ways; k++) {
    to[k] = Math.max(0.3 * to[k]!, from[k]! + stride * (to[k]! - from[k]!));
    sum += to[k]!;
  }
  for (let k = 0; k < ways; k++) to[k]! /= sum;
}

function parameterChange(a: AgerParameters, b: AgerParameters): number {
  let change = Math.abs(b.slopeVariance / a.slopeVariance - 1);
  change = Math.max(change, Math.abs(b.levelVariance / a.levelVariance - 1));
  for (let k = 0; k < ways; k++) change = Math.max(change, Math.abs(b.share[k]! - a.share[k]!) / (a.share[k]! + 0.02));
  return Math.max(change, Math.abs(b.fastMean - a.fastMean) / 0.05, Math.abs(b.lateMean - a.lateMean) / 0.05);
}

/** Expected sums of one pass. */
class AgerSums {
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

  parameters(old: AgerParameters): AgerParameters {
    const share = new Float64Array(ways);
    let counts = 0;
    for (const n of shareCounts) counts += n;
    for (let k = 0; k < ways; k++) share[k] = (this.share[k]! + shareCounts[k]!) / (this.count + counts);
    const ordinary = old.ordinary.slice();
    for (let c = 0; c < this.cohortSize.length; c++) {
      ordinary[2 * c]! += this.cohort[2 * c]! / (this.cohortSize[c]! + 4);
      ordinary[2 * c + 1]! += this.cohort[2 * c + 1]! / (this.cohortSize[c]! + 4);
    }
    const n = this.count + 4;
    const fast = push(this.fast, fastPrior);
    const late = push(this.late, latePrior);
    return {
      share,
      levelVariance: (this.level2 + 4 * old.levelVariance) / n,
      covariance: (this.product + 4 * old.covariance) / n,
      slopeVariance: Math.max(1e-5, (this.slope2 + 4 * old.slopeVariance) / n),
      stepVariance:
        this.steps > 0 ? Math.max(0.01, (this.step2 + 4 * old.stepVariance) / (this.steps + 4)) : old.stepVariance,
      fastMean: fast.mean,
      fastVariance: fast.variance,
      lateMean: late.mean,
      lateVariance: late.variance,
      pivotYears: old.pivotYears,
      ordinary,
    };
  }
}

function push(sums: Float64Array, prior: { mean: number; variance: number }): { mean: number; variance: number } {
  const weight = sums[0]! + pushCount;
  const mean = Math.max(0.5 * prior.mean, (sums[1]! + pushCount * prior.mean) / weight);
  const square = sums[2]! - 2 * mean * sums[1]! + sums[0]! * mean * mean;
  const variance = (square + pushCount * (prior.variance + (mean - prior.mean) ** 2)) / weight;
  return { mean, variance: Math.max(leastPushVariance, variance) };
}

/** One segment at a time: the ordinary posterior, and for each push its rank-one change of it. */
export class AgerRoom {
  #input: AgerInput;
  #parameters: AgerParameters = ordinaryOnly(
    { levelVariance: 1, covariance: 0, slopeVariance: 1, stepVariance: 1, errorVariance: 1 },
    0,
  );
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

  constructor(input: AgerInput) {
    this.#input = input;
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

import { invertSmall } from '../numerics/mixedModelGroup.ts';
import type { FleetColumns } from './columns.ts';
import type { PreparedReadings } from './normalise.ts';
import type { PhaseContrasts } from './phaseContrasts.ts';
import { PhaseLoad } from './phaseLoad.ts';
import { PhaseStrays, strayVariance } from './phaseStrays.ts';
import type { TestEvents } from './testEvents.ts';

/** Ways in which one phase may age on its own: since the first test, or since these many years before the as-of day. */
export const phaseOnsetYears = [Number.POSITIVE_INFINITY, 20, 14, 9.5, 6.5, 4.5, 2.5] as const;
export const onsets = phaseOnsetYears.length;
export const ways = 1 + 3 * onsets;

/** What all segments' contrasts share. */
export interface ContrastParameters {
  readingVariance: number;
  offsetVariance: number;
  /** Probability that no phase ages on its own, then that one does since each onset. */
  share: Float64Array;
  ownSlopeMean: number;
  ownSlopeVariance: number;
}

const halfLogTwoPi = 0.5 * Math.log(2 * Math.PI);
/** Of readings: how many are strays. */
const strayShare = 0.01;

/** The own slope's shape over time: 0 until its onset, then rising by 1 a year. */
export function ownShape(k: number, time: number, firstTime: number): number {
  return k === 0 ? time - firstTime : Math.max(0, time + phaseOnsetYears[k]!);
}

/** Level and slope, as of today, that the mean over the phases gains from a phase on its own; an entry a segment. */
export interface OwnPart {
  readonly level: Float64Array;
  readonly slope: Float64Array;
  readonly levelVariance: Float64Array;
  readonly covariance: Float64Array;
  readonly slopeVariance: Float64Array;
}

/** What is written of each stretch. */
export type Written = Pick<
  PhaseContrasts,
  'offset' | 'slope' | 'slopeVariance' | 'covariance' | 'levelVariance' | 'pOwn' | 'own' | 'first'
>;

const moment = { level: 0, slope: 1, level2: 2, product: 3, slope2: 4 } as const;
const momentCount = 5;

/** What one pass over the segments adds up. */
export interface ContrastSums {
  quadratic: number;
  freedom: number;
  offsets: number;
  offsetCount: number;
  own: number;
  segments: number;
  slope: number;
  slope2: number;
}

const logStray = Math.log(strayShare) - halfLogTwoPi - 0.5 * Math.log(strayVariance);

/** One segment at a time; all its arrays are made once. */
export class ContrastRoom {
  #load: PhaseLoad;
  #strays: PhaseStrays;
  #events: TestEvents;
  #a = new Float64Array(9);
  #prior = new Float64Array(9);
  #s = new Float64Array(9);
  #factor = new Float64Array(9);
  #work = new Float64Array(6);
  #c = new Float64Array(3);
  #u = new Float64Array(3);
  #yKy = 0;
  #freedom = 0;
  #present = new Uint8Array(3);
  #first = 0;
  #from = 0;
  #to = 0;
  #alternatives = 1;
  #alternative = new Float64Array(2);
  #weight = 1;
  /** ln likelihood of the stretch looked at last, over all ways of ageing and of reading it. */
  logEvidence = 0;
  #sums = new Float64Array(3 * momentCount);
  #ownSums = new Float64Array(momentCount);
  /** For each phase and onset: own information, its link with the offsets, own score. */
  #g = new Float64Array(3 * onsets);
  #link = new Float64Array(9 * onsets);
  #e = new Float64Array(3 * onsets);
  #probability = new Float64Array(ways);
  #slopeMean = new Float64Array(ways);
  #slopeVariance = new Float64Array(ways);
  #sa = new Float64Array(9 * onsets);
  /** 0 not yet judged, 1 without strays, 2 with some. */
  #judged: Uint8Array;
  /** ln likelihood of the contrasts but for what all ways share. */
  #logReadings = 0;
  #shape = new Float64Array(onsets);

  constructor(columns: FleetColumns, prepared: PreparedReadings, events: TestEvents, shift: Float64Array) {
    this.#events = events;
    this.#load = new PhaseLoad(columns, prepared, events, shift);
    this.#strays = new PhaseStrays(this.#load, events.count);
    this.#judged = new Uint8Array(columns.segments.count);
  }

  /**
   * Takes up a stretch of a segment's tests, first … end − 1, and returns how many readings of it there are to `take`: 0
   * where no event has two phases to compare; 2 where a reading lies far from its phase's usual place, which may be
   * a stray or the end of a rise. Both are then weighed by how well they explain all readings. `remember` is for
   * stretches that are looked at again and again: a segment's strays depend on its readings alone.
   */
  look(s: number, first: number, end: number, parameters: ContrastParameters, remember: boolean): number {
    this.#from = first;
    this.#to = end;
    this.#alternative[0] = 1;
    this.#alternatives = 1;
    if (!remember || this.#judged[s] === 0) this.#judged[s] = this.#strays.judge(first, end) ? 2 : 1;
    if (!this.#gather(parameters, false)) return 0;
    const all = this.#solve(parameters);
    this.logEvidence = all;
    if (this.#judged[s] === 1) return 1;
    this.#alternatives = 2;
    if (!this.#gather(parameters, true)) {
      this.#gather(parameters, false);
      this.#solve(parameters);
      this.#alternatives = 1;
      return 1;
    }
    const without = this.#solve(parameters);
    this.#alternative[0] = 1 / (1 + Math.exp(without - all));
    this.#alternative[1] = 1 - this.#alternative[0];
    this.logEvidence = Math.max(all, without) + Math.log1p(Math.exp(-Math.abs(all - without)));
    return 2;
  }

  /** Puts one way to read the stretch; what is added up and written next is of it, by its weight. */
  take(i: number, parameters: ContrastParameters): void {
    this.#weight = this.#alternative[i]!;
    if (this.#alternatives === 1) return;
    this.#gather(parameters, i === 1);
    this.#solve(parameters);
  }

  #gather(parameters: ContrastParameters, leaveStraysOut: boolean): boolean {
    this.#first = this.#events.time[this.#from]!;
    this.#a.fill(0);
    this.#c.fill(0);
    this.#g.fill(0);
    this.#link.fill(0);
    this.#e.fill(0);
    this.#present.fill(0);
    this.#yKy = 0;
    this.#freedom = 0;
    this.#logReadings = 0;
    for (let e = this.#from; e < this.#to; e++)
      this.#addEvent(e, parameters, leaveStraysOut ? this.#strays.mask[e]! : 0);
    return this.#freedom > 0;
  }

  #addEvent(e: number, parameters: ContrastParameters, strays: number): void {
    let m = this.#load.load(e);
    if (m < 2) return;
    const w = this.#load.w;
    const y = this.#load.y;
    const all = m;
    let total = 0;
    for (let p = 0; p < 3; p++) {
      if (w[p] === 0) continue;
      if ((strays >> p) & 1) {
        const deviation = this.#load.deviation(p, all) - this.#strays.centre[p]!;
        this.#logReadings += logStray - (0.5 * deviation * deviation) / strayVariance;
        w[p] = 0;
        m--;
        continue;
      }
      w[p] = 1 / (parameters.readingVariance + w[p]! - 1);
      this.#logReadings += 0.5 * Math.log(w[p]!);
      total += w[p]!;
    }
    if (m < 2) {
      if (m === 1) this.#logReadings -= 0.5 * Math.log(total);
      return;
    }
    this.#logReadings -= 0.5 * Math.log(total) + (m - 1) * halfLogTwoPi;
    this.#freedom += m - 1;
    const time = this.#events.time[e]!;
    for (let k = 0; k < onsets; k++) this.#shape[k] = ownShape(k, time, this.#first);
    let mean = 0;
    for (let p = 0; p < 3; p++) if (w[p]! > 0) mean += (w[p]! / total) * y[p]!;
    for (let p = 0; p < 3; p++) {
      const wp = w[p]!;
      if (wp === 0) continue;
      this.#present[p] = 1;
      const residual = wp * (y[p]! - mean);
      this.#c[p]! += residual;
      this.#yKy += residual * (y[p]! - mean);
      const k0 = (p === 0 ? wp : 0) - (w[0]! * wp) / total;
      const k1 = (p === 1 ? wp : 0) - (w[1]! * wp) / total;
      const k2 = (p === 2 ? wp : 0) - (w[2]! * wp) / total;
      const kpp = p === 0 ? k0 : p === 1 ? k1 : k2;
      this.#a[p]! += k0;
      this.#a[3 + p]! += k1;
      this.#a[6 + p]! += k2;
      for (let k = 0; k < onsets; k++) {
        const shape = this.#shape[k]!;
        if (shape === 0) continue;
        const at = p * onsets + k;
        this.#link[at * 3]! += k0 * shape;
        this.#link[at * 3 + 1]! += k1 * shape;
        this.#link[at * 3 + 2]! += k2 * shape;
        this.#g[at]! += kpp * shape * shape;
        this.#e[at]! += residual * shape;
      }
    }
  }

  /** Posterior of the offsets, and for each way of ageing its probability and its slope; returns ln likelihood. */
  #solve(parameters: ContrastParameters): number {
    for (let i = 0; i < 9; i++) this.#prior[i] = this.#a[i]! + (i % 4 === 0 ? 1 / parameters.offsetVariance : 0);
    const logDeterminant = invertSmall(this.#prior, 3, this.#s, this.#factor, this.#work);
    let explained = 0;
    for (let i = 0; i < 3; i++) {
      let sum = 0;
      for (let j = 0; j < 3; j++) sum += this.#s[i * 3 + j]! * this.#c[j]!;
      this.#u[i] = sum;
      explained += sum * this.#c[i]!;
    }
    const { share, ownSlopeMean: mu, ownSlopeVariance: sigma2 } = parameters;
    const phases = this.#present[0]! + this.#present[1]! + this.#present[2]!;
    const probability = this.#probability;
    // Each is its share ÷ √(σ² · precision) times e to a power; here the powers come first.
    probability[0] = 0;
    let top = 0;
    for (let way = 1; way < ways; way++) {
      const at = way - 1;
      const p = (at / onsets) | 0;
      this.#slopeMean[way] = this.#present[p] ? mu : 0;
      this.#slopeVariance[way] = this.#present[p] ? sigma2 : 0;
      probability[way] = this.#present[p] ? 0 : Number.NEGATIVE_INFINITY;
      const link = at * 3;
      let q = this.#g[at]!;
      if (q === 0) {
        this.#sa[link] = 0;
        this.#sa[link + 1] = 0;
        this.#sa[link + 2] = 0;
        continue;
      }
      let score = this.#e[at]!;
      for (let i = 0; i < 3; i++) {
        let sum = 0;
        for (let j = 0; j < 3; j++) sum += this.#s[i * 3 + j]! * this.#link[link + j]!;
        this.#sa[link + i] = sum;
        q -= this.#link[link + i]! * sum;
        score -= this.#link[link + i]! * this.#u[i]!;
      }
      const precision = Math.max(0, q) + 1 / sigma2;
      const mean = (score + mu / sigma2) / precision;
      this.#slopeMean[way] = mean;
      this.#slopeVariance[way] = 1 / precision;
      probability[way] = 0.5 * (precision * mean * mean - (mu * mu) / sigma2);
      if (probability[way]! > top) top = probability[way]!;
    }
    probability[0] = share[0]! * Math.exp(-top);
    let sum = probability[0]!;
    for (let way = 1; way < ways; way++) {
      if (probability[way] === Number.NEGATIVE_INFINITY) {
        probability[way] = 0;
        continue;
      }
      const narrowing = Math.sqrt(this.#slopeVariance[way]! / sigma2);
      const each = share[1 + ((way - 1) % onsets)]! / phases;
      probability[way] = each * narrowing * Math.exp(probability[way]! - top);
      sum += probability[way]!;
    }
    for (let way = 0; way < ways; way++) probability[way]! /= sum;
    const offsets = logDeterminant + 3 * Math.log(parameters.offsetVariance);
    return this.#logReadings - 0.5 * (this.#yKy - explained + offsets) + top + Math.log(sum);
  }

  /** Adds how well each onset (over its phases) and none explains the stretch: density times one factor for all. */
  addDensity(parameters: ContrastParameters, out: Float64Array, at: number): void {
    out[at]! += (this.#weight * this.#probability[0]!) / parameters.share[0]!;
    for (let k = 0; k < onsets; k++) {
      let sum = 0;
      for (let p = 0; p < 3; p++) sum += this.#probability[1 + p * onsets + k]!;
      out[at + 1 + k]! += (this.#weight * sum) / parameters.share[1 + k]!;
    }
  }

  addTo(sums: ContrastSums): void {
    // Offsets and errors are learned from the stretches in which no phase ages on its own.
    const none = this.#weight * this.#probability[0]!;
    sums.freedom += none * this.#freedom;
    let quadratic = this.#yKy;
    for (let i = 0; i < 3; i++) {
      quadratic -= 2 * this.#u[i]! * this.#c[i]!;
      for (let j = 0; j < 3; j++) {
        quadratic += this.#u[i]! * this.#a[i * 3 + j]! * this.#u[j]!;
        sums.freedom -= none * this.#s[i * 3 + j]! * this.#a[j * 3 + i]!;
      }
      if (!this.#present[i]) continue;
      sums.offsets += none * (this.#u[i]! * this.#u[i]! + this.#s[i * 4]!);
      sums.offsetCount += none;
    }
    sums.quadratic += none * Math.max(0, quadratic);
    for (let way = 1; way < ways; way++) {
      const probability = this.#weight * this.#probability[way]!;
      const mean = this.#slopeMean[way]!;
      sums.own += probability;
      sums.slope += probability * mean;
      sums.slope2 += probability * (mean * mean + this.#slopeVariance[way]!);
    }
  }

  /** Writes what all ways to read the stretch together say of its phases, and of their mean (`own`) where asked for. */
  write(fit: Written, entry: number, parameters: ContrastParameters): void {
    const sums = this.#sums;
    const own = this.#ownSums;
    sums.fill(0);
    own.fill(0);
    fit.pOwn[entry] = 0;
    fit.first[entry] = this.#first;
    for (let i = 0; i < 3; i++) fit.offset[3 * entry + i] = 0;
    fit.slope.fill(0, 3 * entry * onsets, 3 * (entry + 1) * onsets);
    for (let i = 0; i < this.#alternatives; i++) {
      this.take(i, parameters);
      this.#addMoments(fit, entry, parameters);
    }
    for (let i = 0; i < 3; i++) {
      const at = 3 * entry + i;
      const m = i * momentCount;
      fit.levelVariance[at] = sums[m + moment.level2]! - sums[m + moment.level]! ** 2;
      fit.covariance[at] = sums[m + moment.product]! - sums[m + moment.level]! * sums[m + moment.slope]!;
      fit.slopeVariance[at] = Math.max(0, sums[m + moment.slope2]! - sums[m + moment.slope]! ** 2);
    }
    const weight = fit.pOwn[entry]!;
    if (!(weight > 0) || entry >= fit.own.level.length) return;
    const level = own[moment.level]! / weight;
    const slope = own[moment.slope]! / weight;
    fit.own.level[entry] = level / 3;
    fit.own.slope[entry] = slope / 3;
    fit.own.levelVariance[entry] = Math.max(0, own[moment.level2]! / weight - level * level) / 9;
    fit.own.covariance[entry] = (own[moment.product]! / weight - level * slope) / 9;
    fit.own.slopeVariance[entry] = Math.max(0, own[moment.slope2]! / weight - slope * slope) / 9;
  }

  /** Adds the way of reading at hand: moments, as of today, of each phase's own level and slope, and of what it is to the mean. */
  #addMoments(fit: Written, entry: number, parameters: ContrastParameters): void {
    const sums = this.#sums;
    const own = this.#ownSums;
    for (let way = 0; way < ways; way++) {
      const weight = this.#weight * this.#probability[way]!;
      if (weight < 1e-9) continue;
      const p = way === 0 ? -1 : ((way - 1) / onsets) | 0;
      const k = way === 0 ? 0 : (way - 1) % onsets;
      const mean = way > 0 ? this.#slopeMean[way]! : 0;
      const variance = way > 0 ? this.#slopeVariance[way]! : 0;
      const square = mean * mean + variance;
      const reach = way > 0 ? ownShape(k, 0, this.#first) : 0;
      if (way > 0) {
        fit.pOwn[entry]! += weight;
        fit.slope[(3 * entry + p) * onsets + k]! += weight * mean;
        own[moment.level]! += weight * reach * mean;
        own[moment.slope]! += weight * mean;
        own[moment.level2]! += weight * reach * reach * square;
        own[moment.product]! += weight * reach * square;
        own[moment.slope2]! += weight * square;
      }
      for (let i = 0; i < 3; i++) {
        const m = i * momentCount;
        if (!this.#present[i]) {
          sums[m + moment.level2]! += weight * parameters.offsetVariance;
          continue;
        }
        const lean = way > 0 ? this.#sa[(way - 1) * 3 + i]! : 0;
        const rise = (i === p ? reach : 0) - lean;
        const offset = this.#u[i]! - lean * mean;
        const level = this.#u[i]! + rise * mean;
        fit.offset[3 * entry + i]! += weight * offset;
        sums[m + moment.level]! += weight * level;
        sums[m + moment.level2]! += weight * (level * level + this.#s[i * 4]! + rise * rise * variance);
        if (i !== p) continue;
        sums[m + moment.slope]! += weight * mean;
        sums[m + moment.slope2]! += weight * square;
        sums[m + moment.product]! += weight * (level * mean + rise * variance);
      }
    }
  }
}

import { invertSmall } from '../numerics/mixedModelGroup.ts';
import type { FleetColumns } from './columns.ts';
import { manner, type PreparedReadings } from './normalise.ts';
import type { PhaseContrasts } from './phaseContrasts.ts';
import type { TestEvents } from './testEvents.ts';

/** Ways in which one phase may age on its own: since the first test, or since these many years before the as-of day. */
export const phaseOnsetYears = [Number.POSITIVE_INFINITY, 20, 9, 4] as const;
export const onsets = phaseOnsetYears.length;
export const ways = 1 + 3 * onsets;

/** What all segments' contrasts share. */
export interface ContrastParameters {
  readingVariance: number;
  offsetVariance: number;
  ownShare: number;
  ownSlopeMean: number;
  ownSlopeVariance: number;
}

/** Readings whose scale is coarser than this (variance of ln) say nothing about contrasts. */
const coarse = 0.02;
const isolated = 0.9;

/** The own slope's shape over time: 0 until its onset, then rising by 1 a year. */
export function ownShape(k: number, time: number, firstTime: number): number {
  return k === 0 ? time - firstTime : Math.max(0, time + phaseOnsetYears[k]!);
}

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

/** One segment at a time; all its arrays are made once. */
export class ContrastRoom {
  #columns: FleetColumns;
  #prepared: PreparedReadings;
  #events: TestEvents;
  #shift: Float64Array;
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
  /** For each phase and onset: own information, its link with the offsets, own score. */
  #g = new Float64Array(3 * onsets);
  #link = new Float64Array(9 * onsets);
  #e = new Float64Array(3 * onsets);
  #probability = new Float64Array(ways);
  #slopeMean = new Float64Array(ways);
  #slopeVariance = new Float64Array(ways);
  #sa = new Float64Array(9 * onsets);
  #y = new Float64Array(3);
  #w = new Float64Array(3);
  #deviations = new Float64Array(3 * 64);
  #deviationCount = new Int32Array(3);
  #centre = new Float64Array(3);
  #alone = new Uint8Array(3);
  #shape = new Float64Array(onsets);

  constructor(columns: FleetColumns, prepared: PreparedReadings, events: TestEvents, shift: Float64Array) {
    this.#columns = columns;
    this.#prepared = prepared;
    this.#events = events;
    this.#shift = shift;
  }

  /** Sums of the segment's contrasts; false where no event has two phases to compare. */
  gather(s: number, parameters: ContrastParameters): boolean {
    const { segmentStart, time } = this.#events;
    const first = segmentStart[s]!;
    const end = segmentStart[s + 1]!;
    if (first === end) return false;
    this.#first = time[first]!;
    this.#a.fill(0);
    this.#c.fill(0);
    this.#g.fill(0);
    this.#link.fill(0);
    this.#e.fill(0);
    this.#present.fill(0);
    this.#yKy = 0;
    this.#freedom = 0;
    this.#usualDeviations(first, end);
    for (let e = first; e < end; e++) this.#addEvent(e, parameters);
    return this.#freedom > 0;
  }

  /** Loads the phases of one event that have a value; returns how many. */
  #load(e: number): number {
    const { readingStart, readingEnd } = this.#events;
    let m = 0;
    this.#w.fill(0);
    for (let r = readingStart[e]!; r < readingEnd[e]!; r++) {
      const log = this.#prepared.log[r]!;
      const rounding = this.#prepared.roundingVariance[r]!;
      if (Number.isNaN(log) || this.#prepared.manner[r] === manner.ceiling || rounding > coarse) continue;
      const p = this.#columns.readings.phase[r]!;
      this.#y[p] = log + this.#shift[r]!;
      this.#w[p] = 1 + rounding;
      m++;
    }
    return m;
  }

  /** Deviation of phase p from the others of the loaded event. */
  #deviation(p: number, m: number): number {
    const y = this.#y;
    const w = this.#w;
    const i = (p + 1) % 3;
    const j = (p + 2) % 3;
    if (m === 2) return y[p]! - (w[i]! > 0 ? y[i]! : y[j]!);
    const low = Math.min(y[p]!, y[i]!, y[j]!);
    const high = Math.max(y[p]!, y[i]!, y[j]!);
    return y[p]! - (y[p]! + y[i]! + y[j]! - low - high);
  }

  /** The median deviation of each phase, and whether exactly one of its deviations lies far from it. */
  #usualDeviations(first: number, end: number): void {
    const count = this.#deviationCount;
    count.fill(0);
    for (let e = first; e < end; e++) {
      const m = this.#load(e);
      if (m < 2) continue;
      for (let p = 0; p < 3; p++) {
        if (this.#w[p] === 0 || count[p]! >= 64) continue;
        this.#deviations[p * 64 + count[p]!] = this.#deviation(p, m);
        count[p]!++;
      }
    }
    for (let p = 0; p < 3; p++) {
      const n = count[p]!;
      const list = this.#deviations.subarray(p * 64, p * 64 + n);
      list.sort();
      // Of two, the one nearer to nothing is the usual one.
      this.#centre[p] =
        n === 0 ? 0 : n === 2 ? (Math.abs(list[0]!) < Math.abs(list[1]!) ? list[0]! : list[1]!) : list[n >> 1]!;
      let far = 0;
      for (let i = 0; i < n; i++) if (Math.abs(list[i]! - this.#centre[p]!) > isolated) far++;
      if (n === 1 && Math.abs(list[0]!) > 1.7) {
        far = 1;
        this.#centre[p] = 0;
      }
      this.#alone[p] = far === 1 ? 1 : 0;
    }
  }

  #addEvent(e: number, parameters: ContrastParameters): void {
    let m = this.#load(e);
    if (m < 2) return;
    const w = this.#w;
    const y = this.#y;
    let strays = 0;
    for (let p = 0; p < 3; p++) {
      if (w[p] === 0 || !this.#alone[p]) continue;
      if (Math.abs(this.#deviation(p, m) - this.#centre[p]!) > isolated) strays |= 1 << p;
    }
    let total = 0;
    for (let p = 0; p < 3; p++) {
      if (w[p] === 0) continue;
      if ((strays >> p) & 1) {
        w[p] = 0;
        m--;
        continue;
      }
      w[p] = 1 / (parameters.readingVariance + w[p]! - 1);
      total += w[p]!;
    }
    if (m < 2) return;
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
      for (let i = 0; i < 3; i++) {
        const kip = (i === p ? wp : 0) - (w[i]! * wp) / total;
        this.#a[i * 3 + p]! += kip;
        for (let k = 0; k < onsets; k++) this.#link[(p * onsets + k) * 3 + i]! += kip * this.#shape[k]!;
      }
      const kpp = wp - (wp * wp) / total;
      for (let k = 0; k < onsets; k++) {
        this.#g[p * onsets + k]! += kpp * this.#shape[k]! * this.#shape[k]!;
        this.#e[p * onsets + k]! += residual * this.#shape[k]!;
      }
    }
  }

  /** Posterior of the offsets, and for each way of ageing its probability and its slope. */
  solve(parameters: ContrastParameters): void {
    for (let i = 0; i < 9; i++) this.#prior[i] = this.#a[i]! + (i % 4 === 0 ? 1 / parameters.offsetVariance : 0);
    invertSmall(this.#prior, 3, this.#s, this.#factor, this.#work);
    for (let i = 0; i < 3; i++) {
      let sum = 0;
      for (let j = 0; j < 3; j++) sum += this.#s[i * 3 + j]! * this.#c[j]!;
      this.#u[i] = sum;
    }
    const { ownShare, ownSlopeMean: mu, ownSlopeVariance: sigma2 } = parameters;
    let candidates = 0;
    for (let p = 0; p < 3; p++) candidates += this.#present[p]! * onsets;
    const each = Math.log(ownShare / Math.max(1, candidates));
    this.#probability[0] = Math.log1p(-ownShare);
    let top = this.#probability[0]!;
    for (let way = 1; way < ways; way++) {
      const at = way - 1;
      const p = Math.floor(at / onsets);
      if (!this.#present[p]) {
        this.#probability[way] = Number.NEGATIVE_INFINITY;
        this.#slopeMean[way] = 0;
        this.#slopeVariance[way] = 0;
        continue;
      }
      let q = this.#g[at]!;
      let score = this.#e[at]!;
      for (let i = 0; i < 3; i++) {
        let sum = 0;
        for (let j = 0; j < 3; j++) sum += this.#s[i * 3 + j]! * this.#link[at * 3 + j]!;
        this.#sa[at * 3 + i] = sum;
        q -= this.#link[at * 3 + i]! * sum;
        score -= this.#link[at * 3 + i]! * this.#u[i]!;
      }
      const precision = Math.max(0, q) + 1 / sigma2;
      const mean = (score + mu / sigma2) / precision;
      this.#slopeMean[way] = mean;
      this.#slopeVariance[way] = 1 / precision;
      const log = each - 0.5 * Math.log(sigma2 * precision) + 0.5 * (precision * mean * mean - (mu * mu) / sigma2);
      this.#probability[way] = log;
      if (log > top) top = log;
    }
    let sum = 0;
    for (let way = 0; way < ways; way++) {
      this.#probability[way] = Math.exp(this.#probability[way]! - top);
      sum += this.#probability[way]!;
    }
    for (let way = 0; way < ways; way++) this.#probability[way]! /= sum;
  }

  addTo(sums: ContrastSums): void {
    // Offsets and errors are learned from the segments in which no phase ages on its own.
    const none = this.#probability[0]!;
    sums.segments++;
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
      const probability = this.#probability[way]!;
      const mean = this.#slopeMean[way]!;
      sums.own += probability;
      sums.slope += probability * mean;
      sums.slope2 += probability * (mean * mean + this.#slopeVariance[way]!);
    }
  }

  write(
    fit: Pick<PhaseContrasts, 'offset' | 'slope' | 'slopeVariance' | 'covariance' | 'levelVariance' | 'pOwn'>,
    s: number,
    parameters: ContrastParameters,
  ): void {
    fit.pOwn[s] = 1 - this.#probability[0]!;
    for (let i = 0; i < 3; i++) {
      const at = 3 * s + i;
      if (!this.#present[i]) {
        fit.levelVariance[at] = parameters.offsetVariance;
        continue;
      }
      let offset = this.#u[i]!;
      let levelMean = this.#u[i]!;
      let slopeMean = 0;
      for (let way = 1; way < ways; way++) {
        const weight = this.#probability[way]! * this.#slopeMean[way]!;
        offset -= weight * this.#sa[(way - 1) * 3 + i]!;
        levelMean -= weight * this.#sa[(way - 1) * 3 + i]!;
        if (Math.floor((way - 1) / onsets) !== i) continue;
        const k = (way - 1) % onsets;
        fit.slope[at * onsets + k] = weight;
        slopeMean += weight;
        levelMean += weight * ownShape(k, 0, this.#first);
      }
      // Moments over the ways, of the phase's own level and slope as of today.
      let levelVariance = 0;
      let slopeVariance = 0;
      let covariance = 0;
      for (let way = 0; way < ways; way++) {
        const probability = this.#probability[way]!;
        if (probability < 1e-6) continue;
        const own = way > 0 && Math.floor((way - 1) / onsets) === i;
        const reach = own ? ownShape((way - 1) % onsets, 0, this.#first) : 0;
        const mean = way > 0 ? this.#slopeMean[way]! : 0;
        const lean = way > 0 ? reach - this.#sa[(way - 1) * 3 + i]! : 0;
        const level = this.#u[i]! + lean * mean - levelMean;
        const slope = (own ? mean : 0) - slopeMean;
        const variance = way > 0 ? this.#slopeVariance[way]! : 0;
        levelVariance += probability * (level * level + this.#s[i * 4]! + lean * lean * variance);
        slopeVariance += probability * (slope * slope + (own ? variance : 0));
        covariance += probability * (level * slope + (own ? lean * variance : 0));
      }
      fit.offset[at] = offset;
      fit.levelVariance[at] = levelVariance;
      fit.slopeVariance[at] = slopeVariance;
      fit.covariance[at] = covariance;
    }
  }
}

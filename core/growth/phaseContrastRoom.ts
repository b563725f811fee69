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
  /** Probability that no phase ages on its own, then that one does since each onset. */
  share: Float64Array;
  ownSlopeMean: number;
  ownSlopeVariance: number;
}

/** Readings whose scale is coarser than this (variance of ln) say nothing about contrasts. */
const coarse = 0.02;
const halfLogTwoPi = 0.5 * Math.log(2 * Math.PI);
const isolated = 0.5;
/** Of readings: how many are strays, and how far they lie (variance of ln). */
const strayShare = 0.01;
const strayVariance = 4;
/** Tests of one segment from which the usual deviation of a phase is taken. */
const mostDeviations = 64;

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
  #deviations = new Float64Array(3 * mostDeviations);
  #deviationCount = new Int32Array(3);
  #centre = new Float64Array(3);
  /** Per event: bit p set where phase p is a stray. They depend on the readings alone: judged once a segment. */
  #strays: Uint8Array;
  /** 0 not yet judged, 1 without strays, 2 with some. */
  #judged: Uint8Array;
  /** ln likelihood of the contrasts but for what all ways share. */
  #logReadings = 0;
  #shape = new Float64Array(onsets);

  constructor(columns: FleetColumns, prepared: PreparedReadings, events: TestEvents, shift: Float64Array) {
    this.#columns = columns;
    this.#prepared = prepared;
    this.#events = events;
    this.#shift = shift;
    this.#strays = new Uint8Array(events.count);
    this.#judged = new Uint8Array(columns.segments.count);
  }

  /**
   * Takes up a segment: its sums and what they say of each way; false where no event has two phases to compare. A
   * reading far from its usual place may be a stray or the end of a trend: what explains all readings better, counts.
   */
  look(s: number, parameters: ContrastParameters): boolean {
    if (!this.#gather(s, parameters, true)) return false;
    const without = this.#solve(parameters);
    if (this.#judged[s] !== 2) return true;
    this.#gather(s, parameters, false);
    if (this.#solve(parameters) >= without) return true;
    this.#gather(s, parameters, true);
    this.#solve(parameters);
    return true;
  }

  #gather(s: number, parameters: ContrastParameters, leaveStraysOut: boolean): boolean {
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
    this.#logReadings = 0;
    if (this.#judged[s] === 0) this.#judged[s] = this.#judgeStrays(first, end) ? 2 : 1;
    for (let e = first; e < end; e++) this.#addEvent(e, parameters, leaveStraysOut ? this.#strays[e]! : 0);
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

  /** Marks the phases that lie far from the others in one event only: strays, not trends. */
  #judgeStrays(first: number, end: number): boolean {
    const count = this.#deviationCount;
    const list = this.#deviations;
    count.fill(0);
    for (let e = first; e < end; e++) {
      const m = this.#load(e);
      if (m < 2) continue;
      for (let p = 0; p < 3; p++) {
        if (this.#w[p] === 0 || count[p]! >= mostDeviations) continue;
        insert(list, p * mostDeviations, count[p]!, this.#deviation(p, m));
        count[p]!++;
      }
    }
    let alone = 0;
    for (let p = 0; p < 3; p++) {
      const n = count[p]!;
      const from = p * mostDeviations;
      // Of two, the one nearer to nothing is the usual one.
      let centre = n === 0 ? 0 : list[from + (n >> 1)]!;
      if (n === 2 && Math.abs(list[from]!) < Math.abs(centre)) centre = list[from]!;
      let far = 0;
      for (let i = from; i < from + n; i++) if (Math.abs(list[i]! - centre) > isolated) far++;
      if (n === 1 && Math.abs(list[from]!) > 1.7) {
        far = 1;
        centre = 0;
      }
      this.#centre[p] = centre;
      if (far === 1) alone |= 1 << p;
    }
    if (alone === 0) return false;
    let found = false;
    for (let e = first; e < end; e++) {
      const m = this.#load(e);
      if (m < 2) continue;
      for (let p = 0; p < 3; p++) {
        if (this.#w[p] === 0 || ((alone >> p) & 1) === 0) continue;
        if (Math.abs(this.#deviation(p, m) - this.#centre[p]!) <= isolated) continue;
        this.#strays[e]! |= 1 << p;
        found = true;
      }
    }
    return found;
  }

  #addEvent(e: number, parameters: ContrastParameters, strays: number): void {
    let m = this.#load(e);
    if (m < 2) return;
    const w = this.#w;
    const y = this.#y;
    const all = m;
    let total = 0;
    for (let p = 0; p < 3; p++) {
      if (w[p] === 0) continue;
      if ((strays >> p) & 1) {
        const deviation = this.#deviation(p, all) - this.#centre[p]!;
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

  /** Writes how well each onset (over its phases) and none explains the segment: density times one factor for all. */
  writeDensity(parameters: ContrastParameters, out: Float64Array, at: number): void {
    out[at] = this.#probability[0]! / parameters.share[0]!;
    for (let k = 0; k < onsets; k++) {
      let sum = 0;
      for (let p = 0; p < 3; p++) sum += this.#probability[1 + p * onsets + k]!;
      out[at + 1 + k] = sum / parameters.share[1 + k]!;
    }
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

  /** What a phase on its own adds to the mean of the three, were it certain that there is one. */
  #writeOwn(own: OwnPart, s: number): void {
    let weight = 0;
    let level = 0;
    let slope = 0;
    let level2 = 0;
    let product = 0;
    let slope2 = 0;
    for (let way = 1; way < ways; way++) {
      const probability = this.#probability[way]!;
      const reach = ownShape((way - 1) % onsets, 0, this.#first);
      const mean = this.#slopeMean[way]!;
      const square = mean * mean + this.#slopeVariance[way]!;
      weight += probability;
      level += probability * reach * mean;
      slope += probability * mean;
      level2 += probability * reach * reach * square;
      product += probability * reach * square;
      slope2 += probability * square;
    }
    if (weight === 0) return;
    level /= weight;
    slope /= weight;
    own.level[s] = level / 3;
    own.slope[s] = slope / 3;
    own.levelVariance[s] = (level2 / weight - level * level) / 9;
    own.covariance[s] = (product / weight - level * slope) / 9;
    own.slopeVariance[s] = (slope2 / weight - slope * slope) / 9;
  }

  write(
    fit: Pick<PhaseContrasts, 'offset' | 'slope' | 'slopeVariance' | 'covariance' | 'levelVariance' | 'pOwn' | 'own'>,
    s: number,
    parameters: ContrastParameters,
  ): void {
    fit.pOwn[s] = 1 - this.#probability[0]!;
    this.#writeOwn(fit.own, s);
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

/** Puts a value into its place among `count` ascending ones from `from` on. */
function insert(list: Float64Array, from: number, count: number, value: number): void {
  let at = from + count;
  while (at > from && list[at - 1]! > value) {
    list[at] = list[at - 1]!;
    at--;
  }
  list[at] = value;
}

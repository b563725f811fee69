import type { PhaseLoad } from './phaseLoad.ts';

/** How far strays lie, variance of ln. */
export const strayVariance = 4;
/** ln: nearer than this is within the errors of a phase. */
const isolated = 0.5;
/** Tests of one segment from which the usual deviation of a phase is taken. */
const mostDeviations = 64;

/** Finds readings that lie far from the others of their test, in one test only: strays, or the end of a rise. */
export class PhaseStrays {
  #load: PhaseLoad;
  #deviations = new Float64Array(3 * mostDeviations);
  #deviationCount = new Int32Array(3);
  /** Where each phase usually lies beside the others, of the stretch judged last. */
  readonly centre = new Float64Array(3);
  /** Per event: bit p set where phase p may be a stray. */
  readonly mask: Uint8Array;

  constructor(load: PhaseLoad, eventCount: number) {
    this.#load = load;
    this.mask = new Uint8Array(eventCount);
  }

  /** Marks the phases that lie far from the others in one event only: strays, not trends. */
  judge(first: number, end: number): boolean {
    const load = this.#load;
    const count = this.#deviationCount;
    const list = this.#deviations;
    count.fill(0);
    for (let e = first; e < end; e++) {
      const m = load.load(e);
      if (m < 2) continue;
      for (let p = 0; p < 3; p++) {
        if (load.w[p] === 0 || count[p]! >= mostDeviations) continue;
        insert(list, p * mostDeviations, count[p]!, load.deviation(p, m));
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
      this.centre[p] = centre;
      if (far === 1) alone |= 1 << p;
    }
    this.mask.fill(0, first, end);
    if (alone === 0) return false;
    let found = false;
    for (let e = first; e < end; e++) {
      const m = load.load(e);
      if (m < 2) continue;
      for (let p = 0; p < 3; p++) {
        if (load.w[p] === 0 || ((alone >> p) & 1) === 0) continue;
        if (Math.abs(load.deviation(p, m) - this.centre[p]!) <= isolated) continue;
        this.mask[e]! |= 1 << p;
        found = true;
      }
    }
    return found;
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

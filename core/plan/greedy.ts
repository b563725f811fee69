import type { Problem } from './problem.ts';
import { State } from './state.ts';

/** Prices of a cent and of a crew metre in each year, in currency of the objective. */
export interface Prices {
  readonly perCent: Float64Array;
  readonly perCrewM: Float64Array;
}

/** Worth of an option less what it takes of money and crews at the prices. */
export function pricedValue(p: Problem, prices: Prices, option: number): number {
  const y = p.optionYear[option]!;
  return p.value[option]! - prices.perCent[y]! * p.costCents[option]! - prices.perCrewM[y]! * p.crewM[option]!;
}

/** Options in the order in which a plain greedy takes them: most worth per money first, ties by number. */
function byRatio(p: Problem): Int32Array {
  const ratio = new Float64Array(p.value.length);
  for (let o = 0; o < ratio.length; o++) ratio[o] = p.value[o]! / (p.costCents[o]! + 1);
  return Int32Array.from(ratio.keys()).sort((a, b) => ratio[b]! - ratio[a]! || a - b);
}

/** Options in falling order of priced value per cost, ties by number. */
function byPrice(p: Problem, prices: Prices): Int32Array {
  const score = new Float64Array(p.value.length);
  for (let o = 0; o < score.length; o++) score[o] = pricedValue(p, prices, o) / (p.costCents[o]! + 1);
  return Int32Array.from(score.keys()).sort((a, b) => score[b]! - score[a]! || a - b);
}

/** Seats the candidates that must have an option, dearest first, each at its best option that fits. */
function seatMusts(p: Problem, state: State): void {
  const cheapest = (c: number): number => {
    let least = Infinity;
    for (let o = p.start[c]!; o < p.start[c + 1]!; o++) least = Math.min(least, p.costCents[o]!);
    return least;
  };
  const freedom = (c: number): number => p.start[c + 1]! - p.start[c]!;
  const musts = [...p.must.keys()].filter((c) => p.must[c] && state.choice[c]! < 0);
  musts.sort((a, b) => freedom(a) - freedom(b) || cheapest(b) - cheapest(a) || a - b);
  for (const c of musts) {
    let best = -1;
    let bestGain = Number.NEGATIVE_INFINITY;
    for (let o = p.start[c]!; o < p.start[c + 1]!; o++) {
      const gain = state.gain(c, o);
      if (gain > bestGain && state.fitsMove(c, o)) {
        best = o;
        bestGain = gain;
      }
    }
    if (best >= 0) state.set(c, best);
  }
}

/** Takes options in the order given wherever they fit and gain. */
export function fill(state: State, p: Problem, order: Int32Array): void {
  for (const o of order) {
    const c = p.optionCandidate[o]!;
    if (state.choice[c]! >= 0) continue;
    if (state.gain(c, o) > 0 && state.fitsMove(c, o)) state.set(c, o);
  }
}

/** One price of money for all years, and what it proves. */
export interface MoneyPrice {
  readonly perCent: number;
  /** No plan is worth more: money counted over all years together, crews and mobilisation left out (Lagrangian bound). */
  readonly bound: number;
}

/** Steps of bisection on the price of money; the last ones move the bound by less than a millionth. */
const PRICE_STEPS = 50;

/** The price at which the best options of all candidates would just use up the money of all years together. */
export function moneyPrice(p: Problem): MoneyPrice {
  const total = p.budgetCents.reduce((a, b) => a + b, 0);
  const at = (price: number): { bound: number; cents: number } => {
    let bound = price * total;
    let cents = 0;
    for (let c = 0; c < p.row.length; c++) {
      let best = p.must[c] ? Number.NEGATIVE_INFINITY : 0;
      let cost = 0;
      for (let o = p.start[c]!; o < p.start[c + 1]!; o++) {
        const worth = p.value[o]! - price * p.costCents[o]!;
        if (worth <= best) continue;
        best = worth;
        cost = p.costCents[o]!;
      }
      bound += best;
      cents += cost;
    }
    return { bound, cents };
  };
  let low = 0;
  let high = 0;
  for (let o = 0; o < p.value.length; o++) high = Math.max(high, p.value[o]! / (p.costCents[o]! + 1));
  let bound = at(0).bound;
  for (let step = 0; step < PRICE_STEPS; step++) {
    const price = (low + high) / 2;
    const found = at(price);
    bound = Math.min(bound, found.bound);
    if (found.cents > total) low = price;
    else high = price;
  }
  return { perCent: high, bound };
}

/** Steps of the search for yearly prices; they only choose with which options the relaxation begins. */
const YEAR_PRICE_STEPS = 60;

/**
 * Rough prices of money and crews by year: each goes up while the best options at the prices want more than there is,
 * and down while they want less. A first guess, not a bound.
 */
export function yearPrices(p: Problem, money: MoneyPrice): Prices {
  const perCent = new Float64Array(p.years).fill(money.perCent);
  const perCrewM = new Float64Array(p.years);
  const cents = new Float64Array(p.years);
  const metres = new Float64Array(p.years);
  const average: Prices = { perCent: new Float64Array(p.years), perCrewM: new Float64Array(p.years) };
  const firstCounted = YEAR_PRICE_STEPS / 2;
  const meanValuePerM =
    p.value.reduce((a, b) => a + b, 0) /
    Math.max(
      1,
      p.crewM.reduce((a, b) => a + b, 0),
    );
  for (let step = 0; step < YEAR_PRICE_STEPS; step++) {
    cents.fill(0);
    metres.fill(0);
    const prices = { perCent, perCrewM };
    for (let c = 0; c < p.row.length; c++) {
      let best = -1;
      let most = p.must[c] ? Number.NEGATIVE_INFINITY : 0;
      for (let o = p.start[c]!; o < p.start[c + 1]!; o++) {
        const worth = pricedValue(p, prices, o);
        if (worth <= most) continue;
        best = o;
        most = worth;
      }
      if (best < 0) continue;
      cents[p.optionYear[best]!]! += p.costCents[best]!;
      metres[p.optionYear[best]!]! += p.crewM[best]!;
    }
    const pace = 0.3 / (1 + step / 10);
    for (let y = 0; y < p.years; y++) {
      const over = Math.max(-1, Math.min(2, cents[y]! / (p.budgetCents[y]! + 1) - 1));
      perCent[y]! *= Math.exp(pace * over);
      if (p.crewMaxM[y]! < Infinity) {
        const late = Math.max(-1, Math.min(2, metres[y]! / (p.crewMaxM[y]! + 1) - 1));
        perCrewM[y] = Math.max(0, perCrewM[y]! + pace * late * 0.1 * meanValuePerM);
      }
      if (step < firstCounted) continue;
      average.perCent[y]! += perCent[y]! / (YEAR_PRICE_STEPS - firstCounted);
      average.perCrewM[y]! += perCrewM[y]! / (YEAR_PRICE_STEPS - firstCounted);
    }
  }
  return average;
}

/** Options of the action that is worth most over the price of money, a candidate each, most worth per money first. */
function byBestAction(p: Problem, price: number): Int32Array {
  const wanted: number[] = [];
  for (let c = 0; c < p.row.length; c++) {
    let best = -1;
    let most = 0;
    for (let o = p.start[c]!; o < p.start[c + 1]!; o++) {
      const worth = p.value[o]! - price * p.costCents[o]!;
      if (worth <= most) continue;
      best = o;
      most = worth;
    }
    if (best < 0) continue;
    for (let o = p.start[c]!; o < p.start[c + 1]!; o++) if (p.optionAction[o] === p.optionAction[best]) wanted.push(o);
  }
  const ratio = (o: number) => p.value[o]! / (p.costCents[o]! + 1);
  return Int32Array.from(wanted.sort((a, b) => ratio(b) - ratio(a) || a - b));
}

/**
 * Two greedy plans: musts first, then each option in the first order in which it fits: once by worth per money alone,
 * once first with the action that is worth most over the price of money, so that cheap work with little benefit does
 * not keep dear work with much benefit out. A plan may leave a must without a seat where those are tight; the caller
 * asks `keepsMusts`.
 */
export function greedyPlans(p: Problem, price: MoneyPrice): State[] {
  const ratio = byRatio(p);
  return [[ratio], [byBestAction(p, price.perCent), ratio]].map((orders) => {
    const state = new State(p);
    seatMusts(p, state);
    for (const order of orders) fill(state, p, order);
    return state;
  });
}

/** A plan from a fractional one: options in order of their share and price, then filled up by price. */
export function roundPlan(p: Problem, share: Float64Array, prices: Prices): State {
  const state = new State(p);
  for (let c = 0; c < p.must.length; c++) {
    for (let o = p.start[c]!; o < p.start[c + 1]!; o++) {
      if (share[o]! > 0.999 && state.fitsMove(c, o)) state.set(c, o);
    }
  }
  seatMusts(p, state);
  const split: number[] = [];
  for (let o = 0; o < share.length; o++) if (share[o]! > 1e-6 && share[o]! <= 0.999) split.push(o);
  split.sort((a, b) => share[b]! - share[a]! || a - b);
  fill(state, p, Int32Array.from(split));
  fill(state, p, byPrice(p, prices));
  return state;
}

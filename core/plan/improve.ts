import { fill, type Prices, pricedValue } from './greedy.ts';
import type { Problem } from './problem.ts';
import type { State } from './state.ts';

const LEAST_GAIN = 1e-7;
/** Works of a year that a swap may push away: those worth least per money. */
const SWAP_PARTNERS = 40;
/** Swaps tried in one pass, a limit that keeps large fleets quick and does not depend on the machine. */
const SWAPS_A_PASS = 100_000;

/** Best option of candidate `c` (or none) that fits and gains; returns whether it moved. */
function moveOne(p: Problem, state: State, c: number): boolean {
  let best = state.choice[c]!;
  let bestGain = LEAST_GAIN;
  if (best >= 0 && !p.must[c]) {
    const gain = state.gain(c, -1);
    if (gain > bestGain && state.fitsMove(c, -1)) {
      best = -1;
      bestGain = gain;
    }
  }
  for (let o = p.start[c]!; o < p.start[c + 1]!; o++) {
    const gain = state.gain(c, o);
    if (gain > bestGain && state.fitsMove(c, o)) {
      best = o;
      bestGain = gain;
    }
  }
  if (bestGain <= LEAST_GAIN) return false;
  state.set(c, best);
  return true;
}

/** Where candidate `c` loses least when it must leave its option: another option that fits, or none. */
function bestElsewhere(p: Problem, state: State, c: number, leaving: number): { option: number; gain: number } {
  let option = -2;
  let gain = Number.NEGATIVE_INFINITY;
  if (!p.must[c]) {
    option = -1;
    gain = state.gain(c, -1);
  }
  for (let o = p.start[c]!; o < p.start[c + 1]!; o++) {
    if (o === leaving) continue;
    const change = state.gain(c, o);
    if (change > gain && state.fitsMove(c, o)) {
      option = o;
      gain = change;
    }
  }
  return { option, gain };
}

/** Tries to seat candidate `c` at option `o` by moving one other work of the same year away. */
function moveWithSwap(p: Problem, state: State, c: number, o: number, members: readonly number[]): boolean {
  const before = state.objective;
  const old = state.choice[c]!;
  for (const other of members) {
    const leaving = state.choice[other]!;
    if (other === c || leaving < 0 || p.optionYear[leaving] !== p.optionYear[o]) continue;
    state.set(other, -1);
    if (state.fitsMove(c, o)) {
      state.set(c, o);
      const seat = bestElsewhere(p, state, other, leaving);
      if (seat.option >= -1) {
        state.set(other, seat.option);
        if (state.objective > before + LEAST_GAIN && state.fits()) return true;
        state.set(other, -1);
      }
      state.set(c, old);
    }
    state.set(other, leaving);
  }
  return false;
}

/** Empties one feeder in one year into its other years where that gains; undone where it does not. */
function closeFeederYear(p: Problem, state: State, members: readonly number[], y: number): boolean {
  const before = state.objective;
  const moved: { c: number; option: number }[] = [];
  for (const c of members) {
    const option = state.choice[c]!;
    if (option < 0 || p.optionYear[option] !== y) continue;
    moved.push({ c, option });
    state.set(c, -1);
  }
  for (const { c } of moved) {
    let best = -1;
    let bestGain = p.must[c] ? Number.NEGATIVE_INFINITY : LEAST_GAIN;
    for (let o = p.start[c]!; o < p.start[c + 1]!; o++) {
      if (p.optionYear[o] === y) continue;
      const gain = state.gain(c, o);
      if (gain > bestGain && state.fitsMove(c, o)) {
        best = o;
        bestGain = gain;
      }
    }
    state.set(c, best);
  }
  if (
    state.objective > before + LEAST_GAIN &&
    state.fits() &&
    moved.every(({ c }) => !p.must[c] || state.choice[c]! >= 0)
  ) {
    return true;
  }
  for (const { c } of moved) state.set(c, -1);
  for (const { c, option } of moved) state.set(c, option);
  return false;
}

/** Opens a closed feeder-year with several works at once, which alone would not pay its mobilisation. */
function openFeederYear(p: Problem, state: State, members: readonly number[], y: number): boolean {
  const before = state.objective;
  const wanted: { c: number; option: number; gain: number }[] = [];
  for (const c of members) {
    const old = state.choice[c]!;
    let best = -1;
    let bestValue = LEAST_GAIN;
    for (let o = p.start[c]!; o < p.start[c + 1]!; o++) {
      if (p.optionYear[o] !== y) continue;
      const value = p.value[o]! - (old >= 0 ? p.value[old]! : 0);
      if (value > bestValue) {
        best = o;
        bestValue = value;
      }
    }
    if (best >= 0) wanted.push({ c, option: best, gain: bestValue });
  }
  if (wanted.length < 2) return false;
  wanted.sort((a, b) => b.gain / (p.costCents[b.option]! + 1) - a.gain / (p.costCents[a.option]! + 1) || a.c - b.c);
  const undo: { c: number; option: number }[] = [];
  for (const { c, option } of wanted) {
    if (!state.fitsMove(c, option)) continue;
    undo.push({ c, option: state.choice[c]! });
    state.set(c, option);
  }
  if (state.objective > before + LEAST_GAIN) return true;
  for (const { c, option } of undo) state.set(c, option);
  return false;
}

/**
 * Betters a plan by moves of one work, swaps of two, and opening or closing a feeder's year, until nothing gains or
 * `passes` are over. Never worsens it and never leaves the limits. Deterministic.
 */
export function improve(
  p: Problem,
  state: State,
  prices: Prices | null,
  passes: number,
  shouldStop: () => boolean,
): void {
  const byFeeder: number[][] = Array.from({ length: p.feeders }, () => []);
  for (let c = 0; c < p.row.length; c++) byFeeder[p.feeder[c]!]!.push(c);
  const order = Int32Array.from(p.value.keys()).sort((a, b) => p.value[b]! - p.value[a]! || a - b);
  for (let pass = 0; pass < passes && !shouldStop(); pass++) {
    const before = state.objective;
    for (let c = 0; c < p.row.length; c++) moveOne(p, state, c);
    if (p.mobilisationCents > 0) {
      for (const members of byFeeder) {
        const base = p.feeder[members[0]!]! * p.years;
        for (let y = 0; y < p.years; y++) {
          if (state.onFeeder[base + y]! > 0) closeFeederYear(p, state, members, y);
          else openFeederYear(p, state, members, y);
        }
      }
    }
    swapPass(p, state, prices);
    fill(state, p, order);
    if (state.objective <= before + LEAST_GAIN * Math.abs(before)) return;
  }
}

/** One round of swaps: each option whose price speaks for it tries to push one work of its year away. */
function swapPass(p: Problem, state: State, prices: Prices | null): void {
  const inYear: number[][] = Array.from({ length: p.years }, () => []);
  for (let c = 0; c < p.row.length; c++) {
    const option = state.choice[c]!;
    if (option >= 0) inYear[p.optionYear[option]!]!.push(c);
  }
  const worth = (c: number) => p.value[state.choice[c]!]! / (p.costCents[state.choice[c]!]! + 1);
  const partners = inYear.map((members) =>
    members.sort((a, b) => worth(a) - worth(b) || a - b).slice(0, SWAP_PARTNERS),
  );
  let left = SWAPS_A_PASS;
  for (let c = 0; c < p.row.length; c++) {
    for (let o = p.start[c]!; o < p.start[c + 1]!; o++) {
      const old = state.choice[c]!;
      if (o === old || state.gain(c, o) <= LEAST_GAIN) continue;
      if (prices && pricedValue(p, prices, o) < -0.15 * p.value[o]!) continue;
      const members = partners[p.optionYear[o]!]!;
      left -= members.length;
      if (left < 0) return;
      moveWithSwap(p, state, c, o, members);
    }
  }
}

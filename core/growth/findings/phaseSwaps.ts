import { median, robustSpread } from '../../numerics/quantile.ts';
import type { FleetColumns } from '../columns.ts';
import type { Comparable } from './comparable.ts';
import { type Finding, isoDay, noGrowthEffect, phaseNames, roughly } from './finding.ts';

/** Entry p says whose place the reading labelled p takes. */
const permutations: readonly (readonly [number, number, number])[] = [
  [1, 0, 2],
  [2, 1, 0],
  [0, 2, 1],
  [1, 2, 0],
  [2, 0, 1],
];
/** The labels as written must fit this badly, and swapped this well (sums of three squares in spreads). */
const badly = 36;
const well = 7;
/** And be explained by so much more: −2 ln of about one in ten million, as five ways are tried on every test. */
const better = 32;
/**
 * Every pair of phases must differ from its usual difference by so many spreads. Where one phase ages alone, the other
 * two keep theirs: that is no swap.
 */
const eachAway = 2.2;
const fewestEvents = 4;

interface Contrasts {
  readonly event: number;
  readonly reading: readonly [number, number, number];
  readonly value: readonly [number, number, number];
  readonly rounding: readonly [number, number, number];
}

/**
 * Tests at which the phases' labels were exchanged: on every other visit one phase stands above another, on this one
 * they have changed places. Needs three exact phases on four visits with nothing done to the segment in between. `shift` are unit slips, taken off first.
 */
export function findPhaseSwaps(fleet: FleetColumns, comparable: Comparable, shift: Float64Array): Finding[] {
  const { events } = comparable;
  const byEra: { own: Contrasts[]; loudest: number }[] = [];
  const off: number[] = [];
  for (let from = 0, to = 0; from < events.count; from = to) {
    const own: Contrasts[] = [];
    for (; to < events.count && events.era[to] === events.era[from]; to++) {
      const c = contrasts(fleet, comparable, shift, to);
      if (c) own.push(c);
    }
    if (own.length < fewestEvents) continue;
    let loudest = 0;
    for (let p = 0; p < 3; p++) {
      const middle = median(own.map((c) => c.value[p]!));
      for (const c of own) {
        loudest = Math.max(loudest, Math.abs(c.value[p]! - middle));
        if (off.length < 100_000) off.push((c.value[p]! - middle) * Math.sqrt(own.length / (own.length - 1)));
      }
    }
    byEra.push({ own, loudest });
  }
  if (off.length < 60) return [];
  const spread = Math.max(0.03, robustSpread(off, 0));
  // Most segments never leave their own middle by enough to be worth comparing with every way to swap.
  return byEra.flatMap(({ own, loudest }) => (loudest > 1.3 * eachAway * spread ? swapsOf(own, spread) : []));

  function swapsOf(own: readonly Contrasts[], spread: number): Finding[] {
    const found: { at: number; permutation: readonly number[]; worse: number; fit: number }[] = [];
    own.forEach((c, at) => {
      const others = own.filter((_, i) => i !== at);
      const usual = [0, 1, 2].map((p) => median(others.map((other) => other.value[p]!)));
      // A restless segment is judged by its own unrest, not by the fleet's calm.
      const unrest = robustSpread(
        others.flatMap((other) => other.value.map((v, p) => v - usual[p]!)),
        0,
      );
      const variance = Math.max(spread, 1.3 * unrest) ** 2 * (1 + 1.57 / others.length);
      const usualRounding = [0, 1, 2].map((p) => median(others.map((other) => other.rounding[p]!)));
      const off = (place: number, p: number): number =>
        Math.abs(c.value[p]! - usual[place]!) / Math.sqrt(variance + c.rounding[p]! ** 2 + usualRounding[place]! ** 2);
      const misfit = (places: readonly number[]): number =>
        places.reduce((sum, place, p) => sum + off(place, p) ** 2, 0);
      const worse = misfit([0, 1, 2]);
      if (worse < badly) return;
      const [best, fit] = permutations
        .map((places) => [places, misfit(places)] as const)
        .reduce((a, b) => (b[1] < a[1] ? b : a));
      const pairAway = (p: number, q: number): number =>
        Math.abs(c.value[p]! - c.value[q]! - usual[p]! + usual[q]!) /
        Math.sqrt(3 * variance + c.rounding[p]! ** 2 + c.rounding[q]! ** 2);
      const allPairs = Math.min(pairAway(0, 1), pairAway(1, 2), pairAway(0, 2)) > eachAway;
      if (fit < well && worse - fit > better && allPairs) found.push({ at, permutation: best, worse, fit });
    });
    // Half of the visits or more cannot be the odd ones out.
    if (found.length === 0 || 2 * found.length >= own.length) return [];
    return found.map(({ at, permutation, worse, fit }) => {
      const c = own[at]!;
      const moved = [0, 1, 2].filter((p) => permutation[p] !== p);
      const toTheEnd = found.length > 1 && at >= own.length - found.length;
      return {
        kind: 'phase swap',
        certainty: 'likely',
        segment: events.segment[c.event]!,
        event: fleet.readings.event[events.start[c.event]!]!,
        instrument: fleet.readings.instrument[events.start[c.event]!]!,
        readings: moved.map((p) => c.reading[p]!),
        seen: [
          ...moved.map((p) => ({
            name: `phase ${phaseNames[p]} against the mean of the three`,
            value: Math.exp(c.value[p]!),
            unit: '',
          })),
          { name: 'misfit as labelled', value: worse, unit: '' },
          { name: 'misfit when exchanged', value: fit, unit: '' },
        ],
        says: `On ${isoDay(events.day[c.event]!)} the readings labelled ${moved.map((p) => phaseNames[p]).join(', ')} stand as ${moved.map((p) => phaseNames[permutation[p]!]).join(', ')} do on the other ${own.length - found.length} visits (misfit ${roughly(worse)} as labelled, ${roughly(fit)} exchanged)${toTheEnd ? '; the same on every visit since' : ''}.`,
        wouldChange:
          'With the labels exchanged no phase seems to age on its own; the segment’s common growth stays the same.',
        cure: { do: 'relabel', phases: moved.map((p) => permutation[p]!) },
        growth: noGrowthEffect('labels change the growth of phases, not that of the segment'),
      };
    });
  }
}

function contrasts(fleet: FleetColumns, comparable: Comparable, shift: Float64Array, e: number): Contrasts | undefined {
  const { events, y, rounding } = comparable;
  if (events.start[e + 1]! - events.start[e]! !== 3) return undefined;
  const r = events.start[e]!;
  const reading = [-1, -1, -1];
  for (let i = r; i < r + 3; i++) if (!Number.isNaN(y[i]!)) reading[fleet.readings.phase[i]!] = i;
  const [a, b, c] = reading as [number, number, number];
  if (a < 0 || b < 0 || c < 0) return undefined;
  const value = [a, b, c].map((i) => y[i]! - shift[i]!) as [number, number, number];
  const mean = (value[0] + value[1] + value[2]) / 3;
  return {
    event: e,
    reading: [a, b, c],
    value: value.map((v) => v - mean) as [number, number, number],
    rounding: [a, b, c].map((i) => rounding[i]!) as [number, number, number],
  };
}

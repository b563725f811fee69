import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../core/numerics/random.ts';
import { outlookOf } from '../../core/plan/outlook.ts';
import { worthOf } from '../../core/plan/risk.ts';
import { columns, inputsOf } from './fleet.ts';

/** Failures of one year from the chances of its segments, each with its own interval. */
function failuresOf(p: readonly number[], lo = p, hi = p) {
  const s = columns(p.length, 1);
  s.failureProbability.set(p);
  s.failureProbabilityLo.set(lo);
  s.failureProbabilityHi.set(hi);
  const inputs = inputsOf(s, 1, 1, 0);
  return outlookOf(inputs, worthOf(inputs, true), new Map())[0]!.failures;
}

/** P(N = k) of independent failures, exactly: one segment after the other. */
function exactly(p: readonly number[]): number[] {
  let mass = [1];
  for (const each of p) {
    const next = new Array<number>(mass.length + 1).fill(0);
    mass.forEach((m, k) => {
      next[k]! += m * (1 - each);
      next[k + 1]! += m * each;
    });
    mass = next;
  }
  return mass;
}

const between = (mass: readonly number[], lo: number, hi: number): number =>
  mass.reduce((sum, m, k) => (k >= lo && k <= hi ? sum + m : sum), 0);

describe('the failures expected in a year', () => {
  test('have their mean, and an interval of whole counts that begins at none where none is likely', () => {
    const two = failuresOf([0.2, 0.5]);
    expect(two.mean).toBeCloseTo(0.7, 12);
    // By hand: none 0.4, one 0.5, two 0.1.
    expect([two.lo, two.hi]).toEqual([0, 2]);
    expect(failuresOf([])).toEqual({ mean: 0, lo: 0, hi: 0 });
  });

  test('lie within the interval as often as they should, held against the exact count of 200 fleets', () => {
    const next = seededRandom(41).uniform;
    for (let fleet = 0; fleet < 200; fleet++) {
      const size = 1 + Math.floor(next() * 300);
      const scale = 0.003 + next() * 0.3;
      const p = Array.from({ length: size }, () => Math.min(0.95, -Math.log(1 - next()) * scale));
      const { lo, hi } = failuresOf(p);
      const mass = exactly(p);
      expect(between(mass, lo, hi)).toBeGreaterThanOrEqual(0.885);
      // Not wider than need be: without its ends it would hold too little.
      expect(between(mass, lo + 1, hi - 1)).toBeLessThan(0.9);
      expect(between(mass, 0, lo - 1)).toBeLessThanOrEqual(0.06);
      expect(between(mass, hi + 1, size)).toBeLessThanOrEqual(0.06);
    }
  });

  test('keep to it where all chances are too high or too low together by a factor, summed over 201 such factors', () => {
    const next = seededRandom(7).uniform;
    for (const spread of [0.15, 0.35, 0.6]) {
      const p = Array.from({ length: 250 }, () => -Math.log(1 - next()) * 0.03);
      // A lognormal factor of mean 1; its 5 % and 95 % points give the interval of each chance.
      const factor = (z: number) => Math.exp(spread * z - (spread * spread) / 2);
      const at = (z: number) => p.map((each) => Math.min(1, each * factor(z)));
      const { lo, hi } = failuresOf(p, at(-1.6448536), at(1.6448536));
      let held = 0;
      let weight = 0;
      for (let step = -100; step <= 100; step++) {
        const z = step * 0.04;
        const w = Math.exp((-z * z) / 2);
        weight += w;
        held += w * between(exactly(at(z)), lo, hi);
      }
      expect(held / weight).toBeGreaterThanOrEqual(0.885);
      expect(held / weight).toBeLessThanOrEqual(0.95);
    }
  });
});

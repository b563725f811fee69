import { describe, expect, test } from 'vitest';
import { mixingShares } from '../../core/numerics/mixingShares.ts';
import { seededRandom } from '../../core/numerics/random.ts';

const none = { counts: new Float64Array(2), links: [] };

describe('shares of a mixture', () => {
  /**
   * Rao's 197 animals in four classes of chances ½ + π/4, (1 − π)/4, (1 − π)/4, π/4, as worked by Dempster, Laird and
   * Rubin (1977), Maximum likelihood from incomplete data, J. R. Statist. Soc. B 39, p. 2: π = 0.626821498; figures from
   * memory. It is a mixture of (¾, 0, 0, ¼) and (½, ¼, ¼, 0). All digits given must come out.
   */
  test('agree with the linkage example of Dempster, Laird and Rubin 1977', () => {
    const classes = [
      [125, 0.5, 0.75],
      [18, 0.25, 0],
      [20, 0.25, 0],
      [34, 0, 0.25],
    ] as const;
    const density: number[] = [];
    for (const [animals, one, two] of classes) for (let i = 0; i < animals; i++) density.push(one, two);
    const share = Float64Array.of(0.5, 0.5);
    mixingShares(Float64Array.from(density), 197, share, none);
    expect(share[1]).toBeCloseTo(0.626821498, 9);
  });

  test('have the variance of ln(share ÷ the other share) that the counts of cases with a known part give', () => {
    // Every case tells its part: a binomial, whose log odds have the variance 1/n₁ + 1/n₂.
    const density = Float64Array.from(Array.from({ length: 50 }, (_, i) => (i < 10 ? [0, 1] : [1, 0])).flat());
    const share = Float64Array.of(0.5, 0.5);
    const variance = mixingShares(density, 50, share, none);
    expect(share[1]).toBeCloseTo(0.2, 9);
    expect(variance[1]).toBeCloseTo(1 / 10 + 1 / 40, 5);
  });

  test('of a part that no case shows follow their neighbour’s, as the link says', () => {
    // Parts 0 and 1 are told apart; part 2 looks like part 0 in every case.
    const density = Float64Array.from(Array.from({ length: 400 }, (_, i) => (i < 40 ? [0, 1, 0] : [1, 0, 1])).flat());
    const linked = (offset: number, sd: number) => {
      const share = Float64Array.of(0.98, 0.01, 0.01);
      const prior = { counts: Float64Array.of(1, 0.1, 0.1), links: [{ part: 2, other: 1, offset, sd }] };
      const variance = mixingShares(density, 400, share, prior);
      return { share, variance };
    };
    const alike = linked(0, 0.05);
    expect(alike.share[1]).toBeCloseTo(0.1, 2);
    expect(alike.share[2]! / alike.share[1]!).toBeCloseTo(1, 1);
    const half = linked(Math.log(0.5), 0.05);
    expect(half.share[2]! / half.share[1]!).toBeCloseTo(0.5, 1);
    expect(linked(0, 1).variance[2]).toBeGreaterThan(20 * alike.variance[2]!);
  });

  test('lie where no small change raises the sum of ln likelihood and prior', () => {
    const random = seededRandom(4);
    const cases = 300;
    const density = Float64Array.from({ length: cases * 4 }, () => random.uniform() ** 3);
    const prior = { counts: Float64Array.of(5, 0.5, 0.5, 0.5), links: [{ part: 2, other: 3, offset: 0.3, sd: 0.7 }] };
    const share = Float64Array.of(0.7, 0.1, 0.1, 0.1);
    mixingShares(density, cases, share, prior);
    const height = (at: Float64Array): number => {
      let sum = -0.5 * ((Math.log(at[2]! / at[3]!) - 0.3) / 0.7) ** 2;
      for (let k = 0; k < 4; k++) sum += prior.counts[k]! * Math.log(at[k]!);
      for (let i = 0; i < cases; i++) {
        let mean = 0;
        for (let k = 0; k < 4; k++) mean += at[k]! * density[4 * i + k]!;
        sum += Math.log(mean);
      }
      return sum;
    };
    const top = height(share);
    for (let k = 0; k < 4; k++) {
      for (const factor of [0.98, 1.02]) {
        const moved = share.slice();
        moved[k]! *= factor;
        const sum = moved.reduce((a, b) => a + b, 0);
        expect(height(moved.map((x) => x / sum))).toBeLessThan(top);
      }
    }
  });
});

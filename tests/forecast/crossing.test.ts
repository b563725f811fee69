import { describe, expect, test } from 'vitest';
import { crossings, type LevelPosterior, levelPath, pExceedWithin } from '../../core/forecast/crossing.ts';
import { normalCdf } from '../../core/numerics/normal.ts';
import { seededRandom } from '../../core/numerics/random.ts';

type Part = readonly [weight: number, level: number, slope: number, lv: number, cov: number, sv: number];

function input(parts: readonly Part[], logLimit: number): LevelPosterior {
  const pick = (i: number) => Float64Array.from(parts, (part) => part[i]!);
  return {
    count: 1,
    parts: parts.length,
    weight: pick(0),
    level: pick(1),
    slope: pick(2),
    levelVariance: pick(3),
    covariance: pick(4),
    slopeVariance: pick(5),
    limitNsPerKm: Float64Array.of(Math.exp(logLimit)),
  };
}

const mixed: readonly Part[] = [
  [0.8, 0.2, 0.05, 0.04, 0.002, 0.0006],
  [0.2, 0.5, 0.2, 0.06, 0.004, 0.004],
];

describe('the probability of passing the limit', () => {
  test('agrees with 400,000 straight lines drawn at random, to four standard errors', () => {
    const random = seededRandom(7);
    const crossing = input(mixed, 1);
    const years = [1, 5, 12];
    const hits = [0, 0, 0];
    const draws = 400_000;
    for (let i = 0; i < draws; i++) {
      const [, m, s, lv, cov, sv] = mixed[random.uniform() < 0.8 ? 0 : 1]!;
      const z = random.normal();
      const level = m + Math.sqrt(lv) * z;
      const slope = s + (cov / Math.sqrt(lv)) * z + Math.sqrt(sv - (cov * cov) / lv) * random.normal();
      years.forEach((t, j) => {
        if (Math.max(level, level + slope * t) > 1) hits[j]!++;
      });
    }
    years.forEach((t, j) => {
      const share = hits[j]! / draws;
      const error = Math.sqrt((share * (1 - share)) / draws);
      expect(Math.abs(pExceedWithin(crossing, 0, t) - share)).toBeLessThan(4 * error);
    });
  });

  test('counts a falling line that is above the limit today', () => {
    const falling = input([[1, 0.1, -0.5, 0.01, 0, 1e-4]], 0);
    expect(pExceedWithin(falling, 0, 10)).toBeCloseTo(normalCdf(1), 6);
    expect(pExceedWithin(falling, 0, 0)).toBeCloseTo(normalCdf(1), 12);
  });

  test('never falls with time and is NaN without a limit', () => {
    const crossing = input(mixed, 1);
    let before = 0;
    for (let t = 0; t <= 40; t += 0.5) {
      const p = pExceedWithin(crossing, 0, t);
      expect(p).toBeGreaterThanOrEqual(before);
      before = p;
    }
    expect(pExceedWithin(input(mixed, Number.NaN), 0, 5)).toBeNaN();
  });
});

describe('the crossing year', () => {
  test('of a sure line is limit less level over slope', () => {
    const sure = input([[1, 0, 0.1, 1e-8, 0, 1e-10]], 1);
    const { lo, median, hi } = crossings(sure, { horizonYears: 40 });
    for (const year of [lo, median, hi]) expect(year[0]).toBeCloseTo(10, 1);
  });

  test('has its median where half of the lines have crossed, by Fieller’s ratio of normals', () => {
    // P(crossed by T) = Φ((m + sT − L) ÷ sd(T)) for a line that surely rises; at the median m + sT = L.
    const rising = input([[1, 0, 0.1, 0.04, 0, 0.0001]], 1);
    expect(crossings(rising, { horizonYears: 40 }).median[0]).toBeCloseTo(10, 1);
  });

  test('is not within the horizon for a steady segment, and is now for one above its limit', () => {
    const steady = input([[1, 0, 0, 0.01, 0, 1e-6]], 3);
    expect(crossings(steady, { horizonYears: 40 }).median[0]).toBeNaN();
    const above = input([[1, 4, 0.1, 0.01, 0, 1e-6]], 3);
    expect(crossings(above, { horizonYears: 40 }).hi[0]).toBe(0);
  });
});

describe('the forecast band', () => {
  test('of one normal part is lognormal', () => {
    const one = input([[1, 0.3, 0.04, 0.05, 0.001, 0.0004]], 2);
    const band = levelPath(one, [0, 8]);
    const sd = Math.sqrt(0.05 + 16 * 0.001 + 64 * 0.0004);
    expect(band[1]!.median).toBeCloseTo(Math.exp(0.3 + 0.32), 6);
    expect(band[1]!.hi90).toBeCloseTo(Math.exp(0.62 + 1.6448536269514722 * sd), 6);
    expect(band[1]!.lo50).toBeCloseTo(Math.exp(0.62 - 0.6744897501960817 * sd), 6);
  });

  test('is empty for a segment without a reading', () => {
    expect(levelPath(input([[0, 0, 0, 0, 0, 0]], 1), [1])).toEqual([]);
  });
});

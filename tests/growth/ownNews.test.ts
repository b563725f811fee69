import { describe, expect, test } from 'vitest';
import type { ReadingBasis, ReadingSubject } from '../../core/growth/expectReading.ts';
import { type NewReading, type OwnEvent, ownNews } from '../../core/growth/ownNews.ts';
import { updateGrowth } from '../../core/growth/updateGrowth.ts';

const asOfDay = 20_000;
const basis: ReadingBasis = {
  asOfDay,
  usualDwellMin: 15,
  voltageExponent: 0.2,
  voltageCurve: 0,
  dwellExponent: -0.1,
  temperature: [{ perC: 0.05, variance: 1e-4 }],
  eventVariance: 0.02,
  readingVariance: 0.006,
};

/** One normal for level (ln nS/km) and slope (a year), or the two of a mixture. */
function subject(parts: { weight: number; slope: number; slopeSd: number }[]): ReadingSubject {
  const column = (of: (part: (typeof parts)[number]) => number) => Float64Array.from(parts, of);
  return {
    at: 0,
    posterior: {
      parts: parts.length,
      weight: column((part) => part.weight),
      level: column(() => 1),
      slope: column((part) => part.slope),
      levelVariance: column(() => 0.03),
      covariance: column((part) => 0.3 * Math.sqrt(0.03) * part.slopeSd),
      slopeVariance: column((part) => part.slopeSd ** 2),
    },
    phases: { level: new Float32Array(3), slope: new Float32Array(3), variance: new Float32Array(3).fill(0.001) },
    insulation: 0,
    lengthKm: 0.5,
    usualKv: 20,
  };
}

const plain = [{ weight: 1, slope: 0.04, slopeSd: 0.02 }];
const mixed = [
  { weight: 0.8, slope: 0.03, slopeSd: 0.015 },
  { weight: 0.2, slope: 0.15, slopeSd: 0.05 },
];

/** Readings of the three phases, each `ln` above what 20 °C, 20 kV, 15 min and level 1 give. */
const readings = (years: number, ln: number, belowFloor = false): NewReading[] =>
  [0, 1, 2].map((phase) => ({
    phase,
    voltageKv: 20,
    dwellMin: 15,
    insulationTempC: 20,
    day: asOfDay + Math.round(years * 365.25),
    leakageUa: 20 * 0.5 * Math.exp(1 + ln),
    belowFloor,
  }));
const taken = (years: number, ln: number, belowFloor = false): OwnEvent => ({
  kind: 'test',
  day: asOfDay + Math.round(years * 365.25),
  readings: readings(years, ln, belowFloor),
});
const noise = 0.02 + (0.006 + 0.001) / 3;

describe('what a segment’s own events make of an earlier estimate', () => {
  test('one test does what the judging of a reading in the field does with it', () => {
    for (const parts of [plain, mixed]) {
      const updated = updateGrowth(basis, subject(parts), readings(1.3, 0.4));
      const own = ownNews(basis, subject(parts), [taken(1.3, 0.4)]);
      expect(own.growthPctPerYr).toBeCloseTo(updated.growthPctPerYr, 9);
      expect(own.growthLo).toBeCloseTo(updated.growthLo, 9);
      expect(own.growthHi).toBeCloseTo(updated.growthHi, 9);
    }
  });

  // Source: conjugate normal regression (Gelman et al., Bayesian Data Analysis, 3rd ed., section 14.8, from memory):
  // posterior precision = prior precision + Z'Z/σ², solved here at once and not test by test.
  test('several tests one after another are the regression on all of them at once', () => {
    const years = [1, 2, 3.5];
    const ln = [0.2, 0.05, 0.45];
    const [a, c, b] = [0.03, 0.3 * Math.sqrt(0.03) * 0.02, 0.02 ** 2];
    const det = a * b - c * c;
    let [p11, p12, p22] = [b / det, -c / det, a / det];
    let [h1, h2] = [p11 * 1 + p12 * 0.04, p12 * 1 + p22 * 0.04];
    years.forEach((year, k) => {
      const t = Math.round(year * 365.25) / 365.25;
      p11 += 1 / noise;
      p12 += t / noise;
      p22 += (t * t) / noise;
      h1 += (1 + ln[k]!) / noise;
      h2 += ((1 + ln[k]!) * t) / noise;
    });
    const slope = (p11 * h2 - p12 * h1) / (p11 * p22 - p12 * p12);
    const sd = Math.sqrt(p11 / (p11 * p22 - p12 * p12));
    const own = ownNews(
      basis,
      subject(plain),
      years.map((year, k) => taken(year, ln[k]!)),
    );
    expect(own.growthPctPerYr).toBeCloseTo(100 * Math.expm1(slope), 6);
    // 1.6448536 is the 95 % point of the normal distribution, NIST/SEMATECH e-Handbook, table 1.3.6.7.1.
    expect(own.growthHi).toBeCloseTo(100 * Math.expm1(slope + 1.6448536 * sd), 4);
  });

  test('the surprise of a test is its distance from the expected in standard deviations', () => {
    const t = Math.round(365.25) / 365.25;
    const [a, c, b] = [0.03, 0.3 * Math.sqrt(0.03) * 0.02, 0.02 ** 2];
    const sd = Math.sqrt(a + 2 * t * c + t * t * b + noise);
    const [news] = ownNews(basis, subject(plain), [taken(1, 0.04 * t + 2 * sd)]).tests;
    expect(news!.surprise).toBeCloseTo(2, 6);
    expect(news!.lnAway).toBeCloseTo(2 * sd, 6);
  });

  test('work between two tests lets the level start anew: the drop teaches nothing of growth', () => {
    const work: OwnEvent = { kind: 'work', day: asOfDay + 400, drop: 0, variance: 1e6 };
    const [first, second] = [taken(1, 0.04), taken(2, -2)];
    const withWork = ownNews(basis, subject(plain), [first, work, second]);
    const only = ownNews(basis, subject(plain), [first]);
    expect(withWork.growthPctPerYr).toBeCloseTo(only.growthPctPerYr, 3);
    expect(ownNews(basis, subject(plain), [first, second]).growthPctPerYr).toBeLessThan(only.growthPctPerYr - 1);
  });

  test('a test under the floor moves growth as the integral over all that lies under it says', () => {
    // No outside source: the posterior of slope by summing prior × P(reading under the floor) over a fine grid.
    const floor = -0.15;
    const t = Math.round(2 * 365.25) / 365.25;
    const [a, c, b] = [0.03, 0.3 * Math.sqrt(0.03) * 0.02, 0.02 ** 2];
    let weight = 0;
    let sum = 0;
    const phi = (z: number) => 0.5 * (1 + erf(z / Math.SQRT2));
    for (let k = -400; k <= 400; k++) {
      const slope = 0.04 + (k / 80) * 0.02;
      const level = 1 + (c / b) * (slope - 0.04);
      const levelVariance = a - (c * c) / b;
      const w =
        Math.exp(-0.5 * ((slope - 0.04) / 0.02) ** 2) *
        phi((1 + floor - level - slope * t) / Math.sqrt(levelVariance + noise));
      weight += w;
      sum += w * slope;
    }
    const own = ownNews(basis, subject(plain), [taken(2, floor, true)]);
    // One normal stands for the skew rest, of which the median lies a little beside the mean.
    expect(own.growthPctPerYr).toBeCloseTo(100 * Math.expm1(sum / weight), 1);
    expect(own.tests[0]!.belowFloor).toBe(true);
    expect(own.tests[0]!.surprise).toBeLessThan(0);
    const asExpected = ownNews(basis, subject(plain), [taken(2, 1.5, true)]);
    expect(asExpected.tests[0]!.surprise).toBe(0);
    expect(asExpected.growthPctPerYr).toBeCloseTo(100 * Math.expm1(0.04), 3);
  });
});

/** Abramowitz and Stegun, Handbook of Mathematical Functions, 7.1.26: to 1.5e-7. */
function erf(x: number): number {
  const t = 1 / (1 + 0.3275911 * Math.abs(x));
  const poly = t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))));
  return Math.sign(x) * (1 - poly * Math.exp(-x * x));
}

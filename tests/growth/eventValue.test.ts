import { describe, expect, test } from 'vitest';
import { calibrated, fitCalibration } from '../../core/growth/calibration.ts';
import { eventPhases, weighEvent } from '../../core/growth/eventValue.ts';
import { manner } from '../../core/growth/normalise.ts';
import { normalCdf, normalPdf } from '../../core/numerics/normal.ts';
import { seededRandom } from '../../core/numerics/random.ts';

const strays = { share: 0.02, variance: 4 };
const noise = 0.02;

/** Independent answer: the event's level integrated on a grid, each reading a mixture of sound and stray. */
function onGrid(priorMean: number, priorVariance: number, values: readonly number[], ceilings: readonly number[]) {
  const density = (y: number, x: number, v: number) => normalPdf((y - x) / Math.sqrt(v)) / Math.sqrt(v);
  const sd = Math.sqrt(priorVariance);
  let p = 0;
  let first = 0;
  let second = 0;
  for (let i = 0; i <= 40_000; i++) {
    const x = priorMean + sd * (-10 + (20 * i) / 40_000);
    let f = density(x, priorMean, priorVariance);
    for (const y of values) {
      f *= (1 - strays.share) * density(y, x, noise) + strays.share * density(y, x, noise + strays.variance);
    }
    for (const top of ceilings) {
      f *= (1 - strays.share) * normalCdf((top - x) / Math.sqrt(noise)) + strays.share * 0.5;
    }
    p += f;
    first += f * x;
    second += f * x * x;
  }
  return { mean: first / p, variance: second / p - (first / p) ** 2 };
}

function weighed(priorMean: number, priorVariance: number, values: readonly number[], ceilings: readonly number[]) {
  const phases = eventPhases();
  for (const y of values) {
    phases.manner[phases.count] = manner.value;
    phases.value[phases.count] = y;
    phases.variance[phases.count++] = noise;
  }
  for (const top of ceilings) {
    phases.manner[phases.count] = manner.ceiling;
    phases.low[phases.count] = Number.NEGATIVE_INFINITY;
    phases.high[phases.count] = top;
    phases.variance[phases.count++] = noise;
  }
  const out = { mean: 0, variance: 0, logProbability: 0 };
  weighEvent(priorMean, priorVariance, phases, strays, out);
  return { ...out, stray: phases.stray };
}

describe('the level of a test from its phases', () => {
  test.each([
    ['three that agree', [0.1, 0.2, 0.15], []],
    ['one far above the other two', [0.1, 0.2, 2.5], []],
    ['two that disagree', [0.1, 2.1], []],
    ['a single one far from what was expected', [2.4], []],
    ['one value beside one under the floor', [-0.9], [-0.7]],
    ['three under the floor', [], [-0.6, -0.65, -0.7]],
  ] as const)('%s: mean and variance are those of a fine grid', (_, values, ceilings) => {
    const ours = weighed(0, 0.3, values, ceilings);
    const grid = onGrid(0, 0.3, values, ceilings);
    expect(ours.mean).toBeCloseTo(grid.mean, 4);
    expect(ours.variance).toBeCloseTo(grid.variance, 4);
  });

  test('names the phase that strays, and not the others', () => {
    const { stray } = weighed(0, 0.3, [0.1, 0.2, 2.5], []);
    expect(stray[2]).toBeGreaterThan(0.99);
    expect(stray[0]).toBeLessThan(0.05);
  });
});

describe('correcting P(exceed) by what happened', () => {
  test('finds that logits were half as steep and shifted, and never changes the order', () => {
    const random = seededRandom(3);
    const n = 20_000;
    const predicted = new Float64Array(n);
    const happened = new Uint8Array(n);
    for (let i = 0; i < n; i++) {
      const x = -2 + 1.5 * random.normal();
      predicted[i] = 1 / (1 + Math.exp(-x));
      happened[i] = random.uniform() < 1 / (1 + Math.exp(-(0.3 + 0.7 * x))) ? 1 : 0;
    }
    const calibration = fitCalibration(predicted, happened);
    if (!calibration.known) throw new Error(calibration.because);
    expect(calibration.shift).toBeCloseTo(0.3, 1);
    expect(calibration.stretch).toBeCloseTo(0.7, 1);
    expect(calibrated(calibration, 0.2)).toBeLessThan(calibrated(calibration, 0.21));
  });

  test('says why where too few tests passed their limit', () => {
    const calibration = fitCalibration(new Float64Array(100).fill(0.1), new Uint8Array(100).fill(0).fill(1, 0, 5));
    expect(calibration).toEqual({ known: false, because: 'only 5 of 100 last tests passed their limit' });
    expect(calibrated(calibration, 0.4)).toBe(0.4);
  });
});

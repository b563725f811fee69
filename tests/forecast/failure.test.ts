import { describe, expect, test } from 'vitest';
import { forecastCaution } from '../../core/forecast/failure/caution.ts';
import { type FailureModel, fitFailureModel } from '../../core/forecast/failure/fit.ts';
import { forecastFailures, type SegmentsNow } from '../../core/forecast/failure/forecast.ts';
import { cutLives } from '../../core/forecast/failure/lives.ts';
import { type SimulatedFleet, simulateFailures, truth } from './simulatedFailures.ts';

function fitted(fleet: SimulatedFleet, folds = 0): FailureModel {
  const model = fitFailureModel(fleet.lives, fleet.failures, fleet.knowledge, folds);
  if (!model.known) throw new Error(model.because);
  return model;
}

const asOfToday = ({ lives, knowledge }: SimulatedFleet): SegmentsNow => ({
  count: lives.count,
  ageYears: lives.exitAge,
  family: lives.family,
  conductorKm: lives.conductorKm,
  splicesPerKm: lives.splicesPerKm,
  growthPerYear: knowledge.growthPerYear,
  lnLevelToLimit: knowledge.lnLevelToLimit,
});

const one = (state: Partial<Record<keyof SegmentsNow, number>>): SegmentsNow => ({
  count: 1,
  ageYears: Float64Array.of(state.ageYears ?? 25),
  family: Uint8Array.of(state.family ?? 0),
  conductorKm: Float64Array.of(state.conductorKm ?? 1),
  splicesPerKm: Float64Array.of(state.splicesPerKm ?? Number.NaN),
  growthPerYear: Float64Array.of(state.growthPerYear ?? Number.NaN),
  lnLevelToLimit: Float64Array.of(state.lnLevelToLimit ?? Number.NaN),
});

const first = (fleet: SimulatedFleet, failures: number): SimulatedFleet => ({
  ...fleet,
  failures: {
    count: failures,
    life: fleet.failures.life.slice(0, failures),
    age: fleet.failures.age.slice(0, failures),
  },
});

describe('cutting lives into spells', () => {
  const lives = {
    count: 2,
    entryAge: Float64Array.of(10, 0),
    exitAge: Float64Array.of(30, 5),
    family: Uint8Array.of(0, 0),
    families: ['EPR'],
    conductorKm: Float64Array.of(1, 1),
    splicesPerKm: Float64Array.of(1, 1),
  };
  const failures = { count: 5, life: Int32Array.of(0, 0, 0, 0, 1), age: Float64Array.of(25, 8, 18, 25, 5) };
  const knowledge = {
    count: 3,
    life: Int32Array.of(0, 0, 0),
    age: Float64Array.of(9, 18, 27),
    growthPerYear: Float64Array.of(0.1, 0.2, 0.3),
    lnLevelToLimit: Float64Array.of(-1, -2, -3),
  };
  const spells = cutLives(lives, failures, knowledge);

  test('ends one at each failure and each new test, and begins the next there', () => {
    expect([...spells.life]).toEqual([0, 0, 0, 0, 1]);
    expect([...spells.entryAge]).toEqual([10, 18, 25, 27, 0]);
    expect([...spells.exitAge]).toEqual([18, 25, 27, 30, 5]);
    expect([...spells.failed]).toEqual([1, 1, 0, 0, 1]);
  });

  test('gives each spell only what was known as it began: a test on the day of the failure comes after it', () => {
    expect([...spells.growthPerYear]).toEqual([0.1, 0.2, 0.2, 0.3, Number.NaN]);
    expect([...spells.lnLevelToLimit]).toEqual([-1, -2, -2, -3, Number.NaN]);
  });

  test('counts failures before the records and a second one on the same day apart', () => {
    expect(spells).toMatchObject({ failures: 3, outside: 1, repeated: 1 });
  });
});

describe('the failure model on fleets whose truth is known', () => {
  test('finds shape and hazard ratios without bias, and its standard errors are the true ones (20 fleets of 4,000; 20 estimates of a mean square of 1 lie in 0.4 to 2.0)', () => {
    const known = [-0.6, -1.3, 1, truth.splices, truth.growth, truth.level, Math.log(truth.shape)];
    const off = known.map(() => 0);
    const squares = known.map(() => 0);
    const runs = 20;
    for (let run = 1; run <= runs; run++) {
      const model = fitted(simulateFailures(4000, 100 + run));
      expect(model.report.basis).toBe('fleet alone');
      expect(model.design.families[model.design.baseFamily]).toBe('PILC');
      const size = model.weibull.coefficients.length + 1;
      [...model.weibull.coefficients.slice(1), model.weibull.lnShape].forEach((value, j) => {
        const z = (value - known[j]!) / Math.sqrt(model.weibull.covariance[(j + 1) * (size + 1)]!);
        off[j]! += z / runs;
        squares[j]! += (z * z) / runs;
      });
    }
    for (const mean of off) expect(Math.abs(mean)).toBeLessThan(3.5 / Math.sqrt(runs));
    for (const square of squares) {
      expect(square).toBeGreaterThan(0.4);
      expect(square).toBeLessThan(2);
    }
  });

  test('its 90 % intervals cover 84 to 96 % of true yearly chances, and expected failures are those to come within 10 %', () => {
    let inside = 0;
    let expected = 0;
    let due = 0;
    for (let run = 0; run < 10; run++) {
      const fleet = simulateFailures(1500, 40 + run);
      const forecast = forecastFailures(fitted(fleet), asOfToday(fleet), 5);
      for (let i = 0; i < 1500; i++) {
        const age = fleet.lives.exitAge[i]! + 2;
        const p = -Math.expm1(-fleet.hazard(i, age, age + 1));
        const at = i * 5 + 2;
        due += p;
        expected += forecast.probability[at]!;
        if (forecast.low[at]! <= p && p <= forecast.high[at]!) inside++;
      }
    }
    expect(inside / 15_000).toBeGreaterThan(0.84);
    expect(inside / 15_000).toBeLessThan(0.96);
    expect(expected / due).toBeGreaterThan(0.9);
    expect(expected / due).toBeLessThan(1.1);
  });

  test('cross-validation foresees failures where they fall: each fifth of the years within 4 Poisson errors, concordance near the truth’s own', () => {
    const fleet = simulateFailures(4000, 101);
    const { crossValidation } = fitted(fleet, 5).report;
    if (!crossValidation.known || !crossValidation.concordance.known)
      throw new Error('enough failures to cross-validate');
    for (const group of crossValidation.groups) {
      expect(Math.abs(group.observed - group.expected)).toBeLessThan(4 * Math.sqrt(group.expected) + 1);
    }
    expect(crossValidation.observed).toBe(fleet.failures.count);
    expect(crossValidation.concordance.share).toBeGreaterThan(0.75);
    expect(crossValidation.concordance.share).toBeLessThan(0.85);
  });

  test('the covariates beat age alone where they matter, and not where they do not', () => {
    const matters = fitted(simulateFailures(1500, 9)).report.againstAgeAlone;
    expect(matters.known && matters.p).toBeLessThan(1e-6);
    let surprising = 0;
    for (let run = 0; run < 20; run++) {
      // Equal lengths leave nothing that makes one life riskier than another.
      const fleet = simulateFailures(800, 300 + run, { ...truth, family: [0, 0, 0], splices: 0, growth: 0, level: 0 });
      const size = fleet.lives.conductorKm;
      const same = { ...fleet, lives: { ...fleet.lives, conductorKm: new Float64Array(size.length).fill(1) } };
      const ratio = fitted(same).report.againstAgeAlone;
      if (ratio.known && ratio.p < 0.05) surprising++;
    }
    // 1 in 20 is to be expected; 5 or more of 20 would happen once in 400.
    expect(surprising).toBeLessThan(5);
  });

  test('a test made after a failure changes nothing that it could not have foretold', () => {
    const fleet = simulateFailures(800, 12);
    const later = {
      ...fleet.knowledge,
      age: fleet.lives.exitAge,
      growthPerYear: fleet.knowledge.growthPerYear.map(() => 9),
    };
    const model = fitted({ ...fleet, knowledge: later });
    expect(model.report.left.map((term) => term.name)).toEqual(['growth', 'level']);
  });
});

describe('with few failures', () => {
  test('none at all gives the published rate and says that it is not this fleet’s (2.89 per 100 conductor-miles and year, EPRI)', () => {
    const drawn = first(simulateFailures(3, 4), 0);
    const exitAge = drawn.lives.entryAge.map((age) => age + 0.1);
    const model = fitted({ ...drawn, lives: { ...drawn.lives, exitAge } });
    expect(model.report.basis).toBe('published rates');
    expect(model.report.basisInWords).toContain('published rates');
    for (const { prior } of model.report.coefficients) expect(prior?.source).toBeTruthy();
    expect(model.report.coefficients[0]!.prior?.source).toContain('EPRI');
    expect(model.report.againstAgeAlone.known).toBe(false);
    // Three lives watched for a month each hardly move the belief; a year around the 25th of 1.609 km of conductor.
    const { probability } = forecastFailures(model, one({ ageYears: 24.5, conductorKm: 1.609344 }), 1);
    expect(probability[0]).toBeGreaterThan(0.0289 * 0.95);
    expect(probability[0]).toBeLessThan(0.0289 * 1.05);
  });

  test('each further failure moves the answer from the published rate towards the fleet’s own', () => {
    const whole = simulateFailures(150, 21);
    const chance = (failures: number): number => {
      const model = fitted(first(whole, failures));
      return forecastFailures(model, one({ ageYears: 25 }), 1).probability[0]!;
    };
    const chances = [0, 2, 4, 6, 8].map(chance);
    expect(chances).toEqual(chances.toSorted((a, b) => a - b));
  });

  test('between ten failures and ten a coefficient, weak priors hold a family that never failed', () => {
    const fleet = simulateFailures(300, 3);
    const spared = [...fleet.failures.life].flatMap((life, i) => (fleet.lives.family[life] === 2 ? [] : [i]));
    const failures = {
      count: spared.length,
      life: fleet.failures.life.filter((_, i) => spared.includes(i)),
      age: fleet.failures.age.filter((_, i) => spared.includes(i)),
    };
    const { report } = fitted({ ...fleet, failures });
    expect(report.basis).toBe('fleet with weak priors');
    const epr = report.coefficients.find((term) => term.name.startsWith('EPR'))!;
    expect(epr.lnHazardRatio).toBeLessThan(-0.5);
    expect(epr.lnHazardRatio).toBeGreaterThan(-3);
    expect(epr.standardError).toBeLessThan(1);
  });

  test('nobody at risk is unknown, with the reason', () => {
    const fleet = simulateFailures(2, 1);
    const lives = { ...fleet.lives, exitAge: fleet.lives.entryAge };
    expect(fitFailureModel(lives, first(fleet, 0).failures, fleet.knowledge)).toEqual({
      known: false,
      because: 'no segment has spent time under observation',
    });
  });
});

describe('yearly chances', () => {
  const model = fitted(simulateFailures(1500, 5));

  test('are 1 − exp(−(H(t + 1) − H(t))): together they are the chance over all the years', () => {
    const state = one({ ageYears: 30, conductorKm: 2, splicesPerKm: 1, growthPerYear: 0.1, lnLevelToLimit: -1 });
    const { probability } = forecastFailures(model, state, 10);
    const survived = probability.reduce((share, p) => share * (1 - p), 1);
    const shape = Math.exp(model.weibull.lnShape);
    const first10 = -Math.log(survived) / (40 ** shape - 30 ** shape);
    const firstYear = -Math.log(1 - probability[0]!) / (31 ** shape - 30 ** shape);
    expect(first10 / firstYear).toBeCloseTo(1, 10);
  });

  test('rise with age, length, splices, growth and level, and lie in their interval', () => {
    const base = { ageYears: 30, conductorKm: 1, splicesPerKm: 1, growthPerYear: 0.05, lnLevelToLimit: -1 };
    const chance = (change: Partial<typeof base>): number =>
      forecastFailures(model, one({ ...base, ...change }), 1).probability[0]!;
    const worse = [
      { ageYears: 31 },
      { conductorKm: 1.2 },
      { splicesPerKm: 2 },
      { growthPerYear: 0.1 },
      { lnLevelToLimit: 0 },
    ];
    for (const change of worse) expect(chance(change)).toBeGreaterThan(chance({}));
    const { probability, low, high } = forecastFailures(model, one(base), 3);
    probability.forEach((p, i) => {
      expect(low[i]).toBeLessThan(p);
      expect(high[i]).toBeGreaterThan(p);
    });
  });

  test('do not run away beyond the levels and growths that the fleet has lived with', () => {
    const chance = (growthPerYear: number, lnLevelToLimit: number): number =>
      forecastFailures(model, one({ growthPerYear, lnLevelToLimit }), 1).probability[0]!;
    expect(chance(0.6, 5)).toBe(chance(3, 40));
    expect(chance(0.1, 0)).toBeLessThan(chance(0.6, 5));
  });

  test('of a new cable begin near nought and are finite', () => {
    const { probability, low, high } = forecastFailures(model, one({ ageYears: 0 }), 5);
    expect(probability[0]).toBeGreaterThan(0);
    expect(probability[0]).toBeLessThan(0.001);
    for (const x of [...probability, ...low, ...high]) expect(Number.isFinite(x)).toBe(true);
  });

  test('are accompanied by the caution that no test predicts a failure (IEEE 400)', () => {
    expect(forecastCaution).toMatch(/No field test predicts exactly when a cable will fail.*IEEE 400/);
  });
});

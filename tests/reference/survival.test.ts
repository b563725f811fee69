import { describe, expect, test } from 'vitest';
import { chiSquareUpper } from '../../core/numerics/chiSquare.ts';
import { kaplanMeier, type SurvivalCurve } from '../../core/numerics/kaplanMeier.ts';
import { powerLawProcess } from '../../core/numerics/powerLawProcess.ts';
import { acceleratedLife, type Spells, type WeibullFit, weibullRegression } from '../../core/numerics/weibull.ts';
import { expectDigits, readCsv, readJson } from './readData.ts';

type Row = Record<string, number>;
interface Survreg {
  readonly data: readonly Row[];
  readonly fit: {
    readonly coef: Record<string, number>;
    readonly scale: number;
    readonly var: readonly (readonly number[])[];
    readonly loglik: number;
  };
}
interface WeibullFixtures {
  readonly nist: Survreg;
  readonly lung: Survreg;
  readonly ovarian: Survreg;
  readonly left_truncated: {
    readonly data: readonly Row[];
    readonly se: readonly number[];
    readonly par_newton: readonly number[];
    readonly loglik_newton: number;
    readonly ph_par: readonly number[];
    readonly ph_se: readonly number[];
    readonly par_ignoring_truncation: readonly number[];
    readonly loglik_ignoring: number;
  };
}
const weibull = readJson<WeibullFixtures>('weibull.json');

function spells(
  rows: readonly Row[],
  names: { entry?: string | undefined; exit: string; event: string; x?: string[] },
): Spells {
  const x = names.x ?? [];
  return {
    entry: rows.map((row) => (names.entry ? row[names.entry]! : 0)),
    exit: rows.map((row) => row[names.exit]!),
    event: rows.map((row) => row[names.event]!),
    covariates: rows.flatMap((row) => [1, ...x.map((name) => row[name]!)]),
    columns: x.length + 1,
  };
}

function fitted(data: Spells, referenceAge?: number): WeibullFit {
  const fit = weibullRegression(data, referenceAge ? { referenceAge } : {});
  if (!fit.known) throw new Error(fit.because);
  return fit;
}

const errors = (covariance: Float64Array): number[] => {
  const size = Math.sqrt(covariance.length);
  return Array.from({ length: size }, (_, i) => Math.sqrt(covariance[i * size + i]!));
};

describe('Weibull regression', () => {
  test('NIST/SEMATECH e-Handbook 8.4.1.3, ten failures of twenty: η 606.5280, shape 1.7208, ln L −75.135, and the errors R finds', () => {
    const fit = fitted(spells(weibull.nist.data, { exit: 'time', event: 'status' }));
    const life = acceleratedLife(fit);
    // NIST prints η from an iteration of its own; 606.5276 is the exact top, so seven printed digits agree to six.
    expectDigits(Math.exp(life.coefficients[0]!), 606.528, 6);
    expectDigits(Math.exp(fit.lnShape), 1.7208, 5);
    expectDigits(fit.logLikelihood, -75.135, 5);
    expectDigits(-2 * fit.logLikelihood + 4, 154.27, 5);
    expectDigits(errors(life.covariance)[0]!, 0.205944, 6);
    expectDigits(errors(life.covariance)[1]!, 0.291813, 6);
    const eta = Math.exp(life.coefficients[0]!);
    const shape = Math.exp(fit.lnShape);
    expectDigits(eta * (-Math.log(0.9)) ** (1 / shape), 164.022, 6);
    expectDigits(Math.exp((500 / eta) ** shape - (600 / eta) ** shape), 0.767726, 6);
  });

  // Six digits: survreg stops at a relative change of 1e-9 of the log-likelihood, about 1e-5 of a standard error.
  test.each([
    ['NIST', weibull.nist, { exit: 'time', event: 'status' }],
    ['lung (Loprinzi et al. 1994)', weibull.lung, { exit: 'time', event: 'event', x: ['age', 'sex'] }],
    ['ovarian (Edmunson et al. 1979)', weibull.ovarian, { exit: 'futime', event: 'fustat', x: ['ecog.ps', 'rx'] }],
  ])(
    '%s as R survival 3.5-3 survreg: coefficients, scale, log-likelihood, full covariance',
    (_, { data, fit: r }, names) => {
      for (const referenceAge of [1, 300]) {
        const fit = fitted(spells(data, names), referenceAge);
        const life = acceleratedLife(fit);
        Object.values(r.coef).forEach((value, j) => {
          expectDigits(life.coefficients[j]!, value, 6);
        });
        expectDigits(Math.exp(-fit.lnShape), r.scale, 6);
        expectDigits(fit.logLikelihood, r.loglik, 10);
        const size = r.var.length;
        for (let i = 0; i < size; i++) {
          for (let j = 0; j < size; j++) {
            // R's last parameter is ln scale, minus our ln shape.
            const sign = (i === size - 1) === (j === size - 1) ? 1 : -1;
            const slack = 1e-5 * Math.sqrt(r.var[i]![i]! * r.var[j]![j]!);
            expect(Math.abs(life.covariance[i * size + j]! - sign * r.var[i]![j]!)).toBeLessThan(slack);
          }
        }
      }
    },
  );

  test('late entry, 400 simulated lives: the same top and errors as a second Newton in numpy and R optim, in both forms', () => {
    const truth = weibull.left_truncated;
    const data = spells(truth.data, { entry: 'entry', exit: 'exit', event: 'event', x: ['x1', 'x2'] });
    const fit = fitted(data);
    const life = acceleratedLife(fit);
    const [lnShape, ...coefficients] = truth.par_newton;
    expectDigits(fit.lnShape, lnShape!, 8);
    coefficients.forEach((value, j) => {
      expectDigits(life.coefficients[j]!, value, 8);
    });
    expectDigits(fit.logLikelihood, truth.loglik_newton, 10);
    // The errors come from R optim's numeric second derivatives: four digits.
    const [seShape, ...se] = truth.se;
    expectDigits(errors(life.covariance)[3]!, seShape!, 4);
    se.forEach((value, j) => {
      expectDigits(errors(life.covariance)[j]!, value, 4);
    });
    truth.ph_par.slice(1).forEach((value, j) => {
      expectDigits(fit.coefficients[j]!, value, 8);
      expectDigits(errors(fit.covariance)[j]!, truth.ph_se[j + 1]!, 6);
    });
    const ignoring = fitted({ ...data, entry: truth.data.map(() => 0) });
    expectDigits(ignoring.logLikelihood, truth.loglik_ignoring, 8);
    expectDigits(ignoring.lnShape, truth.par_ignoring_truncation[0]!, 4);
  });

  test('late entry, 334 simulated lives: R optim(BFGS) to four digits, its covariates by likelihood ratio, and survreg where entry is ignored', () => {
    const r = readJson<{
      truncated: Record<'ln_k' | 'b0' | 'b1' | 'b2' | 'loglik' | 'loglik_no_covariates', number> & { se: number[] };
      ignoring_truncation: { k: number; coef: Record<string, number>; loglik: number; se: number[] };
    }>('weibull_truncated.json');
    const rows = readCsv('weibull_truncated.csv').map((row) =>
      Object.fromEntries(Object.entries(row).map(([name, value]) => [name, Number(value)])),
    );
    const names = { entry: 'entry', exit: 'exit', event: 'event', x: ['x1', 'x2'] };
    const fit = fitted(spells(rows, names));
    const life = acceleratedLife(fit);
    expectDigits(fit.lnShape, r.truncated.ln_k, 4);
    [r.truncated.b0, r.truncated.b1, r.truncated.b2].forEach((value, j) => {
      expectDigits(life.coefficients[j]!, value, 4);
    });
    [...r.truncated.se.slice(1), r.truncated.se[0]!].forEach((value, j) => {
      expectDigits(errors(life.covariance)[j]!, value, 4);
    });
    expectDigits(fit.logLikelihood, r.truncated.loglik, 8);
    const age = fitted(spells(rows, { ...names, x: [] }));
    expectDigits(age.logLikelihood, r.truncated.loglik_no_covariates, 8);
    expect(chiSquareUpper(2 * (fit.logLikelihood - age.logLikelihood), 2)).toBeLessThan(1e-12);

    const ignoring = acceleratedLife(fitted(spells(rows, { ...names, entry: undefined })));
    expectDigits(Math.exp(ignoring.lnShape), r.ignoring_truncation.k, 6);
    Object.values(r.ignoring_truncation.coef).forEach((value, j) => {
      expectDigits(ignoring.coefficients[j]!, value, 6);
    });
    r.ignoring_truncation.se.forEach((value, j) => {
      expectDigits(errors(ignoring.covariance)[j]!, value, 5);
    });
  });

  test('late entry has closed forms: λ = d / Σ(exit − entry) at shape 1, η^k = Σ(exit^k − entry^k) / d at shape k (derived, setting the score to nought)', () => {
    const entry = [0, 3, 5, 8, 2];
    const exit = [4, 9, 11, 9, 7];
    const event = [1, 1, 0, 1, 0];
    for (const shape of [1, 2.5]) {
      const fit = weibullRegression(
        { entry, exit, event, covariates: [1, 1, 1, 1, 1], columns: 1 },
        { prior: { mean: [0, Math.log(shape)], sd: [Number.POSITIVE_INFINITY, 1e-7] } },
      );
      if (!fit.known) throw new Error(fit.because);
      const total = exit.reduce((sum, x, i) => sum + x ** shape - entry[i]! ** shape, 0);
      expectDigits(Math.exp(fit.coefficients[0]!), 3 / total, 8);
    }
  });

  test('says when there is nothing to learn from', () => {
    const data = { entry: [0, 0], exit: [5, 6], event: [0, 0], covariates: [1, 1], columns: 1 };
    expect(weibullRegression(data)).toEqual({ known: false, because: 'no events' });
    expect(weibullRegression({ ...data, event: [1, 1], exit: [5, 0] })).toMatchObject({ known: false });
    const separated = {
      entry: [0, 0, 0, 0],
      exit: [5, 6, 7, 8],
      event: [1, 1, 0, 0],
      covariates: [1, 1, 1, 1, 1, 0, 1, 0],
      columns: 2,
    };
    expect(weibullRegression(separated)).toMatchObject({ known: false, because: expect.stringContaining('flat') });
  });
});

describe('Kaplan–Meier', () => {
  const at = (curve: SurvivalCurve, age: number): [number, number] => {
    const k = curve.age.indexOf(age);
    return [curve.survival[k]!, curve.standardError[k]!];
  };

  test('Bewick, Cheek and Ball, Critical Care 8 (2004) 389, table 2: .750 .625 .500 .333 0; Greenwood’s errors from R', () => {
    const curve = kaplanMeier(new Array(8).fill(0), [1, 1, 4, 5, 6, 9, 9, 22], [1, 1, 1, 1, 0, 1, 0, 1]);
    const printed: [number, number, number][] = [
      [1, 0.75, 0.1531],
      [4, 0.625, 0.1712],
      [5, 0.5, 0.1768],
      [9, 0.333, 0.18],
    ];
    for (const [age, survival, error] of printed) {
      expect(at(curve, age)[0]).toBeCloseTo(survival, 3);
      expect(at(curve, age)[1]).toBeCloseTo(error, 4);
    }
    expect(at(curve, 22)[0]).toBe(0);
    expect(at(curve, 22)[1]).toBeNaN();
  });

  test('remission under 6-mercaptopurine (Gehan 1965; steps from R): .8571 .8067 .7529 .6902 .6275 .5378 .4482', () => {
    const weeks = '6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+'.split(' ');
    const curve = kaplanMeier(
      weeks.map(() => 0),
      weeks.map((week) => Number.parseFloat(week)),
      weeks.map((week) => (week.endsWith('+') ? 0 : 1)),
    );
    const steps: [number, number][] = [
      [6, 0.8571],
      [7, 0.8067],
      [10, 0.7529],
      [13, 0.6902],
      [16, 0.6275],
      [22, 0.5378],
      [23, 0.4482],
    ];
    for (const [week, survival] of steps) expect(at(curve, week)[0]).toBeCloseTo(survival, 4);
  });

  interface Km {
    readonly time: number[];
    readonly n_risk: number[];
    readonly n_event: number[];
    readonly n_censor?: number[];
    readonly surv: number[];
    readonly se_greenwood: number[];
  }
  function expectCurve(curve: SurvivalCurve, r: Km): void {
    expect([...curve.age]).toEqual(r.time);
    expect([...curve.atRisk]).toEqual(r.n_risk);
    if (r.n_event) expect([...curve.events]).toEqual(r.n_event);
    if (r.n_censor) expect([...curve.cutOff]).toEqual(r.n_censor);
    for (let k = 0; k < r.time.length; k++) {
      expect(curve.survival[k]).toBeCloseTo(r.surv[k]!, 9);
      expect(curve.standardError[k]).toBeCloseTo(r.se_greenwood[k]!, 9);
    }
  }

  test('every step of lung, of ovarian by arm, and of 400 lives entering late, as R survival 3.5-3 survfit', () => {
    const r = readJson<{
      lung: { data: Row[]; km: Km };
      ovarian: { data: Row[]; strata: number[]; km: Km };
      left_truncated: { km: Km };
    }>('kaplan_meier.json');
    const curve = (rows: readonly Row[], exit: string, event: (row: Row) => number, entry?: string): SurvivalCurve =>
      kaplanMeier(
        rows.map((row) => (entry ? row[entry]! : 0)),
        rows.map((row) => row[exit]!),
        rows.map(event),
      );
    expectCurve(
      curve(r.lung.data, 'time', (row) => (row.status === 2 ? 1 : 0)),
      r.lung.km,
    );
    let from = 0;
    for (const [k, steps] of r.ovarian.strata.entries()) {
      const part = Object.fromEntries(
        Object.entries(r.ovarian.km).map(([name, column]) => [name, column.slice(from, from + steps)]),
      ) as unknown as Km;
      expectCurve(
        curve(
          r.ovarian.data.filter((row) => row.rx === k + 1),
          'futime',
          (row) => row.fustat!,
        ),
        part,
      );
      from += steps;
    }
    expectCurve(
      curve(weibull.left_truncated.data, 'exit', (row) => row.event!, 'entry'),
      r.left_truncated.km,
    );
  });

  test('every step of 334 lives entering late, as R survival 3.5-3 survfit (weibull_truncated.json)', () => {
    const rows = readCsv('weibull_truncated.csv');
    const column = (name: string): number[] => rows.map((row) => Number(row[name]));
    const { kaplan_meier: km } = readJson<{ kaplan_meier: Km }>('weibull_truncated.json');
    expectCurve(kaplanMeier(column('entry'), column('exit'), column('event')), km);
  });
});

describe('repeat failures', () => {
  const hours = [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478];

  test('a power-law process by the formulas of NIST/SEMATECH 8.4.5.2, ten repairs in 1500 h: b .483506, a .291300, 310.234 h between failures', () => {
    const found = powerLawProcess(hours, 1500);
    if (!found.known) throw new Error(found.because);
    expectDigits(found.growth, 0.483506, 6);
    expectDigits(found.level, 0.2913, 4);
    expectDigits(found.timeBetween, 310.234, 6);
    expectDigits(found.laplace, -1.32695, 6);
    expect(found.pRising).toBeGreaterThan(0.9);
  });

  test('needs two failures within the time watched', () => {
    expect(powerLawProcess([5], 10).known).toBe(false);
    expect(powerLawProcess([5, 12], 10).known).toBe(false);
  });
});

test('chi-square tails of printed tables: 3.841, 5.991, 7.815, 9.488, 18.307 are the 5 % points of 1, 2, 3, 4, 10 degrees (NIST/SEMATECH 1.3.6.7.4)', () => {
  const printed: [number, number][] = [
    [3.841, 1],
    [5.991, 2],
    [7.815, 3],
    [9.488, 4],
    [18.307, 10],
  ];
  for (const [x, degrees] of printed) expect(chiSquareUpper(x, degrees)).toBeCloseTo(0.05, 4);
  expect(chiSquareUpper(0, 3)).toBe(1);
  expect(() => chiSquareUpper(1, 0)).toThrow(RangeError);
});

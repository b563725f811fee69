import { describe, expect, test } from 'vitest';
import { censoredRegression } from '../../core/numerics/censoredRegression.ts';
import { expectDigits, readCsv, readJson } from './readData.ts';

interface Survreg {
  readonly coef: Record<string, number>;
  readonly scale: number;
  readonly loglik: number;
}
interface Tobit extends Survreg {
  readonly data: Record<string, number>[];
  readonly var: number[][];
}
const tobit = readJson<{ tobin: Tobit; simulated: Tobit }>('tobit.json');

function fitted(x: number[][], y: number[], side: number[]) {
  const fit = censoredRegression(x.flat(), x[0]!.length, y, side);
  if (!fit.known) throw new Error(fit.because);
  return fit;
}

// Six digits: survreg stops at a relative change of 1e-9 of the log-likelihood, about 1e-5 of a standard error.
function expectAsR(fit: ReturnType<typeof fitted>, r: Survreg, variance?: number[][]): void {
  Object.values(r.coef).forEach((value, j) => {
    expectDigits(fit.coefficients[j]!, value, 5);
  });
  expectDigits(Math.exp(fit.lnScale), r.scale, 6);
  expectDigits(fit.logLikelihood, r.loglik, 9);
  variance?.forEach((row, i) => {
    row.forEach((value, j) => {
      const slack = 1e-4 * Math.sqrt(variance[i]![i]! * variance[j]![j]!);
      expect(Math.abs(fit.covariance[i * row.length + j]! - value)).toBeLessThan(slack);
    });
  });
}

describe('censored regression', () => {
  test('durable goods of twenty households, thirteen at nought (J. Tobin, Econometrica 26 (1958) 24; R survival 3.5-3 survreg)', () => {
    const { data } = tobit.tobin;
    const fit = fitted(
      data.map((row) => [1, row.age!, row.quant!]),
      data.map((row) => row.durable!),
      data.map((row) => (row.durable! > 0 ? 0 : -1)),
    );
    expectAsR(fit, tobit.tobin, tobit.tobin.var);
    expectDigits(fit.logLikelihood, -28.94013, 7);
  });

  test('120 simulated values under floors that differ by row, as R survival 3.5-3 survreg', () => {
    const { data } = tobit.simulated;
    const fit = fitted(
      data.map((row) => [1, row.t!]),
      data.map((row) => row.y!),
      data.map((row) => (row.uncensored === 1 ? 0 : -1)),
    );
    expectAsR(fit, tobit.simulated, tobit.simulated.var);
  });

  test('284 simulated readings of cables, some at the floor, as R survival 3.5-3 survreg, errors included', () => {
    const rows = readCsv('censored.csv');
    const r = readJson<Survreg & { se: number[] }>('censored.json');
    const fit = fitted(
      rows.map((row) => [1, Number(row.t)]),
      rows.map((row) => Number(row.yc)),
      rows.map((row) => (row.cens === 'TRUE' ? -1 : 0)),
    );
    expectAsR(fit, r);
    r.se.forEach((value, j) => {
      expectDigits(Math.sqrt(fit.covariance[j * 3 + j]!), value, 4);
    });
  });

  test('values known to lie over what is written mirror values known to lie under it', () => {
    const x = [1, 2, 3, 4, 5, 6].map((t) => [1, t]);
    const y = [0.2, 0.9, 1.4, 2.2, 2.2, 3.4];
    const side = [-1, 0, 0, 0, -1, 0];
    const under = fitted(x, y, side);
    const over = fitted(
      x,
      y.map((v) => -v),
      side.map((s) => -s),
    );
    expect(over.logLikelihood).toBeCloseTo(under.logLikelihood, 10);
    expect(over.coefficients[1]).toBeCloseTo(-under.coefficients[1]!, 8);
  });

  test('says when everything is at the floor', () => {
    expect(censoredRegression([1, 1, 1], 1, [1, 1, 1], [-1, -1, -1])).toEqual({
      known: false,
      because: 'too few exact values',
    });
  });
});

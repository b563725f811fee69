import { maximise } from './newton.ts';

/** Spells at risk, one a row. A life with several events is several spells, each beginning where the last ended. */
export interface Spells {
  /** Age at which the spell comes under observation; 0 from the beginning of life. */
  readonly entry: ArrayLike<number>;
  /** Age at which it ends; over `entry`. */
  readonly exit: ArrayLike<number>;
  /** 1 where it ends in an event, 0 where it is cut off. */
  readonly event: ArrayLike<number>;
  /** `columns` numbers a row; write the ones of an intercept yourself, in the first column. */
  readonly covariates: ArrayLike<number>;
  readonly columns: number;
}

export interface WeibullOptions {
  /** Normal prior on the coefficients and, last, ln shape; an sd of Infinity is no prior. None by default. */
  readonly prior?: { readonly mean: ArrayLike<number>; readonly sd: ArrayLike<number> };
  /** The age at which the coefficients speak: H(age) = exp(x'g) (age / referenceAge)^shape. 1 by default. */
  readonly referenceAge?: number;
  /** Coefficients and, last, ln shape to begin from; a like fit's saves passes and changes nothing else. */
  readonly start?: ArrayLike<number>;
}

export interface WeibullFit {
  readonly known: true;
  /** g: logarithms of hazard ratios; the intercept is ln H at the reference age. */
  readonly coefficients: Float64Array;
  readonly lnShape: number;
  /** Of the coefficients and, last, ln shape; from the observed information (with the prior's, if there is one). */
  readonly covariance: Float64Array;
  /** Of the data alone, without the prior. */
  readonly logLikelihood: number;
  readonly events: number;
  readonly referenceAge: number;
  readonly passes: number;
}

export type WeibullResult = WeibullFit | { readonly known: false; readonly because: string };

/**
 * Weibull regression: cumulative hazard H(t) = exp(x'g) (t / t₀)^k, right censoring, left truncation, recurrent events,
 * by maximum likelihood (or the most likely values given a normal prior).
 * Log-likelihood: Σ event · ln h(exit) − [H(exit) − H(entry)]; Newton with analytic derivatives.
 * Source: J. P. Klein and M. L. Moeschberger, Survival Analysis (2nd ed. 2003) ch. 3 and 12.
 * Unknown without events (unless there is a prior), or when a coefficient has nothing to hold it.
 */
export function weibullRegression(spells: Spells, options: WeibullOptions = {}): WeibullResult {
  const { entry, exit, event, covariates, columns } = spells;
  const { prior, referenceAge = 1 } = options;
  const rows = exit.length;
  const size = columns + 1;
  let events = 0;
  let exposure = 0;
  const lnEntry = new Float64Array(rows);
  const lnExit = new Float64Array(rows);
  for (let i = 0; i < rows; i++) {
    if (!(exit[i]! > entry[i]! && entry[i]! >= 0)) {
      return { known: false, because: `spell ${i} does not end after it begins` };
    }
    events += event[i]!;
    exposure += exit[i]! - entry[i]!;
    lnEntry[i] = entry[i]! > 0 ? Math.log(entry[i]! / referenceAge) : Number.NEGATIVE_INFINITY;
    lnExit[i] = Math.log(exit[i]! / referenceAge);
  }
  if (events === 0 && !prior) return { known: false, because: 'no events' };
  const lnReference = Math.log(referenceAge);

  const likelihood = (theta: Float64Array, gradient: Float64Array, hessian: Float64Array): number => {
    gradient.fill(0);
    hessian.fill(0);
    const lnShape = theta[columns]!;
    const shape = Math.exp(lnShape);
    let value = 0;
    for (let i = 0; i < rows; i++) {
      const at = i * columns;
      let score = 0;
      for (let j = 0; j < columns; j++) score += covariates[at + j]! * theta[j]!;
      const x = shape * lnExit[i]!;
      const hx = Math.exp(score + x);
      let between = hx;
      let first = x * hx;
      let second = (x + x * x) * hx;
      if (lnEntry[i]! > Number.NEGATIVE_INFINITY) {
        const e = shape * lnEntry[i]!;
        const he = Math.exp(score + e);
        between -= he;
        first -= e * he;
        second -= (e + e * e) * he;
      }
      const d = event[i]!;
      value += d * (score + x + lnShape - lnExit[i]! - lnReference) - between;
      gradient[columns]! += d * (1 + x) - first;
      hessian[size * size - 1]! += d * x - second;
      for (let j = 0; j < columns; j++) {
        const z = covariates[at + j]!;
        if (z === 0) continue;
        gradient[j]! += z * (d - between);
        hessian[columns * size + j]! -= z * first;
        for (let k = 0; k <= j; k++) hessian[j * size + k]! -= z * covariates[at + k]! * between;
      }
    }
    for (let j = 0; j < size; j++) for (let k = 0; k < j; k++) hessian[k * size + j] = hessian[j * size + k]!;
    return value;
  };
  const objective = (theta: Float64Array, gradient: Float64Array, hessian: Float64Array): number => {
    let value = likelihood(theta, gradient, hessian);
    for (let j = 0; prior && j < size; j++) {
      const precision = 1 / prior.sd[j]! ** 2;
      const off = theta[j]! - prior.mean[j]!;
      value -= 0.5 * precision * off * off;
      gradient[j]! -= precision * off;
      hessian[j * size + j]! -= precision;
    }
    return value;
  };

  const start = new Float64Array(size);
  if (prior) for (let j = 0; j < size; j++) if (Number.isFinite(prior.sd[j]!)) start[j] = prior.mean[j]!;
  if (!prior || !Number.isFinite(prior.sd[0]!)) start[0] = Math.log((Math.max(events, 0.5) / exposure) * referenceAge);
  const top = maximise(objective, options.start ?? start);
  if (!top.known) return top;
  const scratch = new Float64Array(size);
  return {
    known: true,
    coefficients: top.theta.slice(0, columns),
    lnShape: top.theta[columns]!,
    covariance: top.covariance,
    logLikelihood: likelihood(top.theta, scratch, new Float64Array(size * size)),
    events,
    referenceAge,
    passes: top.passes,
  };
}

/** The same fit as accelerated life: ln η = x'b. */
export interface AcceleratedLife {
  /** b: a life is exp(b) times as long for one more of the covariate; the intercept is ln of the scale η itself. */
  readonly coefficients: Float64Array;
  readonly lnShape: number;
  readonly covariance: Float64Array;
}

/** Turns hazard ratios into changes of ln η: b = −g / k, errors by the delta method (exact at the maximum). */
export function acceleratedLife(fit: WeibullFit): AcceleratedLife {
  const columns = fit.coefficients.length;
  const size = columns + 1;
  const shape = Math.exp(fit.lnShape);
  const coefficients = fit.coefficients.map((g) => -g / shape);
  const turned = new Float64Array(size * size);
  // Row i of the Jacobian has −1 / k at i and g / k in the last column; ln shape is itself.
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) {
      const c = (a: number, b: number): number => fit.covariance[a * size + b]!;
      const [ai, bi] = i < columns ? [-1 / shape, -coefficients[i]!] : [0, 1];
      const [aj, bj] = j < columns ? [-1 / shape, -coefficients[j]!] : [0, 1];
      turned[i * size + j] =
        ai * aj * c(i, j) + ai * bj * c(i, columns) + bi * aj * c(columns, j) + bi * bj * c(columns, columns);
    }
  }
  coefficients[0]! += Math.log(fit.referenceAge);
  return { coefficients, lnShape: fit.lnShape, covariance: turned };
}

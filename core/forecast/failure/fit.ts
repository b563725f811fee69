import { chiSquareUpper } from '../../numerics/chiSquare.ts';
import { kaplanMeier, type SurvivalCurve } from '../../numerics/kaplanMeier.ts';
import { type AcceleratedLife, acceleratedLife, type WeibullFit, weibullRegression } from '../../numerics/weibull.ts';
import { type CrossValidation, crossValidate } from './crossValidation.ts';
import { chooseDesign, type Design, designMatrix, type Term } from './design.ts';
import { cutLives, type FailureRecords, type FailureSpells, type SegmentLives, type TestKnowledge } from './lives.ts';
import { type PriorBelief, publishedPrior, referenceAgeYears, weakPrior } from './publishedRates.ts';

/** Where the answer comes from: published rates shrunk to, a weak prior that steadies, or the fleet's failures alone. */
export type FailureBasis = 'published rates' | 'fleet with weak priors' | 'fleet alone';

export interface FailureCoefficient {
  readonly name: string;
  readonly unit: string;
  /** ln of the hazard ratio for one unit more; for the intercept, ln of the cumulative hazard at 25 years of 1 conductor-km. */
  readonly lnHazardRatio: number;
  readonly standardError: number;
  /** The belief it was drawn towards, where there was one. */
  readonly prior?: PriorBelief;
}

export type LikelihoodRatio =
  | { readonly known: true; readonly statistic: number; readonly degrees: number; readonly p: number }
  | { readonly known: false; readonly because: string };

export interface FailureReport {
  readonly failures: number;
  readonly segmentYears: number;
  readonly basis: FailureBasis;
  /** A sentence that says so. */
  readonly basisInWords: string;
  readonly shape: { readonly value: number; readonly low: number; readonly high: number };
  readonly coefficients: readonly FailureCoefficient[];
  /** The same as ln η = b0 + b'z, η the age by which 63 % of such lives have failed. */
  readonly acceleratedLife: AcceleratedLife;
  /** Do the covariates say more than age alone? By maximum likelihood without priors. */
  readonly againstAgeAlone: LikelihoodRatio;
  readonly crossValidation: CrossValidation;
  /** Kaplan–Meier to the first failure in the records. */
  readonly survival: SurvivalCurve;
  readonly left: Design['left'];
  readonly notCounted: { readonly outsideRecords: number; readonly sameDay: number };
}

export interface FailureModel {
  readonly known: true;
  readonly design: Design;
  readonly weibull: WeibullFit;
  readonly report: FailureReport;
}

export type FailureModelResult = FailureModel | { readonly known: false; readonly because: string };

const fewest = 10;
/** Under so many failures of its own a family leans on the rest of the fleet even where the fleet stands alone. */
const fewestOfFamily = 5;
/** 90 % intervals. */
const reach = 1.6448536269514722;

/**
 * The failure model: Weibull hazard in age, with insulation family, length, splices per km, growth and level as they
 * were known before each failure; right censoring, records that begin late, repeat failures.
 * Under ten failures it is shrunk to published rates and says so. Unknown only when there is nobody at risk, or the
 * likelihood has no top. `folds` is the number of cross-validation folds; 0 leaves it out (it costs a fit a fold).
 */
export function fitFailureModel(
  lives: SegmentLives,
  failures: FailureRecords,
  knowledge: TestKnowledge,
  folds = 5,
): FailureModelResult {
  const spells = cutLives(lives, failures, knowledge);
  if (spells.count === 0) return { known: false, because: 'no segment has spent time under observation' };
  const design = chooseDesign(lives, spells);
  const matrix = designMatrix(design, lives, spells);
  const basis = chooseBasis(spells.failures, design.terms.length + 1);
  const beliefs = [...design.terms.map((term) => beliefFor(term, basis)), shapeBelief(basis)];
  const data = {
    entry: spells.entryAge,
    exit: spells.exitAge,
    event: spells.failed,
    covariates: matrix,
    columns: design.terms.length,
  };
  const prior = {
    mean: beliefs.map((belief) => belief?.mean ?? 0),
    sd: beliefs.map((belief) => belief?.sd ?? Number.POSITIVE_INFINITY),
  };
  const options = { referenceAge: referenceAgeYears, prior };
  const weibull = weibullRegression(data, options);
  if (!weibull.known) return weibull;
  const theta = [...weibull.coefficients, weibull.lnShape];
  const size = design.terms.length + 1;
  const error = (j: number): number => Math.sqrt(weibull.covariance[j * size + j]!);
  const shapeReach = reach * error(size - 1);
  return {
    known: true,
    design,
    weibull,
    report: {
      failures: spells.failures,
      segmentYears: spells.exitAge.reduce((sum, exit, i) => sum + exit - spells.entryAge[i]!, 0),
      basis,
      basisInWords: inWords(basis, spells.failures),
      shape: {
        value: Math.exp(weibull.lnShape),
        low: Math.exp(weibull.lnShape - shapeReach),
        high: Math.exp(weibull.lnShape + shapeReach),
      },
      coefficients: design.terms.map((term, j) => {
        const belief = beliefs[j];
        const held = belief && Number.isFinite(belief.sd) ? { prior: belief } : {};
        return {
          name: term.name,
          unit: term.unit,
          lnHazardRatio: weibull.coefficients[j]!,
          standardError: error(j),
          ...held,
        };
      }),
      acceleratedLife: acceleratedLife(weibull),
      againstAgeAlone: againstAgeAlone(design, matrix, spells, theta),
      crossValidation: crossValidate(data, spells.life, { ...options, start: theta }, folds),
      survival: firstFailures(spells),
      left: design.left,
      notCounted: { outsideRecords: spells.outside, sameDay: spells.repeated },
    },
  };
}

function chooseBasis(failures: number, coefficients: number): FailureBasis {
  if (failures < fewest) return 'published rates';
  return failures < fewest * coefficients ? 'fleet with weak priors' : 'fleet alone';
}

function beliefFor(term: Term, basis: FailureBasis): PriorBelief | undefined {
  if (basis === 'published rates') return publishedPrior[term.kind];
  if (basis === 'fleet with weak priors') return weakPrior[term.kind];
  return term.kind === 'family' && term.failures < fewestOfFamily ? weakPrior.family : undefined;
}

function shapeBelief(basis: FailureBasis): PriorBelief | undefined {
  if (basis === 'published rates') return publishedPrior.lnShape;
  return basis === 'fleet with weak priors' ? weakPrior.lnShape : undefined;
}

function inWords(basis: FailureBasis, failures: number): string {
  const of = failures === 1 ? '1 failure is' : `${failures} failures are`;
  if (basis === 'published rates') {
    return `${of} too few to learn from (under ${fewest}): the answer leans on published rates, which are not this fleet’s.`;
  }
  if (basis === 'fleet with weak priors') {
    return `${of} enough for the level of risk, few for its causes: weak priors steady the coefficients.`;
  }
  return `${of} enough to let the fleet speak for itself.`;
}

/** Families with too few failures for a coefficient of their own count with the reference family here. */
function againstAgeAlone(
  design: Design,
  matrix: Float64Array,
  spells: FailureSpells,
  theta: readonly number[],
): LikelihoodRatio {
  if (spells.failures < fewest) return { known: false, because: `fewer than ${fewest} failures` };
  const columns = design.terms.length;
  const keep = design.terms.flatMap((term, j) => (term.kind === 'family' && term.failures < fewestOfFamily ? [] : [j]));
  if (keep.length < 2) return { known: false, because: 'no covariate to compare with age' };
  const part = (columnsKept: readonly number[]) => {
    const covariates = new Float64Array(spells.count * columnsKept.length);
    for (let i = 0, at = 0; i < spells.count; i++)
      for (const j of columnsKept) covariates[at++] = matrix[i * columns + j]!;
    const data = { entry: spells.entryAge, exit: spells.exitAge, event: spells.failed, covariates };
    return weibullRegression(
      { ...data, columns: columnsKept.length },
      { referenceAge: referenceAgeYears, start: [...columnsKept, columns].map((j) => theta[j]!) },
    );
  };
  const full = part(keep);
  const age = part([0]);
  if (!full.known) return full;
  if (!age.known) return age;
  const statistic = Math.max(0, 2 * (full.logLikelihood - age.logLikelihood));
  const degrees = keep.length - 1;
  return { known: true, statistic, degrees, p: chiSquareUpper(statistic, degrees) };
}

function firstFailures(spells: FailureSpells): SurvivalCurve {
  const first: number[] = [];
  let over = -1;
  for (let i = 0; i < spells.count; i++) {
    if (spells.life[i] === over) continue;
    first.push(i);
    if (spells.failed[i] === 1) over = spells.life[i]!;
  }
  const pick = (column: ArrayLike<number>): Float64Array => Float64Array.from(first, (i) => column[i]!);
  return kaplanMeier(pick(spells.entryAge), pick(spells.exitAge), pick(spells.failed));
}

import { type Concordance, concordance } from '../../numerics/concordance.ts';
import { type Spells, type WeibullOptions, weibullRegression } from '../../numerics/weibull.ts';

/** A fifth of the years at risk, judged by a fit that never saw those lives. */
export interface RiskGroup {
  readonly segmentYears: number;
  readonly expected: number;
  readonly observed: number;
}

export type CrossValidation =
  | {
      readonly known: true;
      readonly folds: number;
      /** Of two lives at risk at the same age, how often the one that failed had been called the riskier. */
      readonly concordance: Concordance;
      /** From the lowest to the highest predicted yearly risk, each with about a fifth of the segment years. */
      readonly groups: readonly RiskGroup[];
      readonly expected: number;
      readonly observed: number;
    }
  | { readonly known: false; readonly because: string };

const groupCount = 5;

/**
 * Fits without one fold of the lives at a time and judges that fold. Lives go to folds in turn, those with failures
 * first, so that every fold has its share. Unknown under two failures a fold.
 */
export function crossValidate(data: Spells, life: Int32Array, options: WeibullOptions, folds: number): CrossValidation {
  if (folds < 2) return { known: false, because: 'not asked for' };
  const spells = data.exit.length;
  const fold = dealFolds(life, data.event, folds);
  if (!fold) return { known: false, because: `fewer than ${2 * folds} lives with a failure` };
  const score = new Float64Array(spells);
  const shapes = new Float64Array(spells);
  for (let k = 0; k < folds; k++) {
    const fit = weibullRegression(
      rowsWhere(data, (i) => fold[i] !== k),
      options,
    );
    if (!fit.known) return { known: false, because: `without fold ${k + 1}: ${fit.because}` };
    for (let i = 0; i < spells; i++) {
      if (fold[i] !== k) continue;
      shapes[i] = Math.exp(fit.lnShape);
      for (let j = 0; j < data.columns; j++) {
        score[i]! += data.covariates[i * data.columns + j]! * fit.coefficients[j]!;
      }
    }
  }
  const groups = riskGroups(data, score, shapes, options.referenceAge ?? 1);
  return {
    known: true,
    folds,
    concordance: withinFolds(data, score, fold, folds),
    groups,
    expected: groups.reduce((sum, group) => sum + group.expected, 0),
    observed: groups.reduce((sum, group) => sum + group.observed, 0),
  };
}

/** Scores of different folds come from different fits, so only lives of one fold are compared. */
function withinFolds(data: Spells, score: Float64Array, fold: Int32Array, folds: number): Concordance {
  let pairs = 0;
  let right = 0;
  for (let k = 0; k < folds; k++) {
    const rows = Int32Array.from(fold.keys()).filter((i) => fold[i] === k);
    const pick = (column: ArrayLike<number>): Float64Array => Float64Array.from(rows, (i) => column[i]!);
    const part = concordance(pick(score), pick(data.entry), pick(data.exit), pick(data.event));
    if (!part.known) continue;
    pairs += part.pairs;
    right += part.share * part.pairs;
  }
  return pairs > 0 ? { known: true, share: right / pairs, pairs } : { known: false, because: 'no pair to compare' };
}

function dealFolds(life: Int32Array, event: ArrayLike<number>, folds: number): Int32Array | undefined {
  const failing = new Set<number>();
  for (let i = 0; i < life.length; i++) if (event[i]! > 0) failing.add(life[i]!);
  if (failing.size < 2 * folds) return undefined;
  const dealt = new Map([...failing].map((which, turn) => [which, turn % folds]));
  return life.map((which) => dealt.get(which) ?? which % folds);
}

function rowsWhere(data: Spells, keep: (i: number) => boolean): Spells {
  const rows = Int32Array.from({ length: data.exit.length }, (_, i) => i).filter(keep);
  const pick = (column: ArrayLike<number>): Float64Array => Float64Array.from(rows, (i) => column[i]!);
  const covariates = new Float64Array(rows.length * data.columns);
  rows.forEach((i, at) => {
    for (let j = 0; j < data.columns; j++) covariates[at * data.columns + j] = data.covariates[i * data.columns + j]!;
  });
  return { entry: pick(data.entry), exit: pick(data.exit), event: pick(data.event), covariates, columns: data.columns };
}

/** Steps of ln(yearly hazard) fine enough that groups cut between them are even. */
const stepsPerUnit = 20;
const lowest = -25;
const buckets = 50 * stepsPerUnit;

/**
 * Sorts years at risk by the hazard foreseen as each began. Whole spells must not be sorted: one that a failure cut
 * short is young on average, and would be called safe for having failed.
 */
function riskGroups(data: Spells, score: Float64Array, shapes: Float64Array, referenceAge: number): RiskGroup[] {
  const years = new Float64Array(buckets);
  const expected = new Float64Array(buckets);
  const observed = new Float64Array(buckets);
  for (let i = 0; i < score.length; i++) {
    const hazardTo = (age: number): number => Math.exp(score[i]!) * (age / referenceAge) ** shapes[i]!;
    const end = data.exit[i]!;
    for (let from = data.entry[i]!; from < end; from++) {
      const to = Math.min(end, from + 1);
      const year = hazardTo(from + 1) - hazardTo(from);
      const bucket = Math.min(buckets - 1, Math.max(0, Math.floor((Math.log(year) - lowest) * stepsPerUnit)));
      years[bucket]! += to - from;
      expected[bucket]! += hazardTo(to) - hazardTo(from);
      if (to === end) observed[bucket]! += data.event[i]!;
    }
  }
  const total = years.reduce((sum, x) => sum + x, 0);
  const groups = Array.from({ length: groupCount }, () => ({ segmentYears: 0, expected: 0, observed: 0 }));
  let before = 0;
  for (let bucket = 0; bucket < buckets; bucket++) {
    const group = groups[Math.min(groupCount - 1, Math.floor(((before + years[bucket]! / 2) / total) * groupCount))]!;
    group.segmentYears += years[bucket]!;
    group.expected += expected[bucket]!;
    group.observed += observed[bucket]!;
    before += years[bucket]!;
  }
  return groups;
}

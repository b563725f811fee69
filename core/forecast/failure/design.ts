import type { FailureSpells, SegmentLives } from './lives.ts';
import type { publishedPrior } from './publishedRates.ts';

type Kind = Exclude<keyof typeof publishedPrior, 'lnShape'>;

/** One column of the regression. */
export interface Term {
  readonly kind: Kind;
  /** Words for a report: 'PILC against XLPE'. */
  readonly name: string;
  /** What one more of it is. */
  readonly unit: string;
  /** Index of the family, for a family's own column. */
  readonly family?: number;
  /** Failures that speak for it. */
  readonly failures: number;
}

/** Which columns there are, and where the continuous ones have their nought; the same for fitting and forecasting. */
export interface Design {
  readonly terms: readonly Term[];
  readonly baseFamily: number;
  readonly families: readonly string[];
  /** The fleet's mean of what is known: what stands in where it is unknown. */
  readonly centre: Readonly<Record<'splices' | 'growth' | 'level', number>>;
  /** Growth and level beyond what the fleet has lived with count as the ends of it: the line is not drawn past its data. */
  readonly range: Readonly<Record<'growth' | 'level', Range>>;
  /** Terms that the fleet cannot tell, and why. */
  readonly left: readonly { readonly name: string; readonly because: string }[];
}

const yearsBeyond = 3;

type Range = readonly [low: number, high: number];

/** Values of one segment, as they enter the columns. */
export interface SegmentState {
  readonly family: number;
  readonly conductorKm: number;
  readonly splicesPerKm: number;
  readonly growthPerYear: number;
  readonly lnLevelToLimit: number;
}

const clip = (x: number, [low, high]: Range): number => Math.min(high, Math.max(low, x));

/** Growth per 10 % a year, level per doubling, splices as ln(1 + splices per km): the columns before centring. */
const perTenPercent = (growthPerYear: number, range: Range): number => clip(growthPerYear, range) / 0.1;
const perDoubling = (lnLevelToLimit: number, range: Range): number => clip(lnLevelToLimit, range) / Math.LN2;

/** How far values reach with at least three segment-years lived beyond, at either end. */
function seenRange(values: Float64Array, spells: FailureSpells): Range {
  const order = Int32Array.from(values.keys()).filter((i) => Number.isFinite(values[i]!));
  if (order.length === 0) return [0, 0];
  order.sort((a, b) => values[a]! - values[b]!);
  const reach = (inward: Int32Array): number => {
    let years = 0;
    let at = 0;
    for (; at < inward.length - 1 && years < yearsBeyond; at++) {
      years += spells.exitAge[inward[at]!]! - spells.entryAge[inward[at]!]!;
    }
    return values[inward[at]!]!;
  };
  const low = reach(order);
  return [low, Math.max(low, reach(order.toReversed()))];
}

/** Decides the columns from the spells: a column that is constant or wholly unknown is left out, with the reason. */
export function chooseDesign(lives: SegmentLives, spells: FailureSpells): Design {
  const failuresOf = new Float64Array(lives.families.length);
  const yearsOf = new Float64Array(lives.families.length);
  for (let i = 0; i < spells.count; i++) {
    const family = lives.family[spells.life[i]!]!;
    failuresOf[family]! += spells.failed[i]!;
    yearsOf[family]! += spells.exitAge[i]! - spells.entryAge[i]!;
  }
  const order = lives.families.map((_, family) => family).filter((family) => yearsOf[family]! > 0);
  order.sort((a, b) => failuresOf[b]! - failuresOf[a]! || yearsOf[b]! - yearsOf[a]! || a - b);
  const baseFamily = order[0] ?? 0;
  const terms: Term[] = [{ kind: 'intercept', name: 'intercept', unit: '', failures: spells.failures }];
  for (const family of order.slice(1).sort((a, b) => a - b)) {
    const name = `${lives.families[family]} against ${lives.families[baseFamily]}`;
    terms.push({ kind: 'family', name, unit: '', family, failures: failuresOf[family]! });
  }
  const range = { growth: seenRange(spells.growthPerYear, spells), level: seenRange(spells.lnLevelToLimit, spells) };
  const left: { name: string; because: string }[] = [];
  const centre = { splices: 0, growth: 0, level: 0 };
  const offer = (kind: Kind, name: string, unit: string, value: (i: number) => number): void => {
    const { mean, sd, share } = moments(spells.count, value);
    if (!(share > 0)) left.push({ name, because: 'not known for any segment' });
    else if (!(sd > 1e-6)) left.push({ name, because: 'the same for all segments' });
    else terms.push({ kind, name, unit, failures: spells.failures });
    if (share > 0 && kind in centre) centre[kind as keyof typeof centre] = mean;
  };
  offer('lnConductorKm', 'length', 'e times the conductor length', (i) =>
    Math.log(lives.conductorKm[spells.life[i]!]!),
  );
  offer('splices', 'splices', 'e times (1 + splices per km)', (i) => Math.log1p(lives.splicesPerKm[spells.life[i]!]!));
  offer('growth', 'growth', '0.1 a year in ln(specific leakage)', (i) =>
    perTenPercent(spells.growthPerYear[i]!, range.growth),
  );
  offer('level', 'level', 'a doubling of level against limit', (i) =>
    perDoubling(spells.lnLevelToLimit[i]!, range.level),
  );
  return { terms, baseFamily, families: lives.families, centre, range, left };
}

function moments(count: number, value: (i: number) => number): { mean: number; sd: number; share: number } {
  let known = 0;
  let mean = 0;
  let squares = 0;
  for (let i = 0; i < count; i++) {
    const x = value(i);
    if (!Number.isFinite(x)) continue;
    known++;
    const step = x - mean;
    mean += step / known;
    squares += step * (x - mean);
  }
  return { mean, sd: Math.sqrt(squares / Math.max(1, known)), share: known / Math.max(1, count) };
}

/** Writes the columns of one segment into `out` from `at` on. */
export function writeColumns(design: Design, state: SegmentState, out: Float64Array, at: number): void {
  const { terms, centre, range } = design;
  for (let j = 0; j < terms.length; j++) {
    const term = terms[j]!;
    let value = 1;
    if (term.kind === 'family') value = state.family === term.family ? 1 : 0;
    else if (term.kind === 'lnConductorKm') value = Math.log(state.conductorKm);
    else if (term.kind === 'splices') value = Math.log1p(state.splicesPerKm) - centre.splices;
    else if (term.kind === 'growth') value = perTenPercent(state.growthPerYear, range.growth) - centre.growth;
    else if (term.kind === 'level') value = perDoubling(state.lnLevelToLimit, range.level) - centre.level;
    out[at + j] = Number.isFinite(value) ? value : 0;
  }
}

/** The columns of all spells, row by row. */
export function designMatrix(design: Design, lives: SegmentLives, spells: FailureSpells): Float64Array {
  const columns = design.terms.length;
  const matrix = new Float64Array(spells.count * columns);
  for (let i = 0; i < spells.count; i++) {
    const life = spells.life[i]!;
    const state = {
      family: lives.family[life]!,
      conductorKm: lives.conductorKm[life]!,
      splicesPerKm: lives.splicesPerKm[life]!,
      growthPerYear: spells.growthPerYear[i]!,
      lnLevelToLimit: spells.lnLevelToLimit[i]!,
    };
    writeColumns(design, state, matrix, i * columns);
  }
  return matrix;
}

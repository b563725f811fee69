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
  /** Terms that the fleet cannot tell, and why. */
  readonly left: readonly { readonly name: string; readonly because: string }[];
}

/** Growth beyond these is a spoilt reading or a cable already pulled; it must not bend the whole line. */
const growthRange = [-0.3, 0.6] as const;
const levelRange = [Math.log(1e-3), Math.log(100)] as const;

/** Values of one segment, as they enter the columns. */
export interface SegmentState {
  readonly family: number;
  readonly conductorKm: number;
  readonly splicesPerKm: number;
  readonly growthPerYear: number;
  readonly lnLevelToLimit: number;
}

const clip = (x: number, [low, high]: readonly [number, number]): number => Math.min(high, Math.max(low, x));

/** The continuous columns before centring: ln(1 + splices per km), growth per 10 % a year, level per doubling. */
const raw = {
  splices: (splicesPerKm: number): number => Math.log1p(splicesPerKm),
  growth: (growthPerYear: number): number => clip(growthPerYear, growthRange) / 0.1,
  level: (lnLevelToLimit: number): number => clip(lnLevelToLimit, levelRange) / Math.LN2,
};

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
  offer('splices', 'splices', 'e times (1 + splices per km)', (i) => raw.splices(lives.splicesPerKm[spells.life[i]!]!));
  offer('growth', 'growth', '0.1 a year in ln(specific leakage)', (i) => raw.growth(spells.growthPerYear[i]!));
  offer('level', 'level', 'a doubling of level against limit', (i) => raw.level(spells.lnLevelToLimit[i]!));
  return { terms, baseFamily, families: lives.families, centre, left };
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
  const { terms, centre } = design;
  for (let j = 0; j < terms.length; j++) {
    const term = terms[j]!;
    let value = 1;
    if (term.kind === 'family') value = state.family === term.family ? 1 : 0;
    else if (term.kind === 'lnConductorKm') value = Math.log(state.conductorKm);
    else if (term.kind === 'splices') value = raw.splices(state.splicesPerKm) - centre.splices;
    else if (term.kind === 'growth') value = raw.growth(state.growthPerYear) - centre.growth;
    else if (term.kind === 'level') value = raw.level(state.lnLevelToLimit) - centre.level;
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

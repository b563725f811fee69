import type { InsulationFamily } from './insulation.ts';
import { known, type Maybe, type Source, unknown } from './source.ts';

/**
 * Temperature correction. A factor F multiplies resistance: R_ref = R_meas · F. Leakage goes the other way:
 * I_ref = I_meas / F, so a reading corrected from 30 °C to 20 °C falls.
 */
export type TemperatureRule = {
  readonly id: string;
  readonly name: string;
  readonly referenceC: number;
  readonly source: Source;
} & (
  | { readonly kind: 'table'; readonly points: readonly (readonly [tempC: number, factor: number])[] }
  | { readonly kind: 'exponential'; readonly lnPerC: number; readonly fromC: number; readonly toC: number }
);

const degF = (tempF: number): number => (tempF - 32) / 1.8;

const fedStd = (id: string, column: string, factors: readonly number[]): TemperatureRule => ({
  id,
  name: `FED-STD-228A, column ${column}`,
  kind: 'table',
  referenceC: degF(60),
  points: [50, 55, 60, 65, 68, 70, 75, 80].map((tempF, i) => [degF(tempF), factors[i]!] as const),
  source: {
    document: 'FED-STD-228A',
    edition: 'revision A',
    table: `Table I, column ${column} (column headings read from a broken header)`,
    mark: 'read',
  },
});

const neta = (
  id: string,
  edition: string,
  column: 'oil' | 'solid',
  mark: Source['mark'],
  temps: readonly number[],
  factors: readonly number[],
): TemperatureRule => ({
  id,
  name: `NETA Table 100.14, ${column}, ${edition}`,
  kind: 'table',
  referenceC: 20,
  points: temps.map((tempC, i) => [tempC, factors[i]!] as const),
  source: { document: 'ANSI/NETA Table 100.14', edition, table: `${column} insulation, to 20 °C`, mark },
});

const to50 = [-10, -5, 0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50];
const to100 = [...to50, 60, 70, 80, 90, 100];

/** The published rules. The cable maker's own coefficient is better than any; raw readings are always kept. */
export const temperatureRules: readonly TemperatureRule[] = [
  fedStd('fed-std-228a-r', 'R, RW', [0.6, 0.79, 1, 1.28, 1.48, 1.63, 2.08, 2.65]),
  fedStd('fed-std-228a-t', 'T, TW', [0.79, 0.88, 1, 1.19, 1.33, 1.46, 2.06, 2.93]),
  fedStd('fed-std-228a-rh', 'RH', [0.73, 0.86, 1, 1.17, 1.28, 1.36, 1.59, 1.86]),
  neta(
    'neta-100.14-2025-oil',
    'ATS-2025',
    'oil',
    'quoted',
    to100,
    // The table prints 245 at 100 °C; the pattern gives about 254, probably a misprint. Kept as printed.
    [0.125, 0.18, 0.25, 0.36, 0.5, 0.75, 1, 1.4, 1.98, 2.8, 3.95, 5.6, 7.85, 15.85, 31.75, 63.5, 127, 245],
  ),
  neta(
    'neta-100.14-2025-solid',
    'ATS-2025',
    'solid',
    'quoted',
    to100,
    [0.25, 0.32, 0.4, 0.5, 0.63, 0.81, 1, 1.25, 1.58, 2, 2.5, 3.15, 3.98, 6.3, 10, 15.8, 25.2, 40],
  ),
  neta(
    'neta-100.14-older-solid',
    'an older edition',
    'solid',
    'from memory, unverified',
    [0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50],
    [0.4, 0.45, 0.5, 0.75, 1, 1.3, 1.6, 2.05, 2.5, 3.25, 4],
  ),
  {
    id: 'ieee-43-thermoplastic',
    name: 'IEEE 43, thermoplastic, halving each 10 °C',
    kind: 'exponential',
    referenceC: 40,
    lnPerC: Math.LN2 / 10,
    fromC: -10,
    toC: 100,
    source: {
      document: 'IEEE 43 (rotating machines, not cable)',
      edition: 'edition not verified',
      table: 'R40 = R · 0.5^((40 − T)/10)',
      mark: 'from memory, unverified',
    },
  },
  {
    id: 'ieee-43-alternative',
    name: 'IEEE 43, K = 10^(0.0301 t − 1.2041)',
    kind: 'exponential',
    referenceC: 40,
    lnPerC: 0.0301 * Math.LN10,
    fromC: -10,
    toC: 100,
    source: {
      document: 'IEEE 43 (rotating machines, not cable)',
      edition: '',
      table: 'alternative form',
      mark: 'read',
    },
  },
];

export const temperatureRule = (id: string): TemperatureRule | null =>
  temperatureRules.find((rule) => rule.id === id) ?? null;

/** ICEA form F = c^(T°F − 60): c is measured for each compound, so the maker's figure is handed in. To 15.6 °C. */
export const iceaRule = (coefficientPerF: number): TemperatureRule => ({
  id: `icea-t-27-581-c${coefficientPerF}`,
  name: `ICEA form, coefficient ${coefficientPerF} for each °F`,
  kind: 'exponential',
  referenceC: degF(60),
  lnPerC: Math.log(coefficientPerF) * 1.8,
  fromC: degF(40),
  toC: degF(85),
  source: {
    document: 'ICEA T-27-581',
    edition: 'edition not verified',
    table: 'form of the correction',
    mark: 'from memory, unverified',
  },
});

/**
 * Factor that takes a resistance measured at `tempC` to the rule's reference temperature. Between the printed
 * temperatures a table is interpolated on the logarithm. Outside the printed range: unknown.
 */
export const resistanceFactor = (rule: TemperatureRule, tempC: number): Maybe<number> => {
  if (!Number.isFinite(tempC)) return unknown('no insulation temperature was recorded');
  if (rule.kind === 'exponential') {
    if (tempC < rule.fromC - 1e-9 || tempC > rule.toC + 1e-9)
      return unknown(`${rule.name} covers ${rule.fromC.toFixed(1)} to ${rule.toC.toFixed(1)} °C`);
    return known(Math.exp(rule.lnPerC * (tempC - rule.referenceC)));
  }
  const { points } = rule;
  const first = points[0]!;
  const last = points[points.length - 1]!;
  if (tempC < first[0] - 1e-9 || tempC > last[0] + 1e-9)
    return unknown(`${rule.name} covers ${first[0].toFixed(1)} to ${last[0].toFixed(1)} °C`);
  let i = 1;
  while (i < points.length - 1 && tempC > points[i]![0]) i++;
  const [lowC, lowF] = points[i - 1]!;
  const [highC, highF] = points[i]!;
  const share = Math.min(1, Math.max(0, (tempC - lowC) / (highC - lowC)));
  return known(share === 0 ? lowF : share === 1 ? highF : lowF * (highF / lowF) ** share);
};

/** Factor on resistance from one temperature to another by a rule, through the rule's own reference. */
const factorBetween = (rule: TemperatureRule, fromC: number, toC: number): Maybe<number> => {
  const from = resistanceFactor(rule, fromC);
  if (!from.known) return from;
  if (toC === rule.referenceC) return from;
  const to = resistanceFactor(rule, toC);
  return to.known ? known(from.value / to.value) : to;
};

/** Resistance (any unit) at `toC`, from a measurement at `tempC`. */
export const resistanceAt = (rule: TemperatureRule, resistance: number, tempC: number, toC = 20): Maybe<number> => {
  const factor = factorBetween(rule, tempC, toC);
  return factor.known ? known(resistance * factor.value) : factor;
};

/** Leakage (any unit) at `toC`, from a measurement at `tempC`: I_ref = I_meas / F. */
export const leakageAt = (rule: TemperatureRule, leakage: number, tempC: number, toC = 20): Maybe<number> => {
  const factor = factorBetween(rule, tempC, toC);
  return factor.known ? known(leakage / factor.value) : factor;
};

export interface TemperatureCoefficient {
  /** Rise of ln(leakage) for each °C; leakage at 20 °C = leakage · exp(−lnPerC · (T − 20)). */
  readonly lnPerC: number;
  /** How far the published rules for this kind of insulation lie apart: a prior standard deviation. */
  readonly sdLnPerC: number;
  readonly ruleId: string;
  readonly source: Source;
}

const coefficient = (
  ruleId: string,
  lnPerC: number,
  sdLnPerC: number,
  says: string,
  mark: Source['mark'],
): TemperatureCoefficient => ({
  lnPerC,
  sdLnPerC,
  ruleId,
  source: { document: temperatureRule(ruleId)?.source.document ?? ruleId, edition: '', table: says, mark },
});

/**
 * Default coefficient by family: where a fleet starts before its own seasons have spoken. None of the rules is
 * specific to medium-voltage cable and they disagree (halving for each 10, 12 or 15 °C), hence the wide spread.
 */
export const temperatureCoefficientOf: Record<InsulationFamily, TemperatureCoefficient> = {
  PILC: coefficient('neta-100.14-2025-oil', Math.LN2 / 10, 0.015, 'oil column: halving for each 10 °C', 'computed'),
  HMWPE: coefficient('neta-100.14-2025-solid', Math.LN2 / 15, 0.02, 'solid column: halving for each 15 °C', 'computed'),
  XLPE: coefficient(
    'fed-std-228a-rh',
    Math.log(1.0315) * 1.8,
    0.02,
    "RH column, 1.0315 for each °F, equal to makers' XHHW tables",
    'computed',
  ),
  'TR-XLPE': coefficient(
    'fed-std-228a-rh',
    Math.log(1.0315) * 1.8,
    0.02,
    "RH column, 1.0315 for each °F, equal to makers' XHHW tables",
    'computed',
  ),
  EPR: coefficient('neta-100.14-2025-solid', Math.LN2 / 15, 0.02, 'solid column: halving for each 15 °C', 'computed'),
  PVC: coefficient('fed-std-228a-t', Math.log(2.93 / 0.79) / (30 / 1.8), 0.03, 'mean of the T, TW column', 'computed'),
  other: coefficient('neta-100.14-2025-solid', Math.LN2 / 15, 0.03, 'solid column: halving for each 15 °C', 'computed'),
};

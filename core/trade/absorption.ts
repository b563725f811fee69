import { known, type Maybe, type Source, unknown } from './source.ts';

/** Dielectric absorption: what the fall of current at constant voltage says, and how little on extruded cable. */

const habit = (table: string): Source => ({
  document: 'field practice',
  edition: '',
  table,
  mark: 'common practice, no source',
});

export interface Band {
  readonly from: number;
  /** Infinity in the last band. */
  readonly to: number;
  readonly says: string;
  readonly source: Source;
}

/** Resistance at 60 s over resistance at 30 s. The span from 1.25 to 1.4 has no name in the source. */
export const dielectricAbsorptionBands: readonly Band[] = [
  { from: 0, to: 1, says: 'bad', source: habit('dielectric absorption ratio') },
  { from: 1, to: 1.25, says: 'unreliable', source: habit('dielectric absorption ratio') },
  { from: 1.25, to: 1.4, says: 'not assigned', source: habit('dielectric absorption ratio') },
  { from: 1.4, to: 1.6, says: 'acceptable', source: habit('dielectric absorption ratio') },
  { from: 1.6, to: Number.POSITIVE_INFINITY, says: 'excellent', source: habit('dielectric absorption ratio') },
];

/** Resistance at 10 min over resistance at 1 min. */
export const polarizationIndexBands: readonly Band[] = [
  { from: 0, to: 1, says: 'bad', source: habit('polarization index') },
  { from: 1, to: 2, says: 'unreliable', source: habit('polarization index') },
  { from: 2, to: 4, says: 'acceptable', source: habit('polarization index') },
  { from: 4, to: Number.POSITIVE_INFINITY, says: 'excellent', source: habit('polarization index') },
];

/** Minima for rotating machines. Shown for what they are: not cable. */
export const machinePolarizationMinima = {
  classA: 1.5,
  classBFH: 2,
  source: { document: 'IEEE 43', edition: '', table: 'polarization index minima', mark: 'quoted' } satisfies Source,
} as const;

/** Healthy extruded cable often shows 1 to 2, so the index alone never fails a cable. */
export const extrudedPolarizationNote = {
  from: 1,
  to: 2,
  says: 'On extruded cable an index of 1 to 2 is often seen on a healthy cable; it never fails a cable on its own.',
  source: { document: 'field experience', edition: '', table: '', mark: 'from memory, unverified' } satisfies Source,
} as const;

export const bandOf = (bands: readonly Band[], ratio: number): Band | null =>
  bands.find((band) => ratio >= band.from && ratio < band.to) ?? null;

/** Ratio of currents read earlier and later at the same voltage, which equals the ratio of resistances later/earlier. */
export const currentRatio = (earlyUa: number, lateUa: number): Maybe<number> =>
  earlyUa > 0 && lateUa > 0 ? known(earlyUa / lateUa) : unknown('both currents must be above zero');

/** Under 1 the current rises at constant voltage: the first thing to look at, before any pass on voltage. */
export const risingAtConstantVoltage = (ratio: number): boolean => ratio < 1;

/** Exponent of A·t⁻ⁿ from two readings, after the steady current has been taken away. */
export const absorptionExponent = (
  earlyUa: number,
  earlyS: number,
  lateUa: number,
  lateS: number,
  steadyUa = 0,
): Maybe<number> => {
  const early = earlyUa - steadyUa;
  const late = lateUa - steadyUa;
  if (!(early > 0 && late > 0)) return unknown('the steady current is not below both readings');
  if (!(earlyS > 0 && lateS > earlyS)) return unknown('the second reading must be later than the first');
  return known(Math.log(early / late) / Math.log(lateS / earlyS));
};

/** Current at a time after the voltage was reached: steady + A·t⁻ⁿ, with A the absorption current at one unit of time. */
export const currentAt = (steadyUa: number, absorptionUa: number, exponent: number, time: number): number =>
  steadyUa + absorptionUa * time ** -exponent;

/** Where a fit of the exponent starts and what it may not leave. */
export const exponentPrior = {
  start: 0.8,
  low: 0.3,
  high: 1.3,
  source: {
    document: 'dielectric absorption literature',
    edition: '',
    table: '',
    mark: 'from memory, unverified',
  } satisfies Source,
} as const;

/** Relative leakage at another reading time when only absorption changes it: (t/t0)⁻ⁿ, an upper bound of the change. */
export const absorptionShift = (fromMin: number, toMin: number, exponent: number): number =>
  (toMin / fromMin) ** -exponent;

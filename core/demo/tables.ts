/**
 * The invented utility in tables. All of it is invented: levels and growths are chosen so that they look like what crews
 * see against our default limits, and prove nothing about real cable.
 */

/** Years of the story, counted back from the last year with tests (2025 by default). */
export const yearsBack = {
  firstTest: 17,
  failureRecordsBegin: 20,
  badSplices: 14,
  injection: 12,
  testerReplaced: 9,
  coldSpring: 7,
  uncalibratedSummer: 6,
  lastEnergised: 3,
} as const;
export const firstEnergisedYear = 1971;

export type Family = 'PILC' | 'HMWPE' | 'XLPE' | 'TR-XLPE' | 'EPR';

export interface FamilyRow {
  /** Years in which it was laid; the last null: still laid. */
  readonly from: number;
  readonly to: number | null;
  /** Specific leakage when new, nS/km at 20 °C. */
  readonly newNsPerKm: number;
  /** Ordinary growth a year, ln units, and its spread between segments. */
  readonly growth: number;
  readonly growthSd: number;
  /** Rise of ln leakage for each °C. */
  readonly lnPerC: number;
  readonly limitNsPerKm: number;
  /** Insulation thickness, mm, for 15 and 25 kV class. */
  readonly thicknessMm: { readonly 15: number; readonly 25: number };
}

export const families: Readonly<Record<Family, FamilyRow>> = {
  PILC: {
    from: 1971,
    to: 1981,
    newNsPerKm: 6,
    growth: 0.022,
    growthSd: 0.014,
    lnPerC: 0.066,
    limitNsPerKm: 30,
    thicknessMm: { 15: 4.1, 25: 6.2 },
  },
  HMWPE: {
    from: 1972,
    to: 1983,
    newNsPerKm: 0.55,
    growth: 0.055,
    growthSd: 0.028,
    lnPerC: 0.047,
    limitNsPerKm: 12,
    thicknessMm: { 15: 4.45, 25: 6.6 },
  },
  XLPE: {
    from: 1978,
    to: 1997,
    newNsPerKm: 0.6,
    growth: 0.042,
    growthSd: 0.024,
    lnPerC: 0.054,
    limitNsPerKm: 7.5,
    thicknessMm: { 15: 4.45, 25: 6.6 },
  },
  'TR-XLPE': {
    from: 1990,
    to: null,
    newNsPerKm: 0.28,
    growth: 0.022,
    growthSd: 0.014,
    lnPerC: 0.054,
    limitNsPerKm: 5,
    thicknessMm: { 15: 4.45, 25: 6.6 },
  },
  EPR: {
    from: 1984,
    to: null,
    newNsPerKm: 1.1,
    growth: 0.02,
    growthSd: 0.013,
    lnPerC: 0.046,
    limitNsPerKm: 9,
    thicknessMm: { 15: 4.45, 25: 6.6 },
  },
};

/** Parts of the town: how many feeders of a hundred, what was laid there and when, which class. */
export const districts = [
  {
    name: 'old town',
    feedersPct: 22,
    families: ['PILC', 'PILC', 'PILC', 'XLPE', 'EPR'],
    from: 1971,
    to: 1992,
    ratedKv: 15,
  },
  {
    name: 'mill district',
    feedersPct: 25,
    families: ['EPR', 'XLPE', 'PILC', 'TR-XLPE'],
    from: 1974,
    to: 2012,
    ratedKv: 15,
  },
  {
    name: 'valley estates',
    feedersPct: 28,
    families: ['HMWPE', 'HMWPE', 'XLPE', 'TR-XLPE'],
    from: 1972,
    to: 2004,
    ratedKv: 15,
  },
  {
    name: 'upper vale',
    feedersPct: 25,
    families: ['TR-XLPE', 'TR-XLPE', 'EPR', 'XLPE'],
    from: 1988,
    to: 2022,
    ratedKv: 25,
  },
] as const satisfies readonly { readonly families: readonly Family[]; readonly [k: string]: unknown }[];

export type InstrumentKey = 'HV-1' | 'HV-2' | 'HV-3';
/** Testers: floor and resolution in µA; `yearly`: month and day of the calibration. */
export const instruments = {
  'HV-1': {
    serial: 'M-0412',
    description: 'DC tester, analogue meter, 80 kV',
    floorUa: 1,
    stepUa: 0.25,
    yearly: '02-14',
  },
  'HV-2': {
    serial: 'V-1187',
    description: 'DC tester, digital meter, 100 kV',
    floorUa: 0.5,
    stepUa: 0.1,
    yearly: '05-20',
  },
  'HV-3': {
    serial: 'M-2203',
    description: 'DC tester, digital meter, guarded lead, 120 kV',
    floorUa: 0.01,
    stepUa: 0.01,
    yearly: '03-02',
  },
} as const satisfies Record<InstrumentKey, object>;

export const crews = ['mill crew', 'vale crew'] as const;

/** What spoils the readings, as in the field. ln units unless said otherwise. */
export const field = {
  /** Shared by the phases of one day, and each reading's own. */
  eventSd: 0.16,
  readingSd: 0.06,
  phaseOffsetSd: 0.1,
  levelSd: 0.45,
  /** Share of tests in which the insulation's or the air's temperature was not written down. */
  insulationTempMissing: 0.08,
  ambientTempMissing: 0.03,
  /** Share of tests written down in the wrong unit. */
  unitSlip: 0.004,
  /** Share of segments that age fast from some year on; most of those in one phase only. */
  fastShare: 0.07,
  fastInOnePhase: 0.65,
  fastGrowth: { from: 0.1, to: 0.26 },
  fastAcceleration: { from: 0, to: 0.03 },
  /** Leakage after d minutes over that after 15 min: (1 + a·d^−n) ÷ (1 + a·15^−n). */
  absorption: { a: 0.8, n: 0.8 },
  /** Leakage goes with voltage to the power 1 + this. */
  voltagePower: 0.07,
  coldSpringC: -7,
  uncalibratedGain: 1.18,
} as const;

/** Ground at laying depth, and air: mean, half the yearly swing, day of the year of the mean in spring, spread, °C. */
export const climate = {
  ground: { mean: 12, swing: 7, springDay: 125, sd: 1.2 },
  air: { mean: 11, swing: 10, springDay: 108, sd: 3.5 },
} as const;

/** Maintenance and acceptance test voltage, kV DC, by rated class and insulation level. */
export const testKv = {
  15: { 100: { maintenance: 18, acceptance: 56 }, 133: { maintenance: 20, acceptance: 64 } },
  25: { 100: { maintenance: 25, acceptance: 80 }, 133: { maintenance: 30, acceptance: 96 } },
} as const;

/** Failures a year of a segment at its limit, and how they rise with level over limit. */
export const failing = { atLimit: 0.012, power: 1.3, partPct: { cable: 62, splice: 28, termination: 10 } } as const;

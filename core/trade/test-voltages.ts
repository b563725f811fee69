import type { Source } from './source.ts';

/** Published field test voltages. Tables disagree; each row stays in its own table and none is ever merged. */

export const icea: Source = {
  document: 'ICEA S-97-682, utility shielded cable 5 to 46 kV',
  edition: "as reproduced in a cable maker's sheet of 2010",
  table: 'maximum DC field test voltage',
  mark: 'quoted',
};
export const ufgs: Source = {
  document: 'UFGS 16302N, underground transmission and distribution (US Government guide specification)',
  edition: 'older edition',
  table: 'pages 40–41, DC field test voltage',
  mark: 'read',
};
const memory = (document: string, edition: string, table: string): Source => ({
  document,
  edition,
  table,
  mark: 'from memory, unverified',
});

export type InsulationLevelPct = 100 | 133;

export interface IceaDcRow {
  readonly ratedKv: number;
  readonly levelPct: InsulationLevelPct;
  /** At installation and before first energising, kV DC. */
  readonly installKv: number;
  /** In the first five years of service, kV DC. */
  readonly firstFiveYearsKv: number;
  /** Nominal insulation, mils; where two are given the second is for the larger conductor sizes. */
  readonly insulationMils: readonly number[];
  readonly source: Source;
}

const iceaRow = (
  ratedKv: number,
  levelPct: InsulationLevelPct,
  installKv: number,
  firstFiveYearsKv: number,
  ...insulationMils: number[]
): IceaDcRow => ({ ratedKv, levelPct, installKv, firstFiveYearsKv, insulationMils, source: icea });

/** Table 'icea-s-97-682': depends on class and level only, not on conductor size. */
export const iceaDcTable: readonly IceaDcRow[] = [
  iceaRow(5, 100, 28, 9, 90, 140),
  iceaRow(5, 133, 36, 11, 115, 140),
  iceaRow(8, 100, 36, 11, 115, 175),
  iceaRow(8, 133, 44, 14, 140, 175),
  iceaRow(15, 100, 56, 18, 175),
  // The 15 kV 133 % thickness is a merged cell in the sheet; 220 mils is a reading of it.
  iceaRow(15, 133, 64, 20, 220),
  iceaRow(25, 100, 80, 25, 260),
  iceaRow(25, 133, 96, 30, 320),
  iceaRow(28, 100, 84, 26, 280),
  iceaRow(28, 133, 100, 31, 345),
  iceaRow(35, 100, 100, 31, 345),
  iceaRow(35, 133, 124, 39, 420),
  iceaRow(46, 100, 132, 41, 445),
  iceaRow(46, 133, 172, 54, 580),
];

/** Durations that go with the ICEA voltages; the acceptance current is logged each minute. */
export const iceaDurations = {
  install: { minutes: 15, source: icea },
  firstFiveYears: {
    minutes: 5,
    source: memory('ICEA S-97-682', 'edition not verified', 'duration of the first-five-year test'),
  },
} as const;

export interface UfgsDcRow {
  readonly classKv: number;
  /** Null where the guide prints the class without a level. */
  readonly levelPct: InsulationLevelPct | null;
  readonly insulation: 'EPR and XLP' | 'PILC';
  /** With insulated connectors connected, kV DC. */
  readonly withConnectorsKv: number;
  /** Without insulated connectors, kV DC. */
  readonly withoutConnectorsKv: number;
  readonly source: Source;
}

const ufgsRow = (
  classKv: number,
  levelPct: InsulationLevelPct | null,
  insulation: UfgsDcRow['insulation'],
  withConnectorsKv: number,
  withoutConnectorsKv = withConnectorsKv,
): UfgsDcRow => ({ classKv, levelPct, insulation, withConnectorsKv, withoutConnectorsKv, source: ufgs });

/** Table 'ufgs-16302n', for new cable. PILC with a non-metallic jacket: 10 % less. */
export const ufgsDcTable: readonly UfgsDcRow[] = [
  ufgsRow(5, null, 'EPR and XLP', 25),
  ufgsRow(15, 100, 'EPR and XLP', 53, 55),
  ufgsRow(15, 133, 'EPR and XLP', 53, 65),
  ufgsRow(25, 100, 'EPR and XLP', 78, 80),
  ufgsRow(25, 133, 'EPR and XLP', 78, 100),
  ufgsRow(28, 100, 'EPR and XLP', 78, 85),
  ufgsRow(35, 100, 'EPR and XLP', 100),
  ufgsRow(5, null, 'PILC', 30),
  ufgsRow(15, 100, 'PILC', 65),
  ufgsRow(15, 133, 'PILC', 85),
  ufgsRow(25, 100, 'PILC', 105),
  ufgsRow(25, 133, 'PILC', 135),
  ufgsRow(28, 100, 'PILC', 115),
  ufgsRow(35, 100, 'PILC', 145),
];

/** The guide lowers the PILC voltage by this share where the jacket is not metallic. */
export const ufgsNonMetallicJacketReduction = 0.1;

/** Older practice: initial test at 80 %, maintenance test at 60 % of the factory DC test. */
export const historicShareOfFactoryDc = {
  initial: 0.8,
  maintenance: 0.6,
  source: {
    document: 'Mercier & Ticker, IEEE Transactions on Industry Applications 34(6), 1366–1370',
    edition: '1998',
    table: 'abstract and introduction',
    mark: 'read',
  } satisfies Source,
} as const;

/** A cable maker's rule: AC acceptance = 80 % of the factory AC test; DC acceptance = 3 × that. */
export const makerRule = {
  acAcceptanceShareOfFactory: 0.8,
  dcOverAc: 3,
  source: {
    document: "a cable maker's technical note",
    edition: '',
    table: 'field acceptance tests',
    mark: 'read',
  } satisfies Source,
} as const;

export type VlfPurpose = 'installation' | 'acceptance' | 'maintenance';

export interface VlfRow {
  readonly ratedKv: number;
  /** Peak of the sinusoidal VLF withstand voltage, kV. */
  readonly peakKv: Readonly<Record<VlfPurpose, number>>;
  readonly source: Source;
}

const vlf = (
  ratedKv: number,
  installation: number,
  acceptance: number,
  maintenance: number,
  quoted = false,
): VlfRow => ({
  ratedKv,
  peakKv: { installation, acceptance, maintenance },
  source: {
    document: 'IEEE 400.2',
    edition: '2013 (superseded by 2024)',
    table: 'VLF withstand voltages, sinusoidal, peak',
    mark: quoted ? 'quoted' : 'from memory, unverified',
  },
});

/** VLF withstand at 0.1 Hz. The 2024 edition supersedes this one: check it before use. */
export const vlfTable: readonly VlfRow[] = [
  vlf(5, 13, 14, 10, true),
  vlf(8, 16, 18, 14),
  vlf(15, 27, 30, 22, true),
  vlf(25, 41, 45, 34),
  vlf(28, 45, 51, 38),
  vlf(35, 55, 62, 47),
  vlf(46, 72, 81, 61),
];
export const vlfDuration = { minimumMin: 30, preferredMin: 60, source: vlfTable[0]!.source } as const;

export interface OtherTest {
  readonly name: string;
  readonly says: string;
  readonly source: Source;
}

const hd620: Source = {
  document: 'HD 620/621 S1',
  edition: '1996',
  table: 'tests after installation',
  mark: 'quoted',
};

/** Further rules, as statements: none of them is turned into a voltage by this program. */
export const otherTests: readonly OtherTest[] = [
  {
    name: 'after laying, IEC 60502-2',
    says: 'AC at phase-to-phase voltage across the insulation for 15 min, or U0 for 24 h; VLF 0.1 Hz 3 U0 for 15 min; DC 4 U0 for 15 min, with a warning',
    source: memory('IEC 60502-2', '2014; the 2005 edition gives 5 min', 'tests after installation'),
  },
  { name: 'VLF on extruded cable', says: '3 U0 for 30 to 60 min', source: hd620 },
  { name: 'DC on paper-lead cable', says: '8 U0 for 15 min', source: hd620 },
];

export interface SheathTest {
  readonly sheath: string;
  /** Fixed voltage, or kV for each mm of sheath with a ceiling. */
  readonly kv: { readonly fixed: number } | { readonly perMm: number; readonly max: number };
  readonly minutes: number;
  readonly source: Source;
}

/** DC tests of the oversheath. */
export const sheathTests: readonly SheathTest[] = [
  { sheath: 'PVC', kv: { fixed: 3 }, minutes: 5, source: hd620 },
  { sheath: 'PE, medium voltage', kv: { fixed: 5 }, minutes: 5, source: hd620 },
  {
    sheath: 'extruded oversheath',
    kv: { perMm: 4, max: 10 },
    minutes: 1,
    source: {
      document: 'IEC 60229 / IEC 60840',
      edition: 'edition not verified',
      table: 'oversheath test',
      mark: 'quoted',
    },
  },
];

/** kV DC of a sheath test for a sheath thickness in mm. */
export const sheathVoltageKv = (test: SheathTest, thicknessMm: number): number =>
  'fixed' in test.kv ? test.kv.fixed : Math.min(test.kv.perMm * thicknessMm, test.kv.max);

/** Scope notes that decide which document speaks about which cable. */
export const scopeNotes: readonly OtherTest[] = [
  {
    name: 'IEEE 400.1',
    says: 'DC acceptance and maintenance tests of laminated cable only, 5 to 500 kV; its levels assume an effectively grounded neutral or a grounded metallic shield',
    source: { document: 'IEEE 400.1', edition: '2018', table: 'abstract', mark: 'read' },
  },
  {
    name: 'IEEE 400 (1980)',
    says: 'the DC level was tied to the basic impulse level, not to rated voltage',
    source: { document: 'IEEE 400', edition: '1980', table: 'section 1', mark: 'read' },
  },
  {
    name: 'polarity',
    says: 'negative polarity only on high-voltage cables',
    source: { document: 'Reclamation FIST 3-1', edition: '1991', table: 'section 46', mark: 'read' },
  },
];

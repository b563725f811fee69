import type { Source } from './source.ts';

export interface MinimumResistance {
  readonly ratedKv: number;
  readonly minimumMohm: number;
  readonly testKv: number;
  readonly source: Source;
}

const neta1001 = (ratedKv: number, minimumMohm: number, testKv: number): MinimumResistance => ({
  ratedKv,
  minimumMohm,
  testKv,
  source: {
    document: 'ANSI/NETA MTS',
    edition: '2019 (prints 34.0 for 34.5 kV; ATS-2025 prints 34.5)',
    table: 'Table 100.1, minimum insulation resistance',
    mark: 'read',
  },
});

/** For medium-voltage cable these are 'typical': geometry, temperature and length must be considered. */
export const netaMinimumResistance: readonly MinimumResistance[] = [
  neta1001(5, 1500, 2.5),
  neta1001(8, 2500, 2.5),
  neta1001(15, 5000, 2.5),
  neta1001(25, 10_000, 5),
  neta1001(34.5, 100_000, 5),
  neta1001(46, 100_000, 5),
];

/** Bands of insulation resistance at 5 kV in a Japanese high-voltage code. */
export const japaneseBands = {
  goodFromMohm: 5000,
  attentionFromMohm: 500,
  source: {
    document: 'Japanese high-voltage code',
    edition: '',
    table: 'insulation resistance at 5 kV',
    mark: 'quoted',
  } satisfies Source,
} as const;

export const japaneseBand = (resistanceMohm: number): 'good' | 'attention' | 'defective' =>
  resistanceMohm >= japaneseBands.goodFromMohm
    ? 'good'
    : resistanceMohm >= japaneseBands.attentionFromMohm
      ? 'attention'
      : 'defective';

/** kV over µA is GΩ; insulation resistance in MΩ. */
export const resistanceMohm = (voltageKv: number, leakageUa: number): number => (1000 * voltageKv) / leakageUa;

/** Specific leakage as measured: µA over kV and km, nS/km. No temperature correction. */
export const specificLeakageNsPerKm = (leakageUa: number, voltageKv: number, lengthKm: number): number =>
  leakageUa / voltageKv / lengthKm;

import type { Source } from './source.ts';

const appendixB: Source = {
  document: 'ANSI/NETA MTS',
  edition: '2007',
  table: 'Appendix B, frequency of maintenance tests (a guide only)',
  mark: 'read',
};

/** Months between maintenance of medium- and high-voltage cable before the factor. */
export const cableMaintenanceMonths = {
  visual: 2,
  visualAndMechanical: 12,
  visualMechanicalAndElectrical: 36,
  source: appendixB,
} as const;

export const reliabilityNeeds = ['low', 'medium', 'high'] as const;
export type ReliabilityNeed = (typeof reliabilityNeeds)[number];
export const conditions = ['poor', 'average', 'good'] as const;
export type Condition = (typeof conditions)[number];

/** Factor on the interval: how much the owner needs the cable × how it is. */
export const intervalFactor: Readonly<Record<ReliabilityNeed, Readonly<Record<Condition, number>>>> = {
  low: { poor: 1, average: 2, good: 2.5 },
  medium: { poor: 0.5, average: 1, good: 1.5 },
  high: { poor: 0.25, average: 0.5, good: 0.75 },
};

/** Months until the next electrical test by the guide. High need and poor condition: 9. */
export const electricalIntervalMonths = (need: ReliabilityNeed, condition: Condition): number =>
  cableMaintenanceMonths.visualMechanicalAndElectrical * intervalFactor[need][condition];

/** Other published intervals that an owner may take up. */
export const otherIntervals: readonly { readonly work: string; readonly months: number; readonly source: Source }[] = [
  {
    work: 'dielectric loss measurement',
    months: 60,
    source: { document: 'Reclamation FIST 4-1B', edition: '', table: 'cable maintenance', mark: 'read' },
  },
  {
    work: 'infrared scan',
    months: 12,
    source: { document: 'Reclamation FIST 4-1B', edition: '', table: 'cable maintenance', mark: 'read' },
  },
  {
    work: 'instrument calibration',
    months: 12,
    source: { document: 'field practice', edition: '', table: '', mark: 'from memory, unverified' },
  },
];

/** How long records are kept unless the owner says otherwise: asset life and two test cycles. A suggestion of ours. */
export const recordRetention = {
  cyclesBeyondAssetLife: 2,
  source: {
    document: 'our suggestion, after the pattern of NERC PRC-005-2 (which covers protection systems, not cable)',
    edition: '',
    table: 'records over two maintenance cycles',
    mark: 'read',
  } satisfies Source,
} as const;

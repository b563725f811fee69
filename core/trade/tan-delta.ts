import type { Source } from './source.ts';

const limitsSource: Source = {
  document: 'IEEE 400.2',
  edition: '2013 (superseded by 2024)',
  table: 'tan delta limits',
  mark: 'from memory, unverified',
};

/** The three classes by name. */
export const tanDeltaClasses = {
  names: ['no action required', 'further study advised', 'action required'],
  source: { document: 'IEEE 400.2', edition: '2013', table: 'classes', mark: 'quoted' } satisfies Source,
} as const;

export interface TanDeltaLimits {
  readonly insulation: 'PE-based' | 'filled EPR' | 'PILC';
  /** All in thousandths: below the first no action, above the second action. */
  readonly deviationAtU0: readonly [number, number];
  /** Tan delta at 1.5 U0 less at 0.5 U0. PILC has limits below zero too, which could not be recalled. */
  readonly tipUp: readonly [number, number];
  readonly meanAtU0: readonly [number, number];
  readonly source: Source;
}

/** Editable defaults, to be checked against the edition in force. */
export const tanDeltaLimits: readonly TanDeltaLimits[] = [
  { insulation: 'PE-based', deviationAtU0: [0.1, 0.5], tipUp: [5, 80], meanAtU0: [4, 50], source: limitsSource },
  { insulation: 'filled EPR', deviationAtU0: [0.1, 1.3], tipUp: [5, 100], meanAtU0: [35, 120], source: limitsSource },
  { insulation: 'PILC', deviationAtU0: [0.1, 0.4], tipUp: [10, 100], meanAtU0: [85, 200], source: limitsSource },
];

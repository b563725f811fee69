import type { Source } from './source.ts';

const ufgsStep: Source = {
  document: 'UFGS 16302N (US Government guide specification)',
  edition: 'older edition',
  table: 'page 41, DC step test',
  mark: 'read',
};

/** Rules of a step-voltage test. */
export const stepTestRules = {
  minimumSteps: 5,
  readAtFullVoltageS: [30, 60],
  says: [
    'At least five equal increments; no step larger than the rated voltage of the cable.',
    'Read the current after the same settling time at every step.',
    'At full voltage read at 30 s, at 1 min, and each minute after.',
    'Plot current against voltage; lower to zero; record the residual voltage at intervals; earth until drained.',
    'Shields and the other conductors are earthed; each section is tested alone.',
    'The instrument must leave out its own leakage; respect the limit of the terminations.',
  ],
  source: ufgsStep,
} as const;

/** Equal steps for a target voltage, kV: at least five, none above the rated voltage. */
export const stepVoltagesKv = (targetKv: number, ratedKv: number): readonly number[] => {
  const steps = Math.max(stepTestRules.minimumSteps, Math.ceil(targetKv / ratedKv));
  return Array.from({ length: steps }, (_, i) => (targetKv * (i + 1)) / steps);
};

/** Where it stands that healthy insulation gives a straight line of current against voltage, and damage does not. */
export const nonlinearitySource: Source = {
  document: 'Encyclopedia Magnetica',
  edition: '',
  table: 'insulation resistance',
  mark: 'read',
};

/** A fall of resistance of more than this share between steps whose voltages are 1:5 is suspect. */
export const tipUpRule = {
  resistanceFallShare: 0.25,
  voltageRatio: 5,
  source: {
    document: 'field practice',
    edition: '',
    table: 'step test',
    mark: 'from memory, unverified',
  } satisfies Source,
} as const;

/** Largest over smallest of the three phases at which a crew looks again. A setting of the owner. */
export const phaseAsymmetryReview = {
  ratio: 3,
  source: {
    document: 'field practice',
    edition: '',
    table: 'phase comparison',
    mark: 'from memory, unverified',
  } satisfies Source,
} as const;

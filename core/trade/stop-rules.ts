import { capacitanceDoubtShare } from './geometry.ts';
import type { Source } from './source.ts';
import { nonlinearityNote, phaseAsymmetryReview } from './step-test.ts';

export interface StopRule {
  readonly id: 'rising' | 'out of proportion' | 'phases apart' | 'above limit' | 'capacitance';
  /** Stop: bring the voltage down. Look again: finish, and do not accept before it is explained. */
  readonly act: 'stop' | 'look again';
  readonly says: string;
  readonly source: Source;
}

/** What a crew watches for while the voltage is on. The operator in charge may always stop for less. */
export const stopRules: readonly StopRule[] = [
  {
    id: 'rising',
    act: 'stop',
    says: 'The current rises while the voltage is constant. This outranks a pass on voltage.',
    source: {
      document: 'index of current at 1 min over 10 min below 1',
      edition: '',
      table: 'absorption in terms of current',
      mark: 'from memory, unverified',
    },
  },
  {
    id: 'out of proportion',
    act: 'stop',
    says: 'The current grows out of proportion to the voltage from step to step, more than on the other phases.',
    source: nonlinearityNote.source,
  },
  {
    id: 'phases apart',
    act: 'look again',
    says: `The highest of the phases leaks more than ${phaseAsymmetryReview.ratio} times the lowest.`,
    source: phaseAsymmetryReview.source,
  },
  {
    id: 'above limit',
    act: 'look again',
    says: "The specific leakage at 20 °C is above the owner's limit.",
    source: {
      document: "the owner's policy",
      edition: '',
      table: 'limit of specific leakage',
      mark: 'common practice, no source',
    },
  },
  {
    id: 'capacitance',
    act: 'look again',
    says: `The charging current and the cable's dimensions disagree by more than ${capacitanceDoubtShare * 100} %: wrong segment, wrong length or an open end.`,
    source: { document: 'I = C·dV/dt', edition: '', table: 'charging current', mark: 'computed' },
  },
];

/** What is ticked before the voltage goes on. */
export const readinessChecks: readonly { readonly says: string; readonly source: Source }[] = [
  {
    says: 'Instrument serial noted; its calibration is not past the due date.',
    source: { document: 'DOE-HDBK-1092', edition: '', table: 'page 42, calibration records', mark: 'read' },
  },
  {
    says: 'Cable temperature, ambient temperature, humidity and weather noted.',
    source: { document: 'IEEE 400', edition: '2012', table: '5.1', mark: 'quoted' },
  },
  {
    says: 'Terminations clean and dry, or guarded; the instrument leaves out its own leakage.',
    source: { document: 'UFGS 16302N', edition: 'older edition', table: 'page 41', mark: 'read' },
  },
  {
    says: 'Cable disconnected from everything else at both ends; other phases and shields earthed.',
    source: { document: 'TM 5-684', edition: '', table: 'section 5-26', mark: 'read' },
  },
  {
    says: 'New cable is tested before it is spliced into existing cable.',
    source: { document: 'UFGS 16302N', edition: 'older edition', table: 'page 40', mark: 'read' },
  },
];

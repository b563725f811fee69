import type { Source } from './source.ts';

export interface Caution {
  readonly says: string;
  readonly source: Source;
}

const osha = (table: string, mark: Source['mark'] = 'read'): Source => ({
  document: '29 CFR 1926 and 1910 (US occupational safety rules)',
  edition: 'texts in force and older',
  table,
  mark,
});
const reclamation: Source = { document: 'Reclamation FIST 4-1B', edition: '', table: 'page 13', mark: 'read' };
const ieee400memory: Source = {
  document: 'IEEE 400',
  edition: '2001 and 2012',
  table: '',
  mark: 'from memory, unverified',
};

/** Before anyone connects a test set. In our own words. */
export const beforeTestCautions: readonly Caution[] = [
  {
    says: 'Isolate the cable at all ends, lock and tag. Prove it dead with a proved tester before earthing. Treat it as live until it is earthed.',
    source: osha('1926.963(b), 1910.269(o)'),
  },
  {
    says: 'Put the earth end on first, then the conductor end with an insulated tool. Remove in the reverse order.',
    source: osha('1926.954, older text'),
  },
  {
    says: 'Disconnect transformers, arresters, voltage transformers and switchgear. Keep clearance at open ends. Earth the other phases and the shields.',
    source: { document: 'TM 5-684', edition: '', table: 'section 5-26', mark: 'read' },
  },
  {
    says: 'Barriers or tape at about waist height with signs at every exposed end; an attendant in contact at the far end; a marked emergency disconnect of the test supply; protective equipment.',
    source: osha('1926.963(c)'),
  },
  {
    says: 'Before each series of tests the operator in charge checks barriers, disconnects, visible earths and protective equipment.',
    source: osha('1926.963(f)'),
  },
];

/** After the voltage is off. */
export const afterTestCautions: readonly Caution[] = [
  {
    says: 'Bring the voltage to zero, bleed through a resistor, earth solidly for at least four times the time the voltage was on, and check again for returned voltage before touching or re-energising.',
    source: { document: 'IEEE 43', edition: '', table: 'discharge after a DC test', mark: 'quoted' },
  },
];

/** Stands at the foot of every sheet that a person could act on. */
export const notASwitchingOrder =
  'This sheet supports planning and records. It is not a switching order, permit or safety rule. Local law, utility safety rules, the equipment maker and licensed, qualified persons decide whether and how a test is done; where they differ, follow them.';

/** Stands on every forecast. */
export const noTestPredictsFailure: Caution = {
  says: 'No field test predicts exactly when a cable will fail.',
  source: { document: 'IEEE 400', edition: '2012', table: '5.1', mark: 'quoted' },
};

/** Why DC is not advised on extruded insulation that has been in service. */
export const agedExtrudedCautions: readonly Caution[] = [
  {
    says: 'DC tests of cross-linked polyethylene after its first five years of service are held to be harmful; periodic DC tests of it are not recommended.',
    source: reclamation,
  },
  {
    says: 'A DC test of wet, service-aged extruded insulation may bring about a failure after the cable has gone back into service.',
    source: ieee400memory,
  },
  {
    says: 'DC will not reveal the ageing of extruded insulation and may hasten its failure.',
    source: {
      document: "a cable maker's sheet citing EPRI TR-101245",
      edition: '2010',
      table: 'note on DC tests',
      mark: 'quoted',
    },
  },
];

/** Even where a table gives a DC voltage for young extruded cable. */
export const youngExtrudedCaution: Caution = {
  says: 'A DC test finds gross faults of installation only. It says little about the condition of extruded insulation, and the allowance ends with the fifth year of service.',
  source: {
    document: "a cable maker's sheet citing EPRI TR-101245",
    edition: '2010',
    table: 'note on DC tests',
    mark: 'quoted',
  },
};

/** EPR is the exception that some makers allow. */
export const eprMakerNote: Caution = {
  says: 'Some makers of EPR cable give DC maintenance voltages for aged cable. Only the maker of this cable can say so.',
  source: { document: 'trade press', edition: '2013', table: '', mark: 'read' },
};

export const negativePolarityCaution: Caution = {
  says: 'Use negative polarity.',
  source: { document: 'Reclamation FIST 3-1', edition: '1991', table: 'section 46', mark: 'read' },
};

export const terminationLimitCaution: Caution = {
  says: 'The lowest limit in the circuit governs: terminations, splices and anything that stays connected may allow less than the cable.',
  source: { document: 'UFGS 16302N', edition: 'older edition', table: 'page 41', mark: 'read' },
};

/** Where the jacket is not on record. */
export const jacketCaution: Caution = {
  says: 'Where the jacket is not metallic the table gives 10 % less.',
  source: { document: 'UFGS 16302N', edition: 'older edition', table: 'page 41', mark: 'read' },
};

export const hybridCircuitCaution: Caution = {
  says: 'Where paper-lead cable is joined to extruded cable, the extruded part governs.',
  source: { document: 'field practice', edition: '', table: '', mark: 'common practice, no source' },
};

export const paperMaintenanceCaution: Caution = {
  says: 'For paper-lead cable in service this voltage is a ceiling by older practice, not a target. IEEE 400.1 governs laminated cable; the voltage of earlier tests on this segment keeps readings comparable.',
  source: { document: 'IEEE 400.1', edition: '2018', table: 'scope, in the abstract', mark: 'read' },
};

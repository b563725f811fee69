import type { Source } from './source.ts';

const iso17025: Source = { document: 'ISO/IEC 17025', edition: '2017', table: '7.8.2.1', mark: 'quoted' };
const ufgs: Source = { document: 'UFGS 16302N', edition: 'older edition', table: 'pages 40–41', mark: 'read' };
const ieee400: Source = { document: 'IEEE 400', edition: '2012', table: '5.1', mark: 'quoted' };
const neta: Source = { document: 'ANSI/NETA MTS', edition: '', table: 'test records', mark: 'from memory, unverified' };
const decision: Source = { document: 'ISO/IEC 17025', edition: '2017', table: '7.8.6, decision rule', mark: 'quoted' };
const handbook: Source = {
  document: 'DOE-HDBK-1092',
  edition: '',
  table: 'page 42, calibration records',
  mark: 'read',
};

export interface RecordField {
  readonly group: 'identity' | 'reason' | 'conditions' | 'instrument' | 'readings' | 'results' | 'calibration';
  readonly field: string;
  readonly source: Source;
}

const fields = (group: RecordField['group'], source: Source, ...names: string[]): RecordField[] =>
  names.map((field) => ({ group, field, source }));

/** What a complete record of a field test holds, and who asks for it. */
export const recordFields: readonly RecordField[] = [
  ...fields('identity', iso17025, 'report number and title', 'client', 'laboratory or crew', 'site', 'asset id'),
  ...fields(
    'identity',
    ieee400,
    'from and to',
    'phase',
    'class',
    'insulation level',
    'U0/U',
    'insulation',
    'conductor size and material',
  ),
  ...fields(
    'identity',
    ieee400,
    'diameters over and under the insulation',
    'length',
    'splices and terminations with type and year',
    'year installed',
    'shield',
  ),
  ...fields('reason', neta, 'acceptance, first five years, maintenance or after repair', 'last test'),
  ...fields('reason', iso17025, 'method with edition', 'deviations from the method'),
  ...fields('reason', neta, 'outage or permit number'),
  ...fields('conditions', iso17025, 'date of test', 'date of issue'),
  ...fields(
    'conditions',
    ieee400,
    'cable temperature and how it was obtained',
    'ambient temperature',
    'relative humidity',
    'weather',
  ),
  ...fields('conditions', ufgs, 'terminations cleaned or guarded'),
  ...fields(
    'instrument',
    iso17025,
    'make, model, serial',
    'calibration date',
    'calibration due date',
    'certificate number',
  ),
  ...fields('instrument', ufgs, 'ranges and resolution', 'polarity'),
  ...fields(
    'readings',
    ufgs,
    'planned voltage',
    'step voltages',
    'time in seconds',
    'current with unit and qualifier',
    'trip setting',
  ),
  ...fields('readings', ufgs, 'breakdown voltage and time', 'residual voltage readings', 'earth on and off times'),
  ...fields('results', decision, 'verdict with the decision rule used'),
  ...fields(
    'results',
    iso17025,
    'corrected value with the rule used',
    'statement that it relates only to the item tested',
  ),
  ...fields('results', iso17025, 'remarks', 'tester', 'reviewer', 'authoriser'),
  ...fields('calibration', handbook, 'inspection dates by serial', 'as-received data', 'recall date', 'repairs'),
];

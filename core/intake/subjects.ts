import { type Column, type Subject, type SubjectName, subject } from './column.ts';

/**
 * What a fleet folder holds: one file a subject, one line a column. Import, export, the data package and the docs all
 * follow from this table. `stored` names the column of the fleet file that keeps the value as it is.
 */

const phaseSets = ['A', 'B', 'C', 'AB', 'AC', 'BC', 'ABC'] as const;
const families = ['PILC', 'HMWPE', 'XLPE', 'TR-XLPE', 'EPR', 'PVC', 'other'] as const;

const id = (name: string, says: string): Column => ({ name, kind: 'id', needed: true, says, stored: 'owner_id' });
const ref = (name: string, refersTo: SubjectName, says: string, more: Partial<Column> = {}): Column => ({
  name,
  kind: 'ref',
  refersTo,
  needed: true,
  says,
  stored: name,
  ...more,
});
const col = (name: string, kind: Column['kind'], says: string, more: Partial<Column> = {}): Column => ({
  name,
  kind,
  says,
  stored: name,
  ...more,
});
const from = { name: 'installed_on', until: 'removed_on' };
const needed = true;

export const substations = subject('substations', 'substation', 'Substations', [
  id('substation_id', "the owner's id of the substation"),
  col('name', 'text', 'its name', { needed }),
  col('region', 'text', 'part of the territory'),
]);

export const feeders = subject('feeders', 'feeder', 'Feeders', [
  id('feeder_id', "the owner's id of the feeder"),
  ref('substation_id', 'substations', 'the substation it leaves from'),
  col('name', 'text', 'its name', { needed }),
  col('nominal_kv', 'number', 'nominal voltage, phase to phase', { unit: 'kV', above: 0 }),
  col('customers', 'whole', 'customers served', { atLeast: 0 }),
  col('peak_load_kva', 'number', 'highest load', { unit: 'kVA', atLeast: 0 }),
]);

export const segments = subject(
  'segments',
  'segment',
  'Cable segments',
  [
    id('segment_id', "the owner's id of the segment"),
    ref('feeder_id', 'feeders', 'the feeder it belongs to'),
    col('name', 'text', 'its name', { needed }),
    col('from_point', 'text', 'where it begins'),
    col('to_point', 'text', 'where it ends'),
    col('length', 'number', 'its length in length_unit', { needed, above: 0, atMost: 1e6, stored: 'length_typed' }),
    col('length_unit', 'choice', 'unit of length', {
      needed,
      values: ['m', 'km', 'ft', 'kft', 'mi'],
      stored: 'length_typed_unit',
    }),
    col('rated_kv', 'number', 'rated voltage, phase to phase', { unit: 'kV', above: 0 }),
    col('insulation_level_pct', 'whole', 'insulation level', { unit: '%', values: ['100', '133', '173'] }),
    col('insulation', 'choice', 'insulation family', { needed, values: families }),
    col('conductor_material', 'choice', 'conductor', { values: ['Cu', 'Al'] }),
    col('conductor_area_mm2', 'number', 'conductor area', { unit: 'mm²', above: 0 }),
    col('conductor_diameter_mm', 'number', 'diameter under the insulation', { unit: 'mm', above: 0 }),
    col('insulation_thickness_mm', 'number', 'insulation thickness', { unit: 'mm', above: 0 }),
    col('phases', 'choice', 'phases it carries', { needed, values: phaseSets }),
    col('installation', 'choice', 'how it lies', { values: ['duct', 'direct_buried', 'tray', 'submarine'] }),
    col('energised_on', 'day', 'first day in service'),
    col('retired_on', 'day', 'last day in service'),
    ref('replaces_segment_id', 'segments', 'the segment it took the place of', {
      needed: false,
      stored: 'replaces_id',
    }),
    col('customers', 'whole', 'customers served', { atLeast: 0 }),
    col('alternate_supply', 'flag', 'whether the load can be fed another way', { words: ['yes', 'no'] }),
    col('critical_load', 'flag', 'whether it feeds a load that must not fail', { words: ['yes', 'no'] }),
  ],
  { spans: [{ name: 'energised_on', until: 'retired_on' }] },
);

export const splices = subject(
  'splices',
  'splice',
  'Splices',
  [
    id('splice_id', "the owner's id of the splice"),
    ref('segment_id', 'segments', 'the segment it is in'),
    col('phase', 'choice', 'phases it joins', { values: phaseSets }),
    col('position_m', 'number', "distance from the segment's beginning", { unit: 'm', atLeast: 0 }),
    col('kind', 'choice', 'kind of splice', {
      values: ['taped', 'heat_shrink', 'cold_shrink', 'premoulded', 'transition'],
    }),
    col('installed_on', 'day', 'day it was made'),
    col('removed_on', 'day', 'day it was taken out'),
  ],
  { spans: [from] },
);

export const terminations = subject(
  'terminations',
  'termination',
  'Terminations',
  [
    id('termination_id', "the owner's id of the termination"),
    ref('segment_id', 'segments', 'the segment it ends'),
    col('end', 'choice', "which end of the segment: 'from' or 'to'", {
      needed,
      values: ['from', 'to'],
      stored: 'segment_end',
    }),
    col('phase', 'choice', 'phases it ends', { values: phaseSets }),
    col('kind', 'text', 'kind of termination'),
    col('installed_on', 'day', 'day it was made'),
    col('removed_on', 'day', 'day it was taken off'),
  ],
  { spans: [from] },
);

export const interventions = subject('interventions', 'intervention', 'Interventions', [
  id('intervention_id', "the owner's id of the intervention"),
  ref('segment_id', 'segments', 'the segment it was done to'),
  col('done_on', 'day', 'day it was done', { needed }),
  col('kind', 'choice', 'what was done', {
    needed,
    values: ['section_replaced', 'splice_added', 'splice_renewed', 'fluid_injected', 'termination_remade'],
  }),
  col('note', 'text', 'note'),
]);

export const failures = subject('failures', 'failure', 'Failures', [
  id('failure_id', "the owner's id of the failure"),
  ref('segment_id', 'segments', 'the segment that failed'),
  col('failed_on', 'day', 'day it failed', { needed }),
  col('phase', 'choice', 'phases that failed', { values: phaseSets }),
  col('part', 'choice', 'part that failed', { values: ['cable', 'splice', 'termination'] }),
  col('cause', 'text', 'cause'),
  col('customers_interrupted', 'whole', 'customers interrupted', { atLeast: 0 }),
  col('duration_min', 'number', 'minutes until supply was back', { unit: 'min', atLeast: 0 }),
]);

export const instruments = subject('instruments', 'instrument', 'Test instruments', [
  id('instrument_id', "the owner's id of the instrument"),
  col('serial', 'text', 'serial number'),
  col('description', 'text', 'what it is'),
]);

export const calibrations = subject(
  'calibrations',
  'calibration',
  'Calibrations of the instruments',
  [
    id('calibration_id', "the owner's id of the calibration"),
    ref('instrument_id', 'instruments', 'the instrument'),
    col('calibrated_on', 'day', 'day of the calibration', { needed }),
    col('due_on', 'day', 'day the next one is due'),
    col('certificate', 'text', 'number of the certificate'),
  ],
  { spans: [{ name: 'calibrated_on', until: 'due_on' }] },
);

/** A row is a reading: one phase of one test at one voltage. Rows of one test_id agree in segment, day, method, purpose. */
export const tests = subject('tests', 'test_event', 'Test readings, one row a reading', [
  { ...id('test_id', "the owner's id of the test; all its readings carry it"), repeats: true },
  ref('segment_id', 'segments', 'the segment tested'),
  col('tested_on', 'day', 'day of the test', { needed }),
  col('phase', 'choice', 'phase tested', { needed, values: ['A', 'B', 'C'] }),
  col('method', 'choice', 'how it was tested', {
    needed,
    values: ['dc_withstand', 'dc_step', 'insulation_resistance'],
  }),
  col('purpose', 'choice', 'why it was tested', { values: ['acceptance', 'maintenance', 'after_repair'] }),
  col('voltage_kv', 'number', 'test voltage, DC', { needed, unit: 'kV', above: 0, atMost: 2000 }),
  col('dwell_min', 'number', 'minutes at that voltage before the reading', { unit: 'min', above: 0 }),
  col('leakage', 'number', "leakage at the end of the dwell, in leakage_unit; the instrument's floor if below_floor", {
    needed,
    above: 0,
    atMost: 1e9,
    stored: 'leakage_typed',
  }),
  col('leakage_unit', 'choice', 'unit of leakage', {
    needed,
    values: ['nA', 'uA', 'mA'],
    alike: { µA: 'uA', μA: 'uA' },
    stored: 'leakage_typed_unit',
  }),
  col('below_floor', 'flag', 'true: the leakage is somewhere under the value given', { words: ['true', 'false'] }),
  col('insulation_temp_c', 'number', 'temperature of the insulation', { unit: '°C', atLeast: -60, atMost: 150 }),
  col('ambient_temp_c', 'number', 'temperature of the air', { unit: '°C', atLeast: -60, atMost: 70 }),
  col('humidity_pct', 'number', 'relative humidity of the air', { unit: '%', atLeast: 0, atMost: 100 }),
  col('outcome', 'choice', 'how it ended', { values: ['withstood', 'breakdown', 'stopped'] }),
  ref('instrument_id', 'instruments', 'the instrument used', { needed: false }),
  col('crew', 'text', 'who tested'),
  col('note', 'text', 'note'),
]);

export const limits = subject('limits', 'leakage_limit', "The owner's limits of specific leakage at 20 °C", [
  { ...col('insulation', 'choice', 'insulation family', { needed, values: families }), key: true },
  col('limit_ns_per_km', 'number', 'leakage above which a segment is not kept in service', {
    needed,
    unit: 'nS/km',
    above: 0,
  }),
]);

/** All subjects, each after those it refers to. */
export const subjects: readonly Subject[] = [
  substations,
  feeders,
  segments,
  splices,
  terminations,
  interventions,
  failures,
  instruments,
  calibrations,
  tests,
  limits,
];

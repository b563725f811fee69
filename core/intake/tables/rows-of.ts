import { parseConductorSize } from '../../trade/units.ts';
import type { Subject } from '../column.ts';
import { failures, feeders, segments, splices, substations } from '../subjects.ts';
import { choiceOf, isEmpty, quantityOf } from './cells.ts';
import { fieldFor } from './fields.ts';
import { freeIds, ownNames, type Read, reader } from './reader.ts';
import type { Known, OwnerTable, SubjectRows, TableLayout } from './shapes.ts';
import { testRows } from './test-rows.ts';

/** An owner's table as files of a fleet folder: one subject, and for segments the feeders and substations they name. */
export function rowsOf(table: OwnerTable, layout: TableLayout, known: Known): readonly SubjectRows[] {
  if (layout.subject === 'tests') return [testRows(table, layout, known)];
  const read = reader(layout);
  if (layout.subject === 'segments') return segmentRows(table, layout, read, known);
  const subject = layout.subject === 'splices' ? splices : failures;
  const idName = layout.subject === 'splices' ? 'splice_id' : 'failure_id';
  const dayName = layout.subject === 'splices' ? 'position_m' : 'failed_on';
  const free = freeIds();
  const header = headerOf(subject, layout, [idName, 'segment_id']);
  const rows = table.rows.map((row) => {
    const cells = new Map<string, string>();
    for (const name of header) cells.set(name, read(row.cells, name));
    const said = cells.get('segment_id')!;
    cells.set('segment_id', known.segment(said) ?? said);
    const stem = `${cells.get('segment_id')}/${subject === splices ? `splice ${cells.get(dayName) || read(row.cells, 'installed_on') || '?'}` : cells.get(dayName)}`;
    if (cells.get(idName) === '') cells.set(idName, free(stem));
    return { line: row.line, cells: header.map((name) => cells.get(name)!) };
  });
  return [{ subject, header, rows, ownNames: ownNames(layout) }];
}

/** Columns of the subject that the table says something of. */
const headerOf = (subject: Subject, layout: TableLayout, always: readonly string[]): string[] =>
  subject.columns
    .map((column) => column.name)
    .filter(
      (name) =>
        always.includes(name) ||
        layout.columns.some((column) => column.field === name) ||
        (layout.fixed[name] ?? '') !== '',
    );

function segmentRows(table: OwnerTable, layout: TableLayout, read: Read, known: Known): readonly SubjectRows[] {
  const lengthAt = layout.columns.findIndex((column) => column.field === 'length');
  const conductorAt = layout.columns.findIndex((column) => column.field === 'conductor');
  const units = fieldFor('segments', 'length')!.units!;
  const header = headerOf(segments, layout, [
    'segment_id',
    'feeder_id',
    'name',
    'length',
    'length_unit',
    'insulation',
    'phases',
  ]);
  if (conductorAt >= 0)
    for (const name of ['conductor_area_mm2', 'conductor_material']) if (!header.includes(name)) header.push(name);
  const newFeeders = new Map<string, { line: number; cells: string[] }>();
  const newStations = new Map<string, { line: number; cells: string[] }>();
  const rows = table.rows.map(({ line, cells }) => {
    const out = new Map(header.map((name): [string, string] => [name, read(cells, name)]));
    const length = quantityOf(cells[lengthAt] ?? '', layout.decimal, units);
    out.set('length', length === null ? (cells[lengthAt] ?? '') : String(length.value));
    out.set('length_unit', length?.unit ?? layout.columns[lengthAt]?.unit ?? '');
    const name = out.get('name') || [read(cells, 'from_point'), read(cells, 'to_point')].filter(Boolean).join(' to ');
    if (out.get('segment_id') === '') out.set('segment_id', name);
    out.set('name', name || out.get('segment_id')!);
    if (out.get('phases') === '') out.set('phases', 'ABC');
    if (conductorAt >= 0) putConductor(out, cells[conductorAt] ?? '', layout.columns[conductorAt]!.unit);
    out.set('feeder_id', feederOf(out.get('feeder_id')!, read(cells, 'substation_id'), line));
    return { line, cells: header.map((each) => out.get(each)!) };
  });
  const own = ownNames(layout);
  return [
    { subject: substations, header: ['substation_id', 'name'], rows: [...newStations.values()], ownNames: own },
    { subject: feeders, header: ['feeder_id', 'substation_id', 'name'], rows: [...newFeeders.values()], ownNames: own },
    { subject: segments, header, rows, ownNames: own },
  ];

  /** A feeder that the fleet does not have yet is made, under the substation that the row names. */
  function feederOf(said: string, station: string, line: number): string {
    const id = known.feeder(said);
    if (id !== null || said === '') return id ?? '';
    if (!newFeeders.has(said)) {
      const name = station === '' ? 'Substation not recorded' : station;
      const stationId = known.substation(name);
      if (stationId === null) newStations.set(name, { line, cells: [name, name] });
      newFeeders.set(said, { line, cells: [said, stationId ?? name, said] });
    }
    return said;
  }
}

/** '500 kcmil Al', '4/0', '240': area in mm² and material, each where the cell says it. */
function putConductor(out: Map<string, string>, cell: string, unit: string | null): void {
  const material = /\b(?:Cu|copper)\b/i.test(cell) ? 'Cu' : /\b(?:Al|alu\w*)\b/i.test(cell) ? 'Al' : null;
  const size = cell.replace(/\b(?:Cu|copper|Al|alu\w*|aluminum|aluminium)\b/gi, '').trim();
  const bare = /^#?\d+(?:[./]\d+)?$/.test(size);
  const words = bare && unit !== null && !size.includes('/') ? `${size} ${unit}` : size;
  const mm2 = isEmpty(size) ? null : parseConductorSize(words);
  if (mm2 !== null) out.set('conductor_area_mm2', String(Number(mm2.toPrecision(6))));
  const field = fieldFor('segments', 'conductor_material')!;
  if (material !== null && (out.get('conductor_material') ?? '') === '') out.set('conductor_material', material);
  else if (out.get('conductor_material'))
    out.set('conductor_material', choiceOf(field, out.get('conductor_material')!) ?? '');
}

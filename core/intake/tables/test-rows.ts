import { tests } from '../subjects.ts';
import { isEmpty, quantityOf } from './cells.ts';
import { fieldFor } from './fields.ts';
import { freeIds, ownNames, reader } from './reader.ts';
import type { Known, OwnerTable, SubjectRows, TableColumn, TableLayout } from './shapes.ts';
import { leakageUaOf } from './units.ts';

const header = tests.columns.map((column) => column.name);

interface Measured {
  readonly column: TableColumn;
  readonly value: number;
  readonly unit: string;
  readonly under: boolean;
  readonly cell: string;
}

interface Reading {
  readonly line: number;
  readonly cells: Map<string, string>;
}

/**
 * A table of tests as a row a reading: columns of phases and minutes are unfolded. Of readings at several minutes the
 * last one counts; the earlier ones stand in the note. Resistance becomes leakage by Ohm's law.
 */
export function testRows(table: OwnerTable, layout: TableLayout, known: Known): SubjectRows {
  const read = reader(layout);
  const measures = layout.columns.flatMap((column, at) =>
    column.field === 'leakage' || column.field === 'resistance' ? [{ column, at }] : [],
  );
  const readings: Reading[] = [];
  // Cells of a merged block stand only in its first row.
  const above = new Map<string, string>();
  const filled = (cells: readonly string[], name: string): string => {
    const own = read(cells, name);
    if (own !== '') above.set(name, own);
    return own || (above.get(name) ?? '');
  };
  for (const { line, cells } of table.rows) {
    const own = filled(cells, 'segment_id');
    const segment = known.segment(own) ?? own;
    const testedOn = filled(cells, 'tested_on');
    const found = measures.flatMap(({ column, at }): Measured[] => {
      const cell = cells[at] ?? '';
      if (isEmpty(cell)) return [];
      const units = fieldFor('tests', column.field)!.units!;
      const quantity = quantityOf(cell, layout.decimal, units);
      if (quantity === null) return [{ column, value: Number.NaN, unit: column.unit ?? '', under: false, cell }];
      return [{ column, value: quantity.value, unit: quantity.unit ?? column.unit ?? '', under: quantity.under, cell }];
    });
    for (const phase of phasesIn(found, read(cells, 'phase'))) {
      const ofPhase = found.filter(({ column }) => (column.phase ?? phase) === phase);
      const reading = new Map(header.map((name): [string, string] => [name, read(cells, name)]));
      reading.set('segment_id', segment);
      reading.set('tested_on', testedOn);
      reading.set('phase', phase);
      putMeasured(reading, ofPhase);
      if (reading.get('method') === '') reading.set('method', layout.fixed.method ?? 'dc_withstand');
      putInstrument(reading, known);
      readings.push({ line, cells: reading });
    }
  }
  nameTests(readings);
  // Readings of one test stand together, as their reader takes them.
  const order = new Map<string, number>();
  for (const { cells } of readings) order.set(cells.get('test_id')!, order.size);
  readings.sort((a, b) => order.get(a.cells.get('test_id')!)! - order.get(b.cells.get('test_id')!)!);
  return {
    subject: tests,
    header,
    rows: readings.map(({ line, cells }) => ({ line, cells: header.map((name) => cells.get(name)!) })),
    ownNames: ownNames(layout),
  };
}

/** Phases that a row has readings of. */
function phasesIn(found: readonly Measured[], own: string): string[] {
  const phases = new Set<string>();
  for (const { column } of found) phases.add(column.phase ?? own);
  return [...phases];
}

function putMeasured(reading: Map<string, string>, found: readonly Measured[]): void {
  const leakages = found.filter(({ column }) => column.field === 'leakage');
  const some = leakages.length > 0 ? leakages : found;
  const last = some.reduce((a, b) => ((b.column.atMin ?? -1) >= (a.column.atMin ?? -1) ? b : a));
  if (last.column.atMin !== null) reading.set('dwell_min', String(last.column.atMin));
  const earlier = some.filter((each) => each !== last && each.column.atMin !== null);
  if (earlier.length > 0) {
    const words = earlier.map(
      ({ column, cell }) => `${column.atMin} min ${cell}${column.unit ? ` ${column.unit}` : ''}`,
    );
    const note = reading.get('note')!;
    reading.set('note', `${note === '' ? '' : `${note} · `}read at ${words.join(', ')}`);
  }
  const kv = Number(reading.get('voltage_kv'));
  if (Number.isNaN(last.value)) {
    reading.set('leakage', last.cell);
    reading.set('leakage_unit', last.unit);
  } else if (last.column.field === 'resistance') {
    reading.set('leakage', kv > 0 && last.value > 0 ? String(leakageUaOf(kv, last.value, last.unit)) : last.cell);
    reading.set('leakage_unit', 'uA');
  } else {
    reading.set('leakage', String(last.value));
    reading.set('leakage_unit', last.unit);
  }
  reading.set('below_floor', last.under ? 'true' : 'false');
}

/** An instrument that the fleet does not have is kept in the note: no reading is refused for it. */
function putInstrument(reading: Map<string, string>, known: Known): void {
  const said = reading.get('instrument_id')!;
  if (said === '') return;
  const id = known.instrument(said);
  reading.set('instrument_id', id ?? '');
  if (id !== null) return;
  const note = reading.get('note')!;
  reading.set('note', `${note === '' ? '' : `${note} · `}instrument ${said}`);
}

/**
 * Rows of one segment and day are one test, unless they name their test. Several voltages of a phase make it a step
 * test; a phase that comes again at the same voltage begins another test.
 */
function nameTests(readings: readonly Reading[]): void {
  const free = freeIds();
  const open = new Map<string, { id: string; taken: Set<string> }>();
  for (const { cells } of readings) {
    const named = cells.get('test_id')!;
    if (named !== '') continue;
    const stem = `${cells.get('segment_id')}/${cells.get('tested_on')}`;
    const reading = `${cells.get('phase')} ${cells.get('voltage_kv')}`;
    let test = open.get(stem);
    if (!test || test.taken.has(reading)) {
      test = { id: free(stem), taken: new Set() };
      open.set(stem, test);
    }
    test.taken.add(reading);
    cells.set('test_id', test.id);
  }
  const voltages = new Map<string, Set<string>>();
  for (const { cells } of readings) {
    const key = `${cells.get('test_id')} ${cells.get('phase')}`;
    voltages.set(key, (voltages.get(key) ?? new Set()).add(cells.get('voltage_kv')!));
  }
  const stepped = new Set(
    readings
      .filter(({ cells }) => voltages.get(`${cells.get('test_id')} ${cells.get('phase')}`)!.size > 1)
      .map(({ cells }) => cells.get('test_id')!),
  );
  for (const { cells } of readings) if (stepped.has(cells.get('test_id')!)) cells.set('method', 'dc_step');
}

import { type Fleet, prepared } from './sql.ts';

/** A fleet's records as rows of a fleet folder: arrays in the order of the columns asked for, sorted by the owner's ids. */

export type ExportRow = readonly (string | number | null)[];

/** Where an exported column comes from: the row itself, or the owner's id of the record it refers to. */
export interface ExportColumn {
  readonly stored: string;
  readonly refersTo?: 'substation' | 'feeder' | 'segment' | 'instrument';
}

const joined = (columns: readonly ExportColumn[], of: string) => {
  const selects: string[] = [];
  const joins: string[] = [];
  columns.forEach(({ stored, refersTo }, i) => {
    if (!refersTo) selects.push(`${of}.${stored}`);
    else {
      selects.push(`r${i}.owner_id`);
      joins.push(`left join ${refersTo} r${i} on r${i}.id = ${of}.${stored}`);
    }
  });
  return { selects: selects.join(', '), joins: joins.join(' ') };
};

/** Records of one kind, in the byte order of `key`. */
export function exportRecords(
  fleet: Fleet,
  entity: string,
  columns: readonly ExportColumn[],
  key: string,
): IterableIterator<ExportRow> {
  const { selects, joins } = joined(columns, 't');
  const text = `select ${selects} from ${entity} t ${joins} order by t.${key}`;
  return prepared(fleet, text).raw().iterate() as IterableIterator<ExportRow>;
}

const eventColumns = new Set(['owner_id', 'segment_id', 'tested_on', 'method', 'purpose']);

/** The first and last day of a period, both in it. */
export interface Days {
  readonly from: string;
  readonly to: string;
}

/** Readings of the tests in force, of a period where one is given; in the byte order of the owner's test id, then phase, then step. */
export function exportReadings(
  fleet: Fleet,
  columns: readonly ExportColumn[],
  period?: Days,
): IterableIterator<ExportRow> {
  const selects: string[] = [];
  const joins: string[] = [];
  columns.forEach(({ stored, refersTo }, i) => {
    const table = eventColumns.has(stored) ? 'e' : 'r';
    if (!refersTo) selects.push(`${table}.${stored}`);
    else {
      selects.push(`j${i}.owner_id`);
      joins.push(`left join ${refersTo} j${i} on j${i}.id = ${table}.${stored}`);
    }
  });
  const text = `select ${selects.join(', ')} from test_event e
    cross join reading r on r.test_event_id = e.id ${joins.join(' ')}
    where e.superseded_by_id is null and e.tested_on between ? and ? order by e.owner_id, r.phase, r.step`;
  const { from, to } = period ?? { from: '', to: '~' };
  return prepared(fleet, text).raw().iterate(from, to) as IterableIterator<ExportRow>;
}

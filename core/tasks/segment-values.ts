import type { SegmentField } from '../contract/asks/segment.ts';
import { refuse } from '../contract/problem.ts';
import { cellReader } from '../intake/cell.ts';
import type { Column, Value } from '../intake/column.ts';
import { feeders, segments } from '../intake/subjects.ts';
import { recordByOwnerId } from '../store/import.ts';
import { type RecordOf, recordById } from '../store/records.ts';
import type { Fleet } from '../store/sql.ts';
import type { LengthUnit } from '../trade/units.ts';
import { lengthM } from './folder-writer.ts';

export type SegmentValues = Omit<RecordOf<'segment'>, 'id'>;

/** Why a typed value was not taken, in the words of an import. */
export interface Complaint {
  readonly field: string;
  readonly says: string;
}

const columnOf = new Map(segments.columns.map((column) => [column.name, column]));
const readerOf = new Map(segments.columns.map((column) => [column.name, cellReader(column)]));
const units = columnOf.get('length_unit')!.values!;
const withUnit = /^([-+\d.,' eE]*\d[.]?)\s*([A-Za-z]+)$/;
/** One comma before three digits: a separator to some, a decimal comma to others. */
const thousandsOrDecimals = /^(\d{1,3}),(\d{3})$/;

function read(name: string, text: string, field: string, complaints: Complaint[]): Value | undefined {
  return readerOf.get(name)!(text, (_, __, says) => complaints.push({ field, says }));
}

/** Reads one field as typed, by the rules of segments.csv; undefined after a complaint. */
export function readField(
  fleet: Fleet,
  field: SegmentField | 'segment_id',
  typed: string,
  complaints: Complaint[],
): Partial<SegmentValues> | undefined {
  const text = typed.toWellFormed();
  if (field === 'length') return readLength(text, complaints);
  const column = columnOf.get(field)!;
  const value = read(field, text, field, complaints);
  if (value === undefined) return undefined;
  if (column.kind === 'ref' && value !== null) return readReference(fleet, column, value as string, complaints);
  return { [column.stored]: value };
}

function readLength(text: string, complaints: Complaint[]): Partial<SegmentValues> | undefined {
  const parts = withUnit.exec(text.trim());
  if (!parts) {
    complaints.push({ field: 'length', says: `Write the length with its unit, one of ${units.join(', ')}: 412 m.` });
    return undefined;
  }
  const either = thousandsOrDecimals.exec(parts[1]!);
  if (either) {
    const [, before, after] = either;
    const says = `Write ${before}${after} without a separator, or ${before}.${after} with a decimal point.`;
    complaints.push({ field: 'length', says });
    return undefined;
  }
  const length = read('length', parts[1]!, 'length', complaints);
  const unit = read('length_unit', parts[2]!, 'length', complaints);
  if (length === undefined || unit === undefined) return undefined;
  return {
    length_m: lengthM(length as number, unit as LengthUnit),
    length_typed: length as number,
    length_typed_unit: unit as string,
  };
}

function readReference(
  fleet: Fleet,
  column: Column,
  named: string,
  complaints: Complaint[],
): Partial<SegmentValues> | undefined {
  const entity = column.refersTo === feeders.name ? 'feeder' : 'segment';
  const found = recordByOwnerId(fleet, entity, named);
  if (found) return { [column.stored]: found.id };
  complaints.push({ field: column.name, says: `The fleet has no ${entity} '${named}'. Name one that is there.` });
  return undefined;
}

/** What only shows once fields stand side by side: days in order, no segment in its own line of replacements. */
export function complainOfWhole(
  fleet: Fleet,
  id: string | null,
  row: SegmentValues,
  field: string | null,
  complaints: Complaint[],
): void {
  const { energised_on: from, retired_on: until } = row;
  if (from !== null && until !== null && until < from)
    complaints.push(
      field === 'energised_on'
        ? { field, says: `It lies after retired_on ${until}. Write an earlier day.` }
        : { field: 'retired_on', says: `It lies before energised_on ${from}. Write the later day.` },
    );
  const passed = new Set<string>();
  for (let at = row.replaces_id; at !== null && id !== null && !passed.has(at); ) {
    if (at === id) {
      complaints.push({
        field: 'replaces_segment_id',
        says: 'A segment cannot replace itself, nor one that came after it. Name the one it took the place of.',
      });
      return;
    }
    passed.add(at);
    at = recordById(fleet, 'segment', at)?.replaces_id ?? null;
  }
}

/** Refuses with what was complained of: one field in its own words, several one a line. */
export function refuseComplaints(complaints: readonly Complaint[]): void {
  const [first] = complaints;
  if (!first) return;
  if (complaints.every(({ field }) => field === first.field))
    throw refuse('bad-input', complaints.map(({ says }) => says).join(' '), { where: first.field });
  throw refuse(
    'bad-input',
    `${new Set(complaints.map(({ field }) => field)).size} fields cannot be taken as they are.`,
    {
      where: first.field,
      details: complaints.map(({ field, says }) => `${field}: ${says}`),
    },
  );
}

const blank: Omit<SegmentValues, 'owner_id' | 'feeder_id'> = {
  name: '',
  from_point: null,
  to_point: null,
  length_m: 0,
  length_typed: 0,
  length_typed_unit: '',
  rated_kv: null,
  insulation_level_pct: null,
  insulation: '',
  conductor_material: null,
  conductor_area_mm2: null,
  conductor_diameter_mm: null,
  insulation_thickness_mm: null,
  phases: '',
  installation: null,
  energised_on: null,
  retired_on: null,
  replaces_id: null,
  customers: null,
  alternate_supply: null,
  critical_load: null,
};
/** Asked for even where left out: segments.csv needs them. */
const neededFields = ['name', 'length', 'insulation', 'phases'] as const satisfies readonly SegmentField[];

/** A whole new segment from what was typed, or a refusal that names every field at fault. */
export function newSegment(
  fleet: Fleet,
  feederId: string,
  typed: { readonly ownerId: string; readonly values: Partial<Record<SegmentField, string | undefined>> },
  replacesId: string | null,
): SegmentValues {
  const complaints: Complaint[] = [];
  let row: SegmentValues = { ...blank, owner_id: '', feeder_id: feederId, replaces_id: replacesId };
  const put = (some: Partial<SegmentValues> | undefined): void => {
    if (some) row = { ...row, ...some };
  };
  put(readField(fleet, 'segment_id', typed.ownerId, complaints));
  const taken = row.owner_id === '' ? undefined : recordByOwnerId(fleet, 'segment', row.owner_id);
  if (taken)
    complaints.push({ field: 'segment_id', says: `'${row.owner_id}' is ${taken.name} already. Ids stand once.` });
  const given = { ...Object.fromEntries(neededFields.map((field) => [field, ''])), ...typed.values };
  for (const [field, text] of Object.entries(given))
    put(readField(fleet, field as SegmentField, text ?? '', complaints));
  complainOfWhole(fleet, null, row, null, complaints);
  refuseComplaints(complaints);
  return row;
}

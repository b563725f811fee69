import { failureFields, segmentFields, spliceFields } from './asset-fields.ts';
import type { Field } from './field.ts';
import type { TableSubject } from './shapes.ts';
import { testFields } from './test-fields.ts';

export type { Field } from './field.ts';

export const fieldsOf: Readonly<Record<TableSubject, readonly Field[]>> = {
  segments: segmentFields,
  splices: spliceFields,
  failures: failureFields,
  tests: testFields,
};

export const fieldFor = (subject: TableSubject, name: string | null): Field | undefined =>
  name === null ? undefined : fieldsOf[subject].find((field) => field.field === name);

/** Of each list one field at least must be there, in a column or the same for all rows. */
export const neededOf: Readonly<Record<TableSubject, readonly (readonly string[])[]>> = {
  segments: [['segment_id', 'name'], ['length'], ['insulation'], ['feeder_id']],
  splices: [['segment_id']],
  failures: [['segment_id'], ['failed_on']],
  tests: [['segment_id'], ['tested_on'], ['leakage', 'resistance'], ['voltage_kv']],
};

/** What a title, a sheet's or a file's name says the table is of. */
export const titleSays: Readonly<Record<TableSubject, RegExp>> = {
  segments: /segment|cable|kabel|asset|inventory|section|bestand/i,
  splices: /splice|joint|muffe/i,
  failures: /fail|fault|outage|st[öo]rung|incident/i,
  tests: /test|reading|hi.?pot|leak|megg|pr[üu]f|messung|insulation res/i,
};

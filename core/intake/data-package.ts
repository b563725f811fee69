import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import type { Column, Subject } from './column.ts';
import { subjects } from './subjects.ts';

/** Frictionless Data Package and Table Schema types. */
const typeOf = {
  id: 'string',
  ref: 'string',
  text: 'string',
  number: 'number',
  whole: 'integer',
  choice: 'string',
  day: 'date',
  flag: 'boolean',
} as const;

/** The `datapackage.json` of a fleet folder (Data Package 2.0): which files, which columns, types, units, references. */
export function dataPackageText(utilityName: string): string {
  const document = {
    $schema: 'https://datapackage.org/profiles/2.0/datapackage.json',
    name: 'fleet-folder',
    title: utilityName,
    description:
      'Underground cables, their high-voltage tests and what was done to them. CSV as in RFC 4180, UTF-8, days as ' +
      'YYYY-MM-DD, an empty cell is unknown. Text that a spreadsheet would run as a formula (beginning with = + - @ ' +
      'or a tab) has an apostrophe in front, which reading it back takes away.',
    resources: subjects.map(resourceOf),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function resourceOf(subject: Subject) {
  const key = subject.columns[subject.keyAt]!;
  const references = subject.columns.filter((column) => column.refersTo);
  return {
    name: subject.name,
    path: subject.file,
    title: subject.title,
    type: 'table',
    format: 'csv',
    mediatype: 'text/csv',
    encoding: 'utf-8',
    schema: {
      $schema: 'https://datapackage.org/profiles/2.0/tableschema.json',
      fields: subject.columns.map(fieldOf),
      missingValues: [''],
      ...(key.repeats ? {} : { primaryKey: [key.name] }),
      ...(references.length > 0 ? { foreignKeys: references.map((column) => foreignKeyOf(subject, column)) } : {}),
    },
  };
}

function foreignKeyOf(subject: Subject, column: Column) {
  const target = subjects.find((one) => one.name === column.refersTo)!;
  return {
    fields: [column.name],
    reference: {
      ...(target === subject ? {} : { resource: target.name }),
      fields: [target.columns[target.keyAt]!.name],
    },
  };
}

function fieldOf(column: Column) {
  const constraints = {
    ...(column.needed ? { required: true } : {}),
    ...(column.kind === 'id' && !column.repeats ? { unique: true } : {}),
    ...(column.values ? { enum: column.kind === 'whole' ? column.values.map(Number) : column.values } : {}),
    ...(column.above === undefined ? {} : { exclusiveMinimum: column.above }),
    ...(column.atLeast === undefined ? {} : { minimum: column.atLeast }),
    ...(column.atMost === undefined ? {} : { maximum: column.atMost }),
  };
  return {
    name: column.name,
    type: typeOf[column.kind],
    description: column.says,
    ...(column.unit ? { unit: column.unit } : {}),
    ...(column.words ? { trueValues: [column.words[0]], falseValues: [column.words[1]] } : {}),
    ...(Object.keys(constraints).length > 0 ? { constraints } : {}),
  };
}

export interface DataPackage {
  readonly file: string;
  /** The utility's name, where the package gives one. */
  readonly title: string | null;
  /** Types and names that are not those of a fleet folder. */
  readonly faults: readonly { readonly field: string; readonly message: string }[];
  /** The columns that the package says each file has, by the file's path. */
  readonly columnsOf: ReadonlyMap<string, readonly string[]>;
}

type Loose = { readonly [name: string]: unknown };
const isObject = (value: unknown): value is Loose =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
const listOf = (value: unknown): readonly unknown[] => (Array.isArray(value) ? value : []);

/** Reads and checks a `datapackage.json`: that it is one, and that it types our columns as we do. */
export function readDataPackage(path: string): DataPackage {
  const file = basename(path);
  const faults: { field: string; message: string }[] = [];
  const columnsOf = new Map<string, readonly string[]>();
  const document = parsed(path);
  if (!isObject(document) || !Array.isArray(document.resources)) {
    faults.push({
      field: 'resources',
      message: 'It is no data package: write a JSON object with a list of resources, or leave the file out.',
    });
    return { file, title: null, faults, columnsOf };
  }
  for (const resource of document.resources) {
    if (!isObject(resource)) continue;
    const subject = subjects.find((one) => one.file === resource.path);
    const fields = isObject(resource.schema) ? listOf(resource.schema.fields).filter(isObject) : [];
    if (!subject || fields.length === 0) continue;
    columnsOf.set(
      subject.file,
      fields.map((field) => String(field.name)),
    );
    for (const field of fields) {
      const column = subject.columns.find((one) => one.name === field.name);
      const type = field.type ?? 'string';
      if (!column || type === 'any' || type === typeOf[column.kind]) continue;
      faults.push({
        field: `${subject.name}.${column.name}`,
        message: `The data package says ${String(type)}; a fleet folder has ${typeOf[column.kind]} here.`,
      });
    }
  }
  return {
    file,
    title: typeof document.title === 'string' && document.title !== '' ? document.title : null,
    faults,
    columnsOf,
  };
}

function parsed(path: string): unknown {
  try {
    return JSON.parse(readFileSync(path, 'utf8').replace(/^\uFEFF/, ''));
  } catch {
    return null;
  }
}

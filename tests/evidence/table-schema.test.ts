import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';

// Rules: Data Package 2.0 and Table Schema 2.0 (datapackage.org), written here from the standard; csv-parse reads RFC 4180.
interface Field {
  name: string;
  type: string;
  trueValues?: string[];
  falseValues?: string[];
  constraints?: {
    required?: boolean;
    unique?: boolean;
    minimum?: number;
    maximum?: number;
    exclusiveMinimum?: number;
    enum?: (string | number)[];
  };
}
interface Resource {
  name: string;
  path: string;
  schema: {
    fields: Field[];
    missingValues: string[];
    primaryKey?: string[];
    foreignKeys?: { fields: string[]; reference: { resource?: string; fields: string[] } }[];
  };
}

const castable: Readonly<Record<string, (text: string, field: Field) => boolean>> = {
  string: () => true,
  number: (text) => /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/.test(text),
  integer: (text) => /^[+-]?\d+$/.test(text),
  date: (text) => /^\d{4}-\d{2}-\d{2}$/.test(text) && new Date(text).toISOString().slice(0, 10) === text,
  boolean: (text, field) => [...(field.trueValues ?? ['true']), ...(field.falseValues ?? ['false'])].includes(text),
};

function cellFault(text: string, field: Field, missing: readonly string[]): string | undefined {
  const rules = field.constraints ?? {};
  if (missing.includes(text)) return rules.required ? 'required' : undefined;
  if (!castable[field.type]?.(text, field)) return `not ${field.type}`;
  if (rules.enum && !rules.enum.map(String).includes(text)) return 'not in enum';
  if (rules.minimum !== undefined && Number(text) < rules.minimum) return 'under minimum';
  if (rules.maximum !== undefined && Number(text) > rules.maximum) return 'over maximum';
  if (rules.exclusiveMinimum !== undefined && Number(text) <= rules.exclusiveMinimum)
    return 'not over exclusiveMinimum';
  return undefined;
}

/** Every breach of the package's own description in a folder of CSV. */
function packageFaults(folder: string): string[] {
  const { resources } = JSON.parse(readFileSync(join(folder, 'datapackage.json'), 'utf8')) as { resources: Resource[] };
  const tables = new Map<string, Record<string, string>[]>();
  const faults: string[] = [];
  for (const { name, path, schema } of resources) {
    const [header, ...rows] = parse(readFileSync(join(folder, path))) as string[][];
    if (header!.join() !== schema.fields.map((field) => field.name).join()) faults.push(`${path}: header`);
    tables.set(
      name,
      rows.map((row) => Object.fromEntries(header!.map((column, i) => [column, row[i]!]))),
    );
  }
  for (const { name, path, schema } of resources) {
    const rows = tables.get(name)!;
    for (const [i, row] of rows.entries())
      for (const field of schema.fields) {
        const fault = cellFault(row[field.name]!, field, schema.missingValues);
        if (fault) faults.push(`${path} row ${i + 2} ${field.name} '${row[field.name]}': ${fault}`);
      }
    const uniques = schema.fields.filter((field) => field.constraints?.unique).map((field) => [field.name]);
    for (const key of [...(schema.primaryKey ? [schema.primaryKey] : []), ...uniques]) {
      const keys = rows.map((row) => JSON.stringify(key.map((column) => row[column])));
      if (new Set(keys).size !== keys.length) faults.push(`${path}: ${key.join()} not unique`);
    }
    for (const { fields, reference } of schema.foreignKeys ?? []) {
      const others = tables.get(reference.resource ?? name);
      const known = new Set(others?.map((row) => JSON.stringify(reference.fields.map((column) => row[column]))));
      for (const row of rows) {
        const key = fields.map((column) => row[column]);
        if (key.every((cell) => cell !== '') && !known.has(JSON.stringify(key)))
          faults.push(`${path}: ${fields.join()} ${key.join()}`);
      }
    }
  }
  return faults;
}

const folder = mkdtempSync(join(tmpdir(), 'schema-'));
const out = join(folder, 'records');
let core: Core;

beforeAll(async () => {
  core = await openCore(join(folder, 'a.fleet'), {
    migrations,
    now: () => '2026-03-01T09:00:00.000Z',
    who: 'x',
    create: true,
  });
  await core.send('demo.write', { segments: 80, seed: 4 });
  const reply = await core.send('evidence.bag', { from: '2023-01-01', to: '2023-12-31', out: join(folder, 'bag') });
  if (!reply.ok) throw new Error(reply.problem.message);
  const exported = await core.send('fleet.export', { out });
  if (!exported.ok) throw new Error(exported.problem.message);
});
afterAll(() => {
  core.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('records as plain CSV', () => {
  test('keep the package’s own description, whole and of a period', () => {
    expect(packageFaults(out)).toEqual([]);
    expect(packageFaults(join(folder, 'bag/data/records'))).toEqual([]);
  });

  test('are checked by rules that do find a breach', () => {
    const tests = join(out, 'tests.csv');
    const text = readFileSync(tests, 'utf8');
    const lines = text.split('\n');
    lines[1] = lines[1]!.replace(/\d{4}-\d{2}-\d{2}/, '2023-02-30');
    lines[2] = lines[2]!.replace(/,[ABC],/, ',D,');
    writeFileSync(tests, lines.join('\n'));
    const faults = packageFaults(out);
    writeFileSync(tests, text);
    expect(faults).toHaveLength(2);
    expect(faults[0]).toMatch(/row 2 tested_on '2023-02-30': not date/);
    expect(faults[1]).toMatch(/row 3 phase 'D': not in enum/);
  });
});

describe('the bag’s own tables', () => {
  test.each(['compliance.csv', 'calibration.csv', 'completeness.csv'])(
    '%s reads as RFC 4180, every row as wide as its head',
    (name) => {
      const rows = parse(readFileSync(join(folder, 'bag/data', name))) as string[][];
      expect(rows.length).toBeGreaterThan(1);
      expect(rows.every((row) => row.length === rows[0]!.length)).toBe(true);
    },
  );
});

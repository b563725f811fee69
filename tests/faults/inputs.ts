import fc from 'fast-check';
import { z } from 'zod';
import { type AskName, asks } from '../../core/contract/asks/index.ts';

/** What inputs are made of besides random values: things that are there, so that an input gets past the first check. */
export interface Material {
  /** Keys of records of the fleet, of every kind. */
  readonly ids: readonly string[];
  /** Owner's ids, names, words that stand in the fleet. */
  readonly texts: readonly string[];
  /** Places to read that are wrong in many ways, and some that are right. */
  readonly inPaths: readonly string[];
  /** Places to write to: some can be written, most cannot. All of them lie within a folder of the test. */
  readonly outPaths: readonly string[];
}

interface Shape {
  readonly type?: 'object' | 'array' | 'string' | 'number' | 'integer' | 'boolean' | 'null';
  readonly properties?: Record<string, Shape>;
  readonly required?: readonly string[];
  readonly items?: Shape;
  readonly minItems?: number;
  readonly maxItems?: number;
  readonly anyOf?: readonly Shape[];
  readonly oneOf?: readonly Shape[];
  readonly enum?: readonly unknown[];
  readonly const?: unknown;
  readonly format?: string;
  readonly path?: 'in' | 'out';
  readonly minLength?: number;
  readonly maxLength?: number;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
}

const days = [
  '0001-01-01',
  '1899-12-31',
  '1988-05-02',
  '2018-04-01',
  '2024-02-29',
  '2025-06-01',
  '2030-12-31',
  '9999-12-31',
];
const oddTexts = [
  '',
  ' ',
  '%',
  '_',
  '*',
  "'",
  '"',
  '\0',
  '\u{1f600}',
  '\ud800',
  '__proto__',
  'constructor',
  'a'.repeat(5000),
];
const oddLetters = [...'aZ0 \t\n,;"%_\\/.-\u00e9\u03a9\u20ac\u{1f600}', "'", '\0', '\ud800'];
const oddNumbers = [
  0,
  -0,
  1,
  -1,
  0.5,
  2,
  3,
  12,
  1990,
  2025,
  2200,
  1e-9,
  5e-324,
  1e9,
  1e15,
  2 ** 31,
  2 ** 53 - 1,
  1e308,
  -1e308,
];

/** Inputs of the shape an ask's input has, with values from the ends of what that shape lets in. */
export function shapedInput(name: AskName, material: Material): fc.Arbitrary<unknown> {
  return ofShape(z.toJSONSchema(asks[name].input, { io: 'input', unrepresentable: 'any' }) as Shape, material);
}

/** Inputs of that shape with something in them wrong: a value of another kind, a field more, a field less. */
export function spoiltInput(name: AskName, material: Material): fc.Arbitrary<unknown> {
  return fc.tuple(shapedInput(name, material), fc.nat(), anything, fc.nat(2)).map(([made, where, value, how]) => {
    const input = structuredClone(made);
    const places = placesIn(input);
    if (places.length === 0) return value;
    const [holder, key] = places[where % places.length]!;
    if (how === 0) delete holder[key];
    else if (how === 1) holder[key] = value;
    else holder[`${key}x`] = value;
    return input;
  });
}

/** Any JSON at all, and what JSON cannot say. Its texts are never the name of a place that could be written to. */
export const anything: fc.Arbitrary<unknown> = fc.oneof(
  fc.constantFrom<unknown>(null, undefined, [], {}, NaN, Infinity, -1, 1e308, '', true, [[]], { a: { b: [null] } }),
  fc.integer(),
  fc.double(),
  fc.array(fc.oneof(fc.integer(), fc.constant(null)), { maxLength: 4 }),
  fc.dictionary(fc.constantFrom('id', 'kind', '__proto__', 'length', 'toString'), fc.integer(), { maxKeys: 3 }),
);

function placesIn(value: unknown): [Record<string, unknown>, string][] {
  if (value === null || typeof value !== 'object') return [];
  const holder = value as Record<string, unknown>;
  return Object.keys(holder).flatMap((key) => [
    [holder, key] as [Record<string, unknown>, string],
    ...placesIn(holder[key]),
  ]);
}

function ofShape(shape: Shape, material: Material): fc.Arbitrary<unknown> {
  const below = (inner: Shape) => ofShape(inner, material);
  if (shape.path === 'in') return fc.constantFrom(...material.inPaths);
  if (shape.path === 'out') return fc.constantFrom(...material.outPaths);
  if ('const' in shape) return fc.constant(shape.const);
  if (shape.enum) return fc.constantFrom(...shape.enum);
  const choices = shape.anyOf ?? shape.oneOf;
  if (choices) return fc.oneof(...choices.map(below));
  switch (shape.type) {
    case 'object':
      return fc.record(
        Object.fromEntries(Object.entries(shape.properties ?? {}).map(([key, inner]) => [key, below(inner)])),
        { requiredKeys: [...(shape.required ?? [])], noNullPrototype: true },
      );
    case 'array':
      return fc.array(below(shape.items ?? {}), {
        minLength: shape.minItems ?? 0,
        maxLength: Math.min(shape.maxItems ?? 4, (shape.minItems ?? 0) + 3),
      });
    case 'string':
      return textOf(shape, material);
    case 'number':
    case 'integer':
      return numberOf(shape);
    case 'boolean':
      return fc.boolean();
    case 'null':
      return fc.constant(null);
    default:
      return anything;
  }
}

function textOf(shape: Shape, material: Material): fc.Arbitrary<string> {
  if (shape.format === 'uuid') return fc.oneof({ weight: 6, arbitrary: fc.constantFrom(...material.ids) }, fc.uuid());
  if (shape.format === 'date') return fc.constantFrom(...days);
  const fits = (text: string) => text.length >= (shape.minLength ?? 0) && text.length <= (shape.maxLength ?? Infinity);
  return fc.oneof(
    { weight: 3, arbitrary: fc.constantFrom(...material.texts, 'seen in the field, twice') },
    { weight: 1, arbitrary: fc.constantFrom(...oddTexts.filter(fits), 'a reason of some length') },
    { weight: 1, arbitrary: fc.string({ unit: fc.constantFrom(...oddLetters), maxLength: 30 }) },
  );
}

function numberOf(shape: Shape): fc.Arbitrary<number> {
  const whole = shape.type === 'integer';
  const lo = shape.minimum ?? shape.exclusiveMinimum ?? -Infinity;
  const hi = shape.maximum ?? Infinity;
  const ends = [lo, hi, whole ? lo + 1 : (lo + hi) / 2, ...oddNumbers];
  const fit = ends.filter(
    (n) =>
      Number.isFinite(n) && n >= lo && n <= hi && n !== shape.exclusiveMinimum && (!whole || Number.isSafeInteger(n)),
  );
  return fc.constantFrom(...new Set(fit));
}

import { isAbsolute, resolve, sep } from 'node:path';
import type { z } from 'zod';
import { refuse } from '../core/contract/problem.ts';

/** What a walker of an input meets: a path that core would read or write. */
export type OnPath = (path: string, mark: 'in' | 'out') => string;

interface Def {
  readonly type: string;
  readonly shape?: Record<string, z.ZodType>;
  readonly element?: z.ZodType;
  readonly innerType?: z.ZodType;
  readonly valueType?: z.ZodType;
  readonly options?: readonly z.ZodType[];
  readonly items?: readonly z.ZodType[];
  readonly in?: z.ZodType;
}

export const defOf = (schema: z.ZodType): Def => (schema as unknown as { def: Def }).def;

/** Does this field name a place on disk? */
export const markOf = (schema: z.ZodType): 'in' | 'out' | undefined => {
  const { path } = (schema.meta() ?? {}) as { path?: unknown };
  return path === 'in' || path === 'out' ? path : undefined;
};

/** A copy of the input in which every path, as the shape marks them, is what `onPath` made of it. */
export function mapPaths(schema: z.ZodType, value: unknown, onPath: OnPath): unknown {
  if (value === null || value === undefined) return value;
  const mark = markOf(schema);
  if (mark) return typeof value === 'string' ? onPath(value, mark) : value;
  const def = defOf(schema);
  const inner = def.innerType ?? def.in;
  if (inner) return mapPaths(inner, value, onPath);
  if (def.options) return def.options.reduce<unknown>((mapped, option) => mapPaths(option, mapped, onPath), value);
  if (Array.isArray(value)) {
    const { element, items } = def;
    if (element) return value.map((each) => mapPaths(element, each, onPath));
    if (items) return value.map((each, i) => (items[i] ? mapPaths(items[i], each, onPath) : each));
    return value;
  }
  if (typeof value !== 'object') return value;
  const { shape, valueType } = def;
  return Object.fromEntries(
    Object.entries(value).map(([key, each]) => {
      const below = shape ? (Object.hasOwn(shape, key) ? shape[key] : undefined) : valueType;
      return [key, below ? mapPaths(below, each, onPath) : each];
    }),
  );
}

/** Paths that a person has pointed at, by dialog or drop; a folder grants what is in it. */
export class Grants {
  readonly #granted = { in: new Set<string>(), out: new Set<string>() };

  grant(path: string, mark: 'in' | 'out'): string {
    this.#granted[mark].add(resolve(path));
    return path;
  }

  /** The path, or the Refusal 'not-allowed'. */
  readonly check: OnPath = (path, mark) => {
    const whole = resolve(path);
    if (isAbsolute(path))
      for (const granted of this.#granted[mark]) if (whole === granted || whole.startsWith(granted + sep)) return whole;
    throw refuse('not-allowed', `Nobody has picked ${path}: choose it in the dialog, or drop it on the window.`, {
      where: path,
    });
  };
}

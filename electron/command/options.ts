import type { z } from 'zod';
import type { CommandSpec } from '../../core/contract/ask.ts';
import { type AskName, asks } from '../../core/contract/asks/index.ts';
import { defOf, markOf } from '../paths.ts';

/** A word of the command line and the ask behind it. */
export interface Command {
  readonly word: string;
  readonly ask: AskName;
  readonly spec: CommandSpec;
  readonly help: string;
  readonly options: readonly Option[];
}

/** A field of an ask's input as an option. */
export interface Option {
  /** The field: `asOf`. */
  readonly field: string;
  /** As typed: `as-of`. */
  readonly name: string;
  readonly takes: 'text' | 'number' | 'switch' | 'json';
  /** What stands for the value in the help: PATH, DATE, N. */
  readonly sample: string;
  readonly list: boolean;
  readonly words: string;
  /** The default as it would be typed, where there is one. */
  readonly byDefault: string | null;
  /** A switch that is on unless `--no-NAME` is typed. */
  readonly on: boolean;
  readonly needed: boolean;
  readonly positional: boolean;
}

/** Every command, in the order of the table of asks. */
export const commands: readonly Command[] = (Object.keys(asks) as AskName[]).flatMap((ask) => {
  const { command: spec, help, input } = asks[ask] as { command?: CommandSpec; help: string; input: z.ZodType };
  return spec ? [{ word: spec.word, ask, spec, help, options: optionsOf(input, spec.positional ?? []) }] : [];
});

export function kebab(field: string): string {
  return field.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
}

function optionsOf(input: z.ZodType, positional: readonly string[]): Option[] {
  const fields = Object.entries(defOf(input).shape ?? {});
  const options = fields.map(([field, schema]) => optionOf(field, schema, positional.includes(field)));
  const first = positional.map((field) => options.find((option) => option.field === field)!);
  return [...first, ...options.filter((option) => !option.positional)];
}

function optionOf(field: string, schema: z.ZodType, positional: boolean): Option {
  const { core, needed, byDefault } = unwrap(schema);
  const def = defOf(core);
  const list = def.type === 'array';
  const item = list ? unwrap(def.element!).core : core;
  const itemDef = defOf(item) as ItemDef;
  return {
    field,
    name: kebab(field),
    takes: takesOf(itemDef.type),
    sample: sampleOf(item, itemDef),
    list,
    words: (schema.meta()?.description ?? core.meta()?.description ?? '') as string,
    byDefault: byDefault === undefined || byDefault === false ? null : typed(byDefault),
    on: byDefault === true,
    needed,
    positional,
  };
}

/** The shape under optional, default and nullable, and what they say. */
function unwrap(schema: z.ZodType): { core: z.ZodType; needed: boolean; byDefault: unknown } {
  let core = schema;
  let needed = true;
  let byDefault: unknown;
  for (;;) {
    const def = defOf(core) as { type: string; innerType?: z.ZodType; defaultValue?: unknown; in?: z.ZodType };
    if (def.type === 'optional' || def.type === 'default' || def.type === 'prefault') needed = false;
    if (def.type === 'default' || def.type === 'prefault') byDefault = def.defaultValue;
    const inner = def.innerType ?? (def.type === 'pipe' ? def.in : undefined);
    if (!inner) return { core, needed, byDefault };
    core = inner;
  }
}

interface ItemDef {
  readonly type: string;
  readonly format?: string;
  readonly entries?: Record<string, string>;
}

/** A choice as a shell takes it. */
function quoted(choice: string): string {
  return choice.includes(' ') ? `'${choice}'` : choice;
}

function sampleOf(item: z.ZodType, { type, format, entries }: ItemDef): string {
  if (entries) return Object.values(entries).map(quoted).join('|');
  if (markOf(item)) return 'PATH';
  if (format === 'date') return 'DATE';
  if (takesOf(type) === 'number') return 'N';
  return takesOf(type) === 'json' ? 'JSON' : 'TEXT';
}

function takesOf(type: string): Option['takes'] {
  if (type === 'string' || type === 'enum') return 'text';
  if (type === 'number' || type === 'int') return 'number';
  if (type === 'boolean') return 'switch';
  return 'json';
}

function typed(value: unknown): string {
  return typeof value === 'object' ? JSON.stringify(value) : String(value);
}

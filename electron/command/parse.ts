import type { z } from 'zod';
import { asks } from '../../core/contract/asks/index.ts';
import type { Command, Option } from './options.ts';

/** Options that every command takes beside its own. */
export interface Common {
  readonly fleet: string | null;
  readonly who: string | null;
  readonly readOnly: boolean;
  readonly json: boolean;
  readonly help: boolean;
}

/** The command line is not right: said with what would be, exit 2. */
export class UsageError extends Error {}

export interface Parsed {
  readonly common: Common;
  /** Input of the ask as it was typed; its shape has been checked. */
  readonly input: Record<string, unknown>;
}

const commonTakes = { fleet: 'text', who: 'text', 'read-only': 'switch', json: 'switch', help: 'switch' } as const;

/** Words after the command. Throws UsageError. */
export function parseWords(command: Command, words: readonly string[]): Parsed {
  const { values, places } = split(command, words);
  const input: Record<string, unknown> = {};
  for (const option of command.options) {
    const given = values.get(option.name);
    if (given)
      input[option.field] = option.list
        ? given.flatMap((text) => itemsOf(option, text))
        : typedValue(option, last(given));
  }
  if (!values.has('help')) takePlaces(command, places, input);
  const common: Common = {
    fleet: (last(values.get('fleet')) as string | undefined) ?? null,
    who: (last(values.get('who')) as string | undefined) ?? null,
    readOnly: values.has('read-only'),
    json: values.has('json'),
    help: values.has('help'),
  };
  if (!common.help) check(command, common, input);
  return { common, input };
}

const last = <T>(list: readonly T[] | undefined): T | undefined => list?.at(-1);

/** Sorts the words into options and places. `--name value`, `--name=value`, `--no-name`; after `--` all are places. */
function split(command: Command, words: readonly string[]) {
  const values = new Map<string, (string | boolean)[]>();
  const places: string[] = [];
  const put = (name: string, value: string | boolean) => values.set(name, [...(values.get(name) ?? []), value]);
  for (let i = 0; i < words.length; i++) {
    const word = words[i]!;
    if (word === '--') {
      places.push(...words.slice(i + 1));
      break;
    }
    if (word === '-h') put('help', true);
    else if (!word.startsWith('--')) places.push(word);
    else {
      const [name = '', inline] = [
        word.slice(2).split('=')[0],
        word.includes('=') ? word.slice(word.indexOf('=') + 1) : undefined,
      ];
      const off = name.startsWith('no-') && takesOf(command, name) === undefined ? name.slice(3) : undefined;
      const takes = takesOf(command, off ?? name);
      if (takes === undefined || (off !== undefined && takes !== 'switch')) throw unknownOption(command, name);
      if (takes === 'switch')
        put(off ?? name, inline === undefined ? off === undefined : inline !== 'no' && inline !== 'false');
      else {
        const value = inline ?? words[++i];
        if (value === undefined) throw new UsageError(`--${name} needs a value.`);
        put(name, value);
      }
    }
  }
  return { values, places };
}

function takesOf(command: Command, name: string): string | undefined {
  const own = command.options.find((option) => option.name === name && !option.positional);
  if (own) return own.takes;
  return Object.hasOwn(commonTakes, name) ? commonTakes[name as keyof typeof commonTakes] : undefined;
}

function unknownOption(command: Command, name: string): UsageError {
  const all = command.options.filter((option) => !option.positional).map((option) => `--${option.name}`);
  return new UsageError(
    `'${command.word}' has no option --${name}. It has ${[...all, '--fleet', '--json'].join(', ')}.`,
  );
}

function takePlaces(command: Command, places: readonly string[], input: Record<string, unknown>): void {
  const rest = [...places];
  for (const option of command.options.filter((each) => each.positional)) {
    if (option.list) {
      if (rest.length > 0) input[option.field] = rest.splice(0).map((text) => typedValue(option, text));
    } else if (rest.length > 0) input[option.field] = typedValue(option, rest.shift()!);
    if (option.needed && input[option.field] === undefined)
      throw new UsageError(
        `'${command.word}' needs ${option.name.toUpperCase()}${option.words ? `: ${option.words}` : ''}.`,
      );
  }
  if (rest.length > 0) throw new UsageError(`'${command.word}' does not know what to do with '${rest[0]}'.`);
}

/** A list may be typed as several options or with commas. */
const itemsOf = (option: Option, text: string | boolean): unknown[] =>
  String(text)
    .split(',')
    .map((part) => typedValue(option, part.trim()));

function typedValue(option: Option, text: string | boolean | undefined): unknown {
  if (option.takes === 'number') {
    const number = Number(text);
    if (text === '' || !Number.isFinite(number)) throw new UsageError(`--${option.name}: '${text}' is not a number.`);
    return number;
  }
  if (option.takes !== 'json') return text;
  try {
    return JSON.parse(String(text));
  } catch {
    throw new UsageError(`--${option.name}: '${text}' is not JSON.`);
  }
}

function check(command: Command, common: Common, input: Record<string, unknown>): void {
  if (command.spec.opens !== 'none' && common.fleet === null)
    throw new UsageError(`'${command.word}' needs --fleet FILE.`);
  const parsed = (asks[command.ask].input as z.ZodType).safeParse(input);
  if (parsed.success) return;
  const [issue] = parsed.error.issues;
  const option = command.options.find((each) => each.field === issue?.path[0]);
  const name = option ? (option.positional ? option.name.toUpperCase() : `--${option.name}`) : command.word;
  const missing = option && input[option.field] === undefined;
  throw new UsageError(missing ? `'${command.word}' needs ${name}.` : `${name} ${reasonOf(issue)}.`);
}

function reasonOf(issue: z.core.$ZodIssue | undefined): string {
  if (issue?.code === 'too_small' && issue.origin !== 'string') return `must be at least ${issue.minimum}`;
  if (issue?.code === 'too_big' && issue.origin !== 'string') return `may be ${issue.maximum} at most`;
  return `is not right: ${issue?.message ?? 'unknown'}`;
}

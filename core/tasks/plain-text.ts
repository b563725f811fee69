import { refuse } from '../contract/problem.ts';

/**
 * An input with its texts as a fleet file keeps them: UTF-8 has no lone halves of characters. In what is to be kept
 * ('bad-input' else) there is no NUL either, at which SQLite's own functions take a text to end.
 */
export function plainTexts(value: unknown, kept: boolean, where: readonly string[] = []): unknown {
  if (typeof value === 'string') {
    if (kept && value.includes('\0'))
      throw refuse('bad-input', `${where.join('.')}: a text with a NUL character cannot be kept.`, {
        where: where.join('.'),
      });
    return value.toWellFormed();
  }
  if (Array.isArray(value)) return value.map((each, i) => plainTexts(each, kept, [...where, String(i)]));
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(
    Object.entries(value).map(([key, each]) => [key.toWellFormed(), plainTexts(each, kept, [...where, key])]),
  );
}

import { count, whole } from './numbers.ts';
import { type EditedField, setWords } from './segmentFields.ts';

/** Segments that one round of briefs can hold. */
export const mostBriefs = 200;

export const chosenWords = (n: number): string => `${count(n, 'segment')} chosen`;

export const roundWords = (n: number): string =>
  `The ${n === 1 ? 'brief is' : `${n} briefs are`} written, a page each.`;

/** 'Critical load is now yes for 12 segments; 3 had it already.' */
export function changedWords(field: EditedField, value: string, changed: number, of: number): string {
  const set = setWords(field, value);
  const now = `${set.name} is ${set.value}`;
  if (changed === 0) return `${now} for all of them already; nothing is written.`;
  const rest = of - changed;
  return `${now} for ${count(changed, 'segment')} now${rest > 0 ? `; ${whole(rest)} had it already` : ''}.`;
}

/** Names that a dialog spells out. */
const mostNames = 12;

/** 'Mill Lane 1, Mill Lane 2 and 14 more.' */
export function namesWords(names: readonly string[]): string {
  const said = names.slice(0, mostNames).join(', ');
  return names.length > mostNames ? `${said} and ${whole(names.length - mostNames)} more.` : `${said}.`;
}

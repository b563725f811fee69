import { counted } from '../report/counted.ts';
import type { Verified } from './evidence-verify.ts';

/** Stands under every answer of verify. */
export const verifyLimit =
  'Whoever can write the file and knows its rules can rewrite the ledger from some line to its end, so that it agrees ' +
  'with itself. Only something kept out of their reach shows that: the hash of a ledger head printed on a sheet, or a ' +
  'signature whose key they do not have. Give either to this check.';

/** What a head and a key that were given, and hold, add to the sentence. */
export const givenWords = (head: string | undefined, signedLine: number | null): string =>
  `${head === undefined ? '' : ' The head given is a line of it.'}${signedLine === null ? '' : ` The key given signed line ${signedLine}.`}`;

/** The answer of verify in one sentence. */
export function sentenceOf(count: number, first: string | undefined, head: Verified['head'], given = ''): string {
  if (count > 0)
    return `No: ${first ?? ''}${count > 1 ? ` ${counted(count - 1)} more ${count === 2 ? 'thing is' : 'things are'} wrong.` : ''}`;
  if (!head) return 'Yes: the fleet is empty, and nothing is wrong.';
  return `Yes: every record is as its ledger line wrote it, up to line ${head.seq}, written ${head.at.slice(0, 10)} ${head.at.slice(11, 16)} UTC.${given}`;
}

import { say } from '../../parts/toast.ts';
import { takenBack } from '../../words/fleetForms.ts';
import { act } from '../acts.ts';

/** Says what was written, with the way back where a line was: a further ledger line. */
export function sayWritten(words: string, line: number | null): void {
  const back = (of: number) => () => void act('segment.takeBack', { line: of }, takenBack);
  say(words, line === null ? null : back(line));
}

import { say } from '../../parts/toast.ts';
import { act } from '../acts.ts';

/** Says what was written, with the way back: a further ledger line. */
export function sayWritten(words: string, line: number): void {
  say(words, () => void act('segment.takeBack', { line }, 'Taken back. The ledger keeps both lines.'));
}

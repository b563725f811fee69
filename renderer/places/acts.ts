import type { AskName, InputOf, OutputOf } from '../../core/contract/asks/index.ts';
import { ask, host } from '../client/index.ts';
import { asProblem } from '../parts/asProblem.ts';
import { say } from '../parts/toast.ts';

/** Asks for a change and says what came of it at the foot of the window. Undefined where it was refused. */
export async function act<N extends AskName>(
  name: N,
  input: InputOf<N>,
  done: string,
): Promise<OutputOf<N> | undefined> {
  try {
    const answer = await ask(name, input);
    if (done !== '') say(done);
    return answer;
  } catch (error) {
    say(asProblem(error).message);
    return undefined;
  }
}

/** Asks where to write, lets core write there, hands the file over, and says so: in these words, or in those the answer asks for. */
export async function save<T>(
  name: string,
  as: 'file' | 'folder',
  write: (path: string) => Promise<T>,
  done: string | ((answer: T) => string),
): Promise<void> {
  try {
    const saving = await host.saveFile(name, as);
    if (saving === null) return;
    const answer = await write(saving.path);
    await saving.done();
    say(typeof done === 'string' ? done : done(answer));
  } catch (error) {
    say(asProblem(error).message);
  }
}

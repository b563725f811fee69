import { version } from '../version.ts';
import { helpOf, hostCommands, overview } from './help.ts';
import { commands } from './options.ts';
import type { Out } from './out.ts';
import { parseWords, UsageError } from './parse.ts';
import { runCommand } from './run.ts';
import { serve } from './serve.ts';
import { workingFolder } from './working-folder.ts';

/** The command line: every word comes from the table of asks, but for the hosts themselves. Gives the exit code. */
export async function main(words: readonly string[], out: Out, folder = workingFolder()): Promise<number> {
  const [word = '--help', ...rest] = words;
  try {
    if (word === '--version') out.stdout(`${version}\n`);
    if (word === '--version') return 0;
    if (word === '--help' || word === '-h' || word === 'help') {
      out.stdout(overview());
      return words.length === 0 ? 2 : 0;
    }
    if (word === 'serve') return await serve(rest, out, folder);
    const command = commands.find((each) => each.word === word);
    if (!command) throw new UsageError(`There is no command '${word}'. There are ${allWords().join(', ')}.`);
    const parsed = parseWords(command, rest);
    if (!parsed.common.help) return await runCommand(command, parsed, folder, out);
    out.stdout(helpOf(command));
    return 0;
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    out.stderr(`${error.message}\nTry: yearbook ${allWords().includes(word) ? `${word} ` : ''}--help\n`);
    return 2;
  }
}

const allWords = () => [...commands.map((command) => command.word), ...hostCommands.map((command) => command.word)];

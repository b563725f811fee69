import { asks } from '../../core/contract/asks/index.ts';
import { type Command, commands, type Option } from './options.ts';

/** Commands that are hosts themselves and not asks. */
export const hostCommands: readonly { word: string; usage: string; help: string }[] = [
  {
    word: 'serve',
    usage: 'serve --fleet F [--port P] [--read-only]',
    help: 'Serves the window to a browser of this computer, in the foreground.',
  },
];

/** What every command takes, as far as it means something to it. */
function common(command: Command): (readonly [string, string])[] {
  const writes = asks[command.ask].kind === 'write';
  const opens = command.spec.opens !== 'none';
  return [
    ['--json', 'the answer as JSON on stdout'],
    ...(opens ? [['--who NAME', 'who does this: the name that the ledger shows'] as const] : []),
    ...(opens && !writes ? [['--read-only', 'open the fleet without writing to it'] as const] : []),
  ];
}

export function usageOf(command: Command): string {
  const places = command.options.filter((option) => option.positional).map(placeOf);
  const fleet = command.spec.opens === 'none' ? [] : ['--fleet F'];
  const needed = command.options.filter((option) => !option.positional && option.needed).map(typedOf);
  const free = command.options.filter((option) => !option.positional && !option.needed).map((o) => `[${typedOf(o)}]`);
  return [command.word, ...places, ...fleet, ...needed, ...free].join(' ');
}

const placeOf = (option: Option): string => {
  const word = option.name.replace(/s$/, option.list ? '' : 's').toUpperCase() + (option.list ? '…' : '');
  return option.needed ? word : `[${word}]`;
};

function typedOf(option: Option): string {
  if (option.takes === 'switch') return `--${option.on ? 'no-' : ''}${option.name}`;
  return `--${option.name} ${option.sample}`;
}

export function helpOf(command: Command): string {
  const own = command.options.map((option) => {
    const fallback = option.byDefault === null || option.takes === 'switch' ? '' : ` (else ${option.byDefault})`;
    const must = option.needed && !option.positional ? ' (needed)' : '';
    const unless = option.on ? ', unless this is typed' : '';
    return [
      option.positional ? placeOf(option) : typedOf(option),
      `${option.words}${unless}${fallback}${must}`.trim(),
    ] as const;
  });
  const fleet = { fleet: 'the fleet file', new: 'the fleet file; made when missing', none: '' }[command.spec.opens];
  const rows = [...own, ...(fleet ? [['--fleet F', fleet] as const] : []), ...common(command)];
  return `yearbook ${usageOf(command)}\n\n${command.help}\n\n${aligned(rows)}\n`;
}

/** All commands, a line each. */
export function overview(): string {
  const rows = [
    ...commands.map((each) => [usageOf(each), each.help] as const),
    ...hostCommands.map((h) => [h.usage, h.help] as const),
  ];
  const lines = rows.map(([usage, help]) => `  ${usage}\n      ${help}`);
  return `yearbook COMMAND\n\n${lines.join('\n')}\n\nEach takes --help. Exit: 0 done, 1 refused with a reason, 2 bad usage.\n`;
}

/** A longer option has its words on the next line. */
const widest = 34;

function aligned(rows: readonly (readonly [string, string])[]): string {
  const width = Math.min(widest, Math.max(...rows.map(([left]) => left.length)));
  const gap = `\n${' '.repeat(width + 4)}`;
  return rows
    .map(([left, right]) => `  ${left.padEnd(width)}${left.length > width ? gap : '  '}${right}`.trimEnd())
    .join('\n');
}

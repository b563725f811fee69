import { type Command, commands, type Option } from './options.ts';

/** Commands that are hosts themselves and not asks. */
export const hostCommands: readonly { word: string; usage: string; help: string }[] = [
  {
    word: 'serve',
    usage: 'serve --fleet F [--port P] [--read-only]',
    help: 'Serves the window to a browser of this computer, in the foreground.',
  },
];

const common = [
  ['--json', 'the answer as JSON on stdout'],
  ['--who NAME', 'the name that the ledger shows'],
  ['--read-only', 'open the fleet without writing to it'],
] as const;

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
  const rows = [...own, ...(fleet ? [['--fleet F', fleet] as const] : []), ...common];
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

function aligned(rows: readonly (readonly [string, string])[]): string {
  const width = Math.min(34, Math.max(...rows.map(([left]) => left.length)));
  return rows.map(([left, right]) => `  ${left.padEnd(width)}  ${right}`.trimEnd()).join('\n');
}

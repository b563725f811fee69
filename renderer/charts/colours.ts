import { token } from '../theme/theme.ts';

/** Colours of a chart, read from the theme as it stands. */
export interface ChartColours {
  readonly ink: string;
  readonly second: string;
  readonly tick: string;
  readonly grid: string;
  readonly sheet: string;
  readonly band: string;
  readonly accent: string;
  readonly phases: Readonly<Record<'A' | 'B' | 'C', string>>;
}

export const coloursNow = (): ChartColours => ({
  ink: token('ink'),
  second: token('ink-2'),
  tick: token('ink-3'),
  grid: token('grid'),
  sheet: token('sheet'),
  band: token('band'),
  accent: token('petrol'),
  phases: { A: token('phase-a'), B: token('phase-b'), C: token('phase-c') },
});

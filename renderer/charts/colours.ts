import { token } from '../theme/theme.ts';

/** Colours of a chart. */
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

const coloursBy = (colour: (token: string) => string): ChartColours => ({
  ink: colour('ink'),
  second: colour('ink-2'),
  tick: colour('ink-3'),
  grid: colour('grid'),
  sheet: colour('sheet'),
  band: colour('band'),
  accent: colour('petrol'),
  phases: { A: colour('phase-a'), B: colour('phase-b'), C: colour('phase-c') },
});

/** By the names of the tokens: a chart on the page follows the theme without being drawn again. */
export const coloursOfPage: ChartColours = coloursBy((name) => `var(--${name})`);

/** As they stand now, for a picture that leaves the page. */
export const coloursNow = (): ChartColours => coloursBy(token);

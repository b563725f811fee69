/** A row of a fleet folder by its column names; left out or null is unknown. Flags are 1 and 0. */
export type DemoRow = Readonly<Record<string, string | number | null>>;

export type DemoFile =
  | 'substations'
  | 'feeders'
  | 'segments'
  | 'splices'
  | 'terminations'
  | 'interventions'
  | 'failures'
  | 'instruments'
  | 'calibrations'
  | 'limits';

/** Where the invented rows go, each after those it refers to. */
export interface DemoSink {
  readonly row: (file: DemoFile, row: DemoRow) => void;
  /** All readings of one test. */
  readonly test: (readings: readonly DemoRow[]) => void;
}

const dayMs = 86_400_000;
/** Days since 1970-01-01. */
export const dayOf = (year: number, month: number, day: number): number => Date.UTC(year, month - 1, day) / dayMs;
export const isoDay = (day: number): string => new Date(Math.floor(day) * dayMs).toISOString().slice(0, 10);
/** Calendar year with fraction; a year is 365.25 days. */
export const yearOf = (day: number): number => 1970 + day / 365.25;
export const calendarYear = (day: number): number => new Date(Math.floor(day) * dayMs).getUTCFullYear();
export const dayOfYear = (day: number): number => Math.floor(day) - dayOf(calendarYear(day), 1, 1);

export const rounded = (value: number, decimals: number): number => {
  const scale = 10 ** decimals;
  return Math.round(value * scale) / scale;
};
export const numbered = (letter: string, number: number, width: number): string =>
  `${letter}${String(number).padStart(width, '0')}`;
